"""No workshop here or above."""

from __future__ import annotations

from pathlib import Path
from typing import Any


def make(folder: Path, as_workbook: Any) -> None:
    (folder / "workshop.toml").unlink()
