"""A link that leads out of the job folder."""

from __future__ import annotations

from pathlib import Path
from typing import Any


def make(folder: Path, as_workbook: Any) -> None:
    (folder / "notes" / "away.md").symlink_to(folder.parent / "outside.md")
    (folder.parent / "outside.md").write_text("not of this job")
