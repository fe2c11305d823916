"""Runs the coverage-guided fuzzing of every parser for a while; `-m campaign`, where atheris is installed.

`python tests/fuzz/coverage_guided.py` does the same for as long as one likes.
"""

from __future__ import annotations

import importlib.util
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.campaign

SECONDS = 20  # for each of the targets
SCRIPT = Path(__file__).with_name("coverage_guided.py")


def test_no_parser_lets_anything_out(tmp_path: Path) -> None:
    if importlib.util.find_spec("atheris") is None:
        pytest.skip("atheris is not installed: pip install atheris")
    words = [sys.executable, str(SCRIPT), "--seconds", str(SECONDS)]
    done = subprocess.run(words, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout[-4000:]
    assert list(tmp_path.iterdir()) == []
