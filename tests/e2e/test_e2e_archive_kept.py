"""The successor, who has the archive alone: what is asked of a bag works and never changes it (RFC 8493)."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import bagit
import pytest

from dossier.archive.catalogue import Entry
from dossier.cli.find_command import _line

Run = Callable[..., Any]


@pytest.fixture(scope="module")
def put_away(job: Path, run: Run, tmp_path_factory: pytest.TempPathFactory) -> Path:
    home = tmp_path_factory.mktemp("home")
    shutil.copytree(job.parent, home / "workshop")
    assert run("compile", home / "workshop" / "satchel").code == 0
    assert run("archive", home / "workshop" / "satchel", "--to", home / "archive").code == 0
    return home / "archive"


@pytest.fixture
def bag(put_away: Path) -> Path:
    (bag,) = (put_away / "bags").iterdir()
    return bag


def whole(bag: Path) -> bool:
    """By the library of the Library of Congress; and that nothing lies beside it."""
    return [one.name for one in bag.parent.iterdir()] == [bag.name] and bagit.Bag(str(bag)).is_valid()


@pytest.mark.parametrize(
    "asked",
    [
        ("copy", "{bag}", "--for", "resale"),
        ("copy", "{bag}/data/dossier", "--for", "resale"),
        ("copy", "{bag}", "--to", "{bag}/data/copy"),
        ("compile", "{bag}/data/job", "--draft"),
        ("declare", "aftercare", "{bag}", "--reason", "Wipe it.", "--key", "{key}"),
        ("declare", "aftercare", "{bag}/data/dossier/record.json", "--reason", "Wipe it.", "--key", "{key}"),
        ("acknowledge", "{bag}/data/dossier", "--key", "{key}"),
        ("slip", "{bag}/data/job"),
        ("receipt", "{bag}/data/job"),
        ("photographs", "{bag}/data/job", "--to", "{bag}/sheet.jpg"),
        ("photographs", "{bag}/data/job", "--changes", "{bag}/changes"),
        ("new", "{bag}/data/again"),
        ("new", "{bag}/../again"),
        ("keys", "new", "{bag}/keys", "--name", "Ferrule & Rib", "--no-passphrase"),
        ("keys", "export", "{key}", "--to", "{bag}/public.json"),
        ("keys", "recovery", "{bag}/paper.txt", "--name", "Ferrule & Rib"),
    ],
)
def test_nothing_is_put_into_a_bag_or_beside_it(
    bag: Path, job: Path, run: Run, asked: tuple[str, ...]
) -> None:
    """And what is to be done instead is said; an audit had named the new files as not put away."""
    key = job.parent / "keys" / "trial-key.pem"
    ran = run(*(word.format(bag=bag, key=key) for word in asked))
    assert ran.code == 73 and "hint: " in ran.err and str(bag.parent.parent) in ran.err
    assert whole(bag)


def test_a_bag_that_was_taken_out_of_its_archive_is_not_written_into(
    bag: Path, run: Run, tmp_path: Path
) -> None:
    """Where it lies is no archive, and its folder is not called one; beside it there is room."""
    shutil.copytree(bag, tmp_path / "stick" / bag.name)
    ran = run("new", tmp_path / "stick" / bag.name / "again")
    assert ran.code == 73 and ran.err.splitlines()[-1].endswith("dossier archive FILE --to ARCHIVE")
    assert bagit.Bag(str(tmp_path / "stick" / bag.name)).is_valid()
    assert run("new", tmp_path / "stick" / "again").code == 0


def test_a_bag_gets_no_time_stamp_whether_a_server_is_named_or_not(bag: Path, run: Run) -> None:
    """It was first asked for a server, and with one refused."""
    ran = run("stamp", bag)
    assert ran.code == 64 and "--renew" in ran.err and "server" not in ran.err and whole(bag)


def test_a_bag_is_named_as_find_names_it(bag: Path, run: Run, tmp_path: Path) -> None:
    """It stands for the dossier in it: for a copy, a new job, a statement, a check."""
    key = bag.parents[2] / "workshop" / "keys" / "trial-key.pem"
    assert run("copy", bag, "--to", tmp_path / "copy").code == 0
    assert run("new", tmp_path / "again", "--from", bag).code == 0
    said = ("declare", "aftercare", bag, "--reason", "Wipe it.", "--key", key)
    assert run(*said, "--to", tmp_path / "said.json").code == 0
    assert run("check", tmp_path / "again").code == run("verify", tmp_path / "copy").code - 2 == 0
    assert whole(bag)


def test_what_cannot_be_read_is_found_and_named_as_that(put_away: Path, run: Run, tmp_path: Path) -> None:
    """The catalogue is lost and one byte of a record damaged: no line without number or name."""
    kept = shutil.copytree(put_away, tmp_path / "archive")
    (bag,) = (kept / "bags").iterdir()
    said = tmp_path / "said.json"
    key = put_away.parent / "workshop" / "keys" / "trial-key.pem"
    assert run("declare", "withdrawal", bag, "--reason", "Wrong job.", "--key", key, "--to", said).code == 0
    assert run("archive", said, "--to", kept).code == 0
    (later,) = [one for one in (kept / "bags").iterdir() if one != bag]
    for file in (bag / "data" / "dossier" / "record.json", *later.glob("data/statements/*")):
        data = file.read_bytes()
        file.write_bytes(data[:40] + b"~" + data[41:])
    (kept / "catalogue.sqlite").unlink()
    for words in ("2026-007", "satchel"):
        first, second, third = run("find", words, "--in", kept).out.splitlines()
        assert first.startswith(f"{bag.name}: its record cannot be read")
        assert second.strip() == str(bag)
        assert third.strip().startswith(f"{later.name}: what was said later cannot be read")


@pytest.mark.parametrize(
    ("received", "returned", "said"),
    [
        ("2026-03-02", "2026-04-03", "(2 March 2026 to 3 April 2026)"),
        ("2026-03-02", "", "(received 2 March 2026)"),
        ("", "2026-04-03", "(returned 3 April 2026)"),
        ("", "", "(no date)"),
    ],
)
def test_a_day_that_is_not_known_leaves_no_gap(received: str, returned: str, said: str) -> None:
    entry = Entry(bag="b", record="r", job="7", object="bag", received=received, returned=returned)
    assert _line(entry) == f"7  bag  {said}"


def test_another_copy_of_one_signing_is_a_bag_of_its_own(job: Path, run: Run, tmp_path: Path) -> None:
    """Copies of one signing share a digest, by which bags are named (FORMAT.md section 18)."""
    made = tmp_path / "made"
    compiled = run("compile", job, "--copy", "workshop", "--copy", "insurer", "--to", made)
    assert compiled.code == 0, compiled.err
    workshops, insurers = made, made.with_name(f"{made.name}-insurer")
    kept = tmp_path / "archive"
    put = ("archive", "--without-job", "--to", kept)
    assert run(*put, insurers).code == 0
    assert run(*put, insurers).code == 0, "the same copy again"
    for _ in range(2):
        assert run(*put, workshops).code == 0, "a fuller one after it"
    bare, full = sorted((kept / "bags").iterdir())
    assert (bare.name[-18:], "-copy-" in full.name) == (full.name[-18:], True)
    assert all(bagit.Bag(str(one)).is_valid() for one in (bare, full))
    said = tmp_path / "said.json"
    key = job.parent / "keys" / "trial-key.pem"
    assert run("declare", "withdrawal", made, "--reason", "Wrong job.", "--key", key, "--to", said).code == 0
    assert run("archive", said, "--to", kept).code == 0
    for bag in (bare, full):  # what is said of the record is said of every copy of it
        assert "record-withdrawn" in run("verify", bag, "--json").out
    found = run("find", "2026-007", "--in", kept).out
    assert found.count("Wrong job.") == 2
    assert found.count("; not in this copy: the details of 2 agreements, 1 private note, ") == 1
    (workshops / ".DS_Store").write_bytes(b"left by a window")
    assert "already" in run(*put, workshops).out
    (workshops / "letter.txt").write_bytes(b"what came later and lies beside is not passed over")
    assert "already" not in run(*put, workshops).out
    assert "already" in run(*put, workshops).out
    shutil.rmtree(bare)
    assert "already" in run("archive", said, "--to", kept).out, "also where its first bag is lost"


def test_a_record_alone_is_not_put_away_and_the_reason_is_in_words(
    bag: Path, run: Run, tmp_path: Path
) -> None:
    shutil.copy(bag / "data/dossier/record.json", tmp_path)
    ran = run("archive", tmp_path, "--to", tmp_path / "archive")
    assert ran.code != 0 and "there is no dossier.pdf in this folder" in ran.err


def test_what_a_broken_bag_holds_by_its_manifest_alone_is_put_away_again(
    bag: Path, run: Run, tmp_path: Path
) -> None:
    dossier = shutil.copytree(bag / "data/dossier", tmp_path / "dossier")
    archive = tmp_path / "archive"
    broken = shutil.copytree(bag, archive / "bags" / bag.name)
    assert "in the archive already" in run("archive", dossier, "--to", archive).out
    (broken / "data/dossier/dossier.pdf").unlink()
    ran = run("archive", dossier, "--to", archive, "--without-job")
    assert ran.code == 0 and "-copy-" in ran.out
    (again,) = (one for one in broken.parent.iterdir() if one != broken)
    assert bagit.Bag(str(again)).is_valid()


def test_an_archive_or_a_copy_in_what_it_is_made_of_is_refused(
    output: Path, run: Run, tmp_path: Path
) -> None:
    folder = shutil.copytree(output, tmp_path / "mine")
    before = sorted(folder.rglob("*"))
    for asked in (
        ("archive", folder, "--to", folder / "archive", "--without-job"),
        ("archive", folder, "--to", folder, "--without-job"),
        ("copy", folder, "--to", folder / "copy"),
    ):
        ran = run(*asked)
        assert ran.code == 64 and "would lie in" in ran.err
        assert sorted(folder.rglob("*")) == before


def test_what_a_trial_key_signed_is_put_away_with_a_word(output: Path, run: Run, tmp_path: Path) -> None:
    result = run("archive", output, "--to", tmp_path / "archive", "--without-job")
    assert result.code == 0 and "proves nothing" in result.err
