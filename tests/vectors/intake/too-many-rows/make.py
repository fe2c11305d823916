"""One row more than is read."""

from __future__ import annotations

from pathlib import Path
from typing import Any


def make(folder: Path, as_workbook: Any) -> None:
    rows = ["what,value", *("width,1" for _ in range(20_001))]
    (folder / "measurements.csv").write_text("\n".join(rows))
