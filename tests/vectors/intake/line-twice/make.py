"""The same line of the sheet "job" twice."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import openpyxl


def make(folder: Path, as_workbook: Any) -> None:
    path = as_workbook(folder)
    book = openpyxl.load_workbook(path)
    book["job"]["A60"], book["job"]["B60"] = "object: type", "purse"
    book.save(path)
