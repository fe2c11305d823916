"""A folder where a file should be."""

from __future__ import annotations

from pathlib import Path
from typing import Any


def make(folder: Path, as_workbook: Any) -> None:
    (folder / "measurements.csv").unlink()
    (folder / "measurements.csv").mkdir()
