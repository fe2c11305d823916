"""A cell that shows an error."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import openpyxl


def make(folder: Path, as_workbook: Any) -> None:
    path = as_workbook(folder)
    book = openpyxl.load_workbook(path)
    book["measurements"]["C2"].value = "#REF!"
    book.save(path)
