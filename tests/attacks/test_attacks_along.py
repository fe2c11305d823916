"""What the workshop said about a record later goes along with a copy that a holder makes of it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from click.testing import CliRunner

from dossier.cli.copy_command import command
from dossier.flows.verify import Asked, verify
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
