"""A short film beside the photograph of the same name, as a telephone writes both."""

from __future__ import annotations

from pathlib import Path
from typing import Any


def make(folder: Path, as_workbook: Any) -> None:
    (folder / "photos" / "A.MOV").write_bytes(b"\0\0\0\x14ftypqt  \0\0\0\0qt  " + bytes(99))
