"""Each measurement says what it is and what it takes, and begins nothing when that alone is asked."""

from __future__ import annotations

import runpy
import sys
from pathlib import Path

import pytest

BENCH = Path(__file__).parents[1] / "bench"


@pytest.mark.parametrize("name", sorted(path.name for path in BENCH.glob("*.py")))
def test_its_help(name: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(sys, "argv", [name, "--help"])
    monkeypatch.setattr(sys, "path", [str(BENCH), *sys.path])
    with pytest.raises(SystemExit) as ended:
        runpy.run_path(str(BENCH / name), run_name="__main__")
    assert ended.value.code == 0
    assert capsys.readouterr().out.startswith("usage: ")
