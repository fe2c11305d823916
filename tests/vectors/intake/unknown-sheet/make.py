"""A sheet whose name is nearly one that is read."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import openpyxl


def make(folder: Path, as_workbook: Any) -> None:
    path = as_workbook(folder)
    book = openpyxl.load_workbook(path)
    book.create_sheet("prats").append(["number", "part"])
    book.save(path)
