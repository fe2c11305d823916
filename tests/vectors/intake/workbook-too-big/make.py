"""A small file that unpacks to a large one."""

from __future__ import annotations

import zipfile
from pathlib import Path
from typing import Any


def make(folder: Path, as_workbook: Any) -> None:
    with zipfile.ZipFile(as_workbook(folder), "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/worksheets/sheet99.xml", b" " * 32_000_001)
