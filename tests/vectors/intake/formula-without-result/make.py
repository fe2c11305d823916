"""A formula that no spreadsheet program has worked out."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import openpyxl


def make(folder: Path, as_workbook: Any) -> None:
    path = as_workbook(folder)
    book = openpyxl.load_workbook(path)
    book["measurements"]["B2"] = "=300+12"
    book.save(path)
