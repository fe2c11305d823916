"""A copy of a photograph beside the job, where none is read."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any


def make(folder: Path, as_workbook: Any) -> None:
    shutil.copy(folder / "photos" / "A.jpg", folder / "A.jpg")
