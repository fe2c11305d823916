"""Bytes that are no workbook."""

from __future__ import annotations

from pathlib import Path
from typing import Any


def make(folder: Path, as_workbook: Any) -> None:
    as_workbook(folder).write_bytes(b"PK but no workbook")
