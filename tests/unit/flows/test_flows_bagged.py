"""Where an archive's bag is found above a path: RFC 8493 section 2.1 has three parts that a bag must have."""

from __future__ import annotations

from pathlib import Path

import pytest

from dossier.errors import OutputError
from dossier.flows.bagged import archive_around, refuse

PARTS = ("bagit.txt", "manifest-sha512.txt", "data")


def lay(folder: Path, parts: tuple[str, ...]) -> Path:
    (folder / "data" / "dossier" if "data" in parts else folder).mkdir(parents=True)
    for name in parts:
        if name.endswith(".txt"):
            (folder / name).write_bytes(b"")
    return folder


@pytest.mark.parametrize("lacking", PARTS)
def test_a_stray_file_above_is_no_bag(tmp_path: Path, lacking: str) -> None:
    stray = lay(tmp_path / "bags" / "2026-001", tuple(part for part in PARTS if part != lacking))
    for target in (stray / "data" / "dossier", tmp_path / "bags" / "new"):
        assert archive_around(target) is None
        refuse(target)


def test_nothing_is_put_into_a_bag_or_among_an_archive_s(tmp_path: Path) -> None:
    bag = lay(tmp_path / "bags" / "2026-001", PARTS)
    for target in (bag, bag / "data" / "dossier" / "copy", tmp_path / "bags" / "new"):
        assert archive_around(target) == tmp_path
        with pytest.raises(OutputError):
            refuse(target)
