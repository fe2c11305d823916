"""One file more than is looked at."""

from __future__ import annotations

from pathlib import Path
from typing import Any


def make(folder: Path, as_workbook: Any) -> None:
    for number in range(10_001):
        (folder / "notes" / f"{number}.bak").touch()
