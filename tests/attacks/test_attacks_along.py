"""What the workshop said about a record later goes along with a copy that a holder makes of it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from click.testing import CliRunner

from dossier.cli.copy_command import command


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
