"""A file where the folder should be."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any


def make(folder: Path, as_workbook: Any) -> None:
    shutil.rmtree(folder)
    folder.write_text("job", encoding="utf-8")
