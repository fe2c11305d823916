"""What `dossier compile` says it has made."""

from __future__ import annotations

from pathlib import Path

import pytest

from dossier.cli.compile_command import _report
from dossier.flows.compile import Compiled, _targets
from dossier.flows.compiling.options import Options


@pytest.mark.parametrize("draft", [True, False])
def test_each_copy_is_said_where_it_lies(draft: bool, capsys: pytest.CaptureFixture[str]) -> None:
    """Of a draft in several copies only the first was said."""
    made = Compiled(
        pdf=Path("owner.pdf"),
        others=(Path("resale.pdf"), Path("insurer.pdf")),
        draft=draft,
        record="urn:uuid:0",
        digest="0" * 64,
        bytes=1,
        photographs=1,
        trial_key=False,
        findings=(),
    )
    _report(made)
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[-1] for line in lines[:3]] == ["owner.pdf", "resale.pdf", "insurer.pdf"]
    assert any("urn:uuid:0" in line for line in lines) == (not draft)
    assert lines[-1] == "Size:    0.0 MB, one photograph"


@pytest.mark.parametrize(
    ("named", "first", "other"),
    [("out", "out", "out-owner"), ("a/out", "a/out", "a/out-owner"), (".", ".", "{here}/d-owner")],
)
def test_each_copy_is_named_as_the_first_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, named: str, first: str, other: str
) -> None:
    """The first was said by the relative path that was given, and each further one by its absolute path."""
    (tmp_path / "d").mkdir()
    monkeypatch.chdir(tmp_path / "d")
    folders = _targets(Path(named), Options(copy="workshop", others=("owner",)))
    assert folders == [Path(first), Path(other.format(here=tmp_path))]
