"""A job just begun."""

from __future__ import annotations

from pathlib import Path
from typing import Any


def make(folder: Path, as_workbook: Any) -> None:
    for name in ("parts", "work", "photos", "marks", "measurements"):
        (folder / f"{name}.csv").unlink()
