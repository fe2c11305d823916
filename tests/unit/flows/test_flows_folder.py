"""The files beside a dossier's PDF: each is the one inside, or is told (FORMAT.md, check 2)."""

from __future__ import annotations

from pathlib import Path

from dossier.flows.verifying import folder
from dossier.words import Catalogue


def test_a_file_that_has_no_match_inside_is_named(tmp_path: Path) -> None:
    """The PDF lacks it, which is said elsewhere; this one was compared with nothing."""
    for name in ("record.json", "certificate.pem"):
        (tmp_path / name).write_bytes(b"x")
    inside = {"certificate.pem"}
    answers = folder.look(tmp_path, inside, lambda _path, _name: True, frozenset(), Catalogue("en"))
    found = {one.code: one.where for one in answers}
    assert found["file-beside-not-checked"] == ("record.json",)
    assert "file-beside-differs" not in found
