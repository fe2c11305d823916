"""A sheet of the person's own, with a name that is like none that is read."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import openpyxl


def make(folder: Path, as_workbook: Any) -> None:
    path = as_workbook(folder)
    book = openpyxl.load_workbook(path)
    book.create_sheet("Sums of mine").append(["hours", "rate"])
    book.save(path)
