"""What the workshop said about a record later goes along with a copy that a holder makes of it."""

from __future__ import annotations

import itertools
from pathlib import Path
from typing import Any

import msgspec
from click.testing import CliRunner

from dossier.cli.copy_command import command
from dossier.flows.verify import Asked, verify
from dossier.flows.verifying import lying_beside
from dossier.words import Catalogue


def test_statements_go_along_and_receipts_stay(bench: Any, tmp_path: Path) -> None:
    both = (bench.made.key, bench.made.second)
    said = bench.statement("withdrawal", *both)
    beside = {
        "withdrawal.json": said,
        "of-another.json": bench.statement("withdrawal", *both, other=True),
        "receipt.json": bench.receipt(),
        "record.json": (bench.folder / "record.json").read_bytes(),
    }
    for name, content in beside.items():
        bench.write(content, name)
    (bench.folder / "statements").mkdir()
    (bench.folder / "statements" / "second.json").write_bytes(bench.statement("aftercare", *both))
    ran = CliRunner().invoke(command, [str(bench.folder), "--to", str(tmp_path / "held")])
    assert ran.exit_code == 0, ran.output
    assert "what the workshop said later: second.json, withdrawal.json" in ran.output
    names = {path.name for path in (tmp_path / "held").iterdir()}
    assert {"withdrawal.json", "second.json"} <= names and not {"of-another.json", "receipt.json"} & names
    assert (tmp_path / "held" / "withdrawal.json").read_bytes() == said
    assert bench.check(tmp_path / "held").overall == "superseded"


def test_two_statements_of_one_name_both_go_along(bench: Any, tmp_path: Path) -> None:
    both = (bench.made.key, bench.made.second)
    (bench.folder / "statements").mkdir()
    bench.write(bench.statement("aftercare", *both), "said.json")
    bench.write(bench.statement("withdrawal", *both), "statements/said.json")
    ran = CliRunner().invoke(command, [str(bench.folder), "--to", str(tmp_path / "held")])
    assert ran.exit_code == 0, ran.output
    assert {"said.json", "said-2.json"} <= {path.name for path in (tmp_path / "held").iterdir()}
    assert bench.check(tmp_path / "held").overall == "superseded"


def test_a_statement_that_lies_there_twice_goes_along_once(bench: Any, tmp_path: Path) -> None:
    said = bench.statement("aftercare", bench.made.key, bench.made.second)
    (bench.folder / "Statements").mkdir()
    bench.write(said, "said.json")
    bench.write(said, "Statements/said.json")
    ran = CliRunner().invoke(command, [str(bench.folder), "--to", str(tmp_path / "held")])
    assert ran.exit_code == 0, ran.output
    assert "what the workshop said later: said.json" in ran.output
    assert not (tmp_path / "held" / "said-2.json").exists()


def test_a_folder_of_statements_is_looked_at_in_whichever_capitals(bench: Any) -> None:
    """Its card vouches for itself there too, and no check says that it did not look at the folder."""
    (bench.folder / "Statements").mkdir()
    bench.write(bench.statement("aftercare", bench.made.key, bench.made.second), "Statements/said.json")
    card = bench.write((bench.folder / "key-card.json").read_bytes(), "Statements/key-card.json")
    asked = msgspec.structs.replace(bench.asked(), trusted=(card,))
    checks = verify(bench.folder, asked).checks
    assert "aftercare-noted" in [one.code for one in checks]
    assert not [one for one in checks if one.code == "file-beside-not-checked" and "Statements" in one.where]
    (key,) = [one for one in checks if (one.check, one.verdict) == ("key status", "matches")]
    assert any("key-card.json" in place for place in key.where), key.where


def test_folders_of_statements_without_end_are_not_all_read(bench: Any) -> None:
    """Ten letters in either case are 1,024 names, with 8 MB of statements in each."""
    names = ["".join(one) for one in itertools.product("sS", "tT", "aA", ["tements"])]
    assert len(names) > lying_beside.MOST_FOLDERS
    for name in names:
        (bench.folder / name).mkdir()
    found = verify(bench.folder, bench.asked())
    (said,) = [one for one in found.checks if one.code == "statements-not-all-read"]
    assert len(said.where) == len(names) - lying_beside.MOST_FOLDERS and "statements/" not in said.where
    assert found.overall == "not confirmed"


def test_a_key_card_in_the_folder_above_is_offered_to_whoever_has_confirmed_nobody(bench: Any) -> None:
    card = bench.folder / "key-card.json"
    card.rename(bench.folder.parent / card.name)
    asked = Asked(today=bench.asked().today, words=Catalogue("en"))
    (said,) = [one for one in verify(bench.folder, asked).checks if one.check == "key status"]
    assert said.code == "key-not-confirmed"
    assert any("key card" in place for place in said.where), said.where
    (bench.folder.parent / card.name).write_bytes(b'{"card":{"payload":"cut')  # of no use, and no hindrance
    found = verify(bench.folder, bench.asked())
    assert found.overall == "in order"
