"""A workbook beside the plain files."""

from __future__ import annotations

from pathlib import Path
from typing import Any


def make(folder: Path, as_workbook: Any) -> None:
    (folder / "job.xlsx").write_bytes(b"")
