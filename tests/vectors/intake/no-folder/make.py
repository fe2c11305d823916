"""The folder is not there."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any


def make(folder: Path, as_workbook: Any) -> None:
    shutil.rmtree(folder)
