"""A note as an editor of texts saves it."""

from __future__ import annotations

from pathlib import Path
from typing import Any


def make(folder: Path, as_workbook: Any) -> None:
    (folder / "notes").mkdir(exist_ok=True)
    (folder / "notes" / "letter.docx").write_bytes(b"PK")
