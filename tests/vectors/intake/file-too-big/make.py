"""One byte more than a note may have."""

from __future__ import annotations

from pathlib import Path
from typing import Any


def make(folder: Path, as_workbook: Any) -> None:
    (folder / "notes" / "long.md").write_bytes(b"x" * 5_000_001)
