"""A material that was typed once, its cell merged over two parts."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import openpyxl


def make(folder: Path, as_workbook: Any) -> None:
    path = as_workbook(folder)
    book = openpyxl.load_workbook(path)
    headings = [cell.value for cell in book["parts"][1]]
    column = headings.index("material") + 1
    book["parts"].merge_cells(start_row=3, end_row=4, start_column=column, end_column=column)
    book.save(path)
