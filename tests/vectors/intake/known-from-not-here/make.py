"""A basis where none is asked."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import openpyxl


def make(folder: Path, as_workbook: Any) -> None:
    path = as_workbook(folder)
    book = openpyxl.load_workbook(path)
    book["job"]["C2"] = "seen"
    book.save(path)
