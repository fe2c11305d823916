"""More problems in one file than are listed."""

from __future__ import annotations

from pathlib import Path
from typing import Any


def make(folder: Path, as_workbook: Any) -> None:
    rows = ["what,value,date", *(f"width,{number},soon" for number in range(600))]
    (folder / "measurements.csv").write_text("\n".join(rows))
