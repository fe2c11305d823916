"""The catalogue finds words by beginning and without accents, survives damage, and can be thrown away."""

from __future__ import annotations

import contextlib
import sqlite3
from pathlib import Path

from dossier.archive.catalogue import NAME, Catalogue, Entry

ENTRIES = {
    "b1": Entry(bag="b1", job="2026-1", received="2026-01-02", text="Doctor's bag, cowhide, Müller"),
    "b2": Entry(bag="b2", job="2026-2", received="2026-03-04", text="Mantel clock, walnut"),
}


def names(catalogue: Catalogue, *words: str) -> list[str]:
    return [entry.bag for entry in catalogue.find(words)]


def test_find_and_forget(tmp_path: Path) -> None:
    catalogue = Catalogue(tmp_path)
    catalogue.refresh(list(ENTRIES), ENTRIES.__getitem__)
    assert names(catalogue, "muller") == ["b1"]
    assert names(catalogue, "WALN") == ["b2"]
    assert names(catalogue, "cowhide", "clock") == []
    assert names(catalogue, '"', "*", "NEAR(") == []
    assert catalogue.gone(list(ENTRIES)) == []
    assert catalogue.gone(["b2"]) == ["b1"]
    catalogue.refresh(["b2"], ENTRIES.__getitem__)
    assert names(catalogue, "cowhide") == []
    assert catalogue.gone(["b2"]) == ["b1"]  # a search does not forget that it was there
    catalogue.refresh(list(ENTRIES), ENTRIES.__getitem__)
    assert catalogue.gone(list(ENTRIES)) == []
    catalogue.rebuild(["b2"], ENTRIES.__getitem__)
    assert catalogue.gone(["b2"]) == []


def test_the_job_of_the_number_that_was_typed_comes_first(tmp_path: Path) -> None:
    """A later job names it as an earlier one; of any other word the newest comes first."""
    later = Entry(bag="b3", job="2026-10", received="2026-09-01", text="2026-10 clock, as 2026-2a before")
    own = Entry(bag="b4", job="2026-2A", received="2025-01-01", text="2026-2A clock")
    entries = {"b3": later, "b4": own}
    catalogue = Catalogue(tmp_path)
    catalogue.refresh(list(entries), entries.__getitem__)
    assert names(catalogue, "2026-2a") == ["b4", "b3"]
    assert names(catalogue, "2026-2") == names(catalogue, "clock") == ["b3", "b4"]
    assert [entry.bag for entry in catalogue.find(["2026-2A"], limit=1)] == ["b4"]


def test_a_broken_catalogue_is_made_anew(tmp_path: Path) -> None:
    (tmp_path / NAME).write_bytes(b"not a database at all" * 100)
    catalogue = Catalogue(tmp_path)
    assert catalogue.gone(["b2"]) == []
    catalogue.refresh(list(ENTRIES), ENTRIES.__getitem__)
    assert names(catalogue, "clock") == ["b2"]


def test_a_catalogue_of_an_earlier_version_still_knows_what_was_there(tmp_path: Path) -> None:
    """Version 4 had no table for what is gone; it is made anew with the first search."""
    catalogue = Catalogue(tmp_path)
    catalogue.refresh(list(ENTRIES), ENTRIES.__getitem__)
    with contextlib.closing(sqlite3.connect(tmp_path / NAME)) as db:
        db.execute("DROP TABLE gone")
        db.execute("PRAGMA user_version = 4")
    assert catalogue.gone(["b2"]) == ["b1"]
    catalogue.refresh(["b2"], ENTRIES.__getitem__)
    assert names(catalogue, "clock") == ["b2"] and names(catalogue, "cowhide") == []
    assert catalogue.gone(["b2"]) == ["b1"]


def test_a_bag_may_go_and_come_back_and_go(tmp_path: Path) -> None:
    catalogue = Catalogue(tmp_path)
    for there in (["b1", "b2"], ["b2"], ["b1", "b2"], ["b2"]):
        catalogue.refresh(there, ENTRIES.__getitem__)
    assert catalogue.gone(["b2"]) == ["b1"]


def test_rebuild_reads_every_bag_again(tmp_path: Path) -> None:
    catalogue = Catalogue(tmp_path)
    catalogue.refresh(list(ENTRIES), ENTRIES.__getitem__)
    newer = {**ENTRIES, "b2": Entry(bag="b2", text="Bracket clock, oak")}
    catalogue.rebuild(list(newer), newer.__getitem__)
    assert names(catalogue, "oak") == ["b2"]
    assert names(catalogue, "walnut") == []


def test_an_interrupted_refresh_writes_nothing(tmp_path: Path) -> None:
    catalogue = Catalogue(tmp_path)

    def read(name: str) -> Entry:
        if name == "b2":
            raise OSError("the disk went away")
        return ENTRIES[name]

    with contextlib.suppress(OSError):
        catalogue.refresh(list(ENTRIES), read)
    assert names(catalogue, "cowhide") == []


def test_an_archive_that_cannot_be_written_is_searched_all_the_same(tmp_path: Path) -> None:
    (tmp_path / NAME).mkdir()  # no file can be made in its place, whoever runs the test
    catalogue = Catalogue(tmp_path)
    catalogue.refresh(list(ENTRIES), ENTRIES.__getitem__)
    assert names(catalogue, "cowhide") == ["b1"]
    catalogue.rebuild(["b2"], ENTRIES.__getitem__)
    assert names(catalogue, "cowhide") == []
    assert names(catalogue, "clock") == ["b2"]


def test_accents_written_apart_are_found(tmp_path: Path) -> None:
    catalogue = Catalogue(tmp_path)
    catalogue.refresh(list(ENTRIES), ENTRIES.__getitem__)
    assert names(catalogue, "Mu\N{COMBINING DIAERESIS}ller") == ["b1"]
    apart = Entry(bag="b3", text="Zu\N{COMBINING DIAERESIS}rich")
    catalogue.refresh(["b3"], {"b3": apart}.__getitem__)
    assert names(catalogue, "zürich") == ["b3"]


def test_words_are_found_in_scripts_without_spaces_and_letters_without_parts(tmp_path: Path) -> None:
    entries = {
        "b4": Entry(bag="b4", text="東京の革鞄、真鍮金具"),
        "b5": Entry(bag="b5", text="Łukasiewicz, skórzana torba; Sørensen; Straße"),
    }
    catalogue = Catalogue(tmp_path)
    catalogue.refresh(list(entries), entries.__getitem__)
    for words, found in {
        "革鞄": ["b4"],
        "真鍮": ["b4"],
        "鞄革": [],
        "lukasiewicz": ["b5"],
        "sorensen": ["b5"],
        "STRASSE": ["b5"],
        "skorz": ["b5"],
    }.items():
        assert names(catalogue, words) == found, words
