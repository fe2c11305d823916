"""A note at a cell, as a spreadsheet program lays it in a part of its own."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import openpyxl
from openpyxl.comments import Comment


def make(folder: Path, as_workbook: Any) -> None:
    path = as_workbook(folder)
    book = openpyxl.load_workbook(path)
    book["parts"]["B2"].comment = Comment("found in the attic", "AB")
    book.save(path)
