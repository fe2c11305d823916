"""A table that is in the cloud alone, of which its mark is left."""

from __future__ import annotations

from pathlib import Path
from typing import Any


def make(folder: Path, as_workbook: Any) -> None:
    (folder / "marks.csv").rename(folder / ".marks.csv.icloud")
