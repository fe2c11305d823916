"""Every stable code of a record's or a code's check has a vector that gives it, named by it."""

from __future__ import annotations

from pathlib import Path

import make_vectors
import pytest

from dossier.errors import UnreadableError
from dossier.model.result import Check
from dossier.seal import code, record, trust
from dossier.seal.codes import CODES, DISCLOSURES, KEY, SIGNATURES, UNREADABLE
from dossier.words import Catalogue

VECTORS = Path(__file__).parents[2] / "vectors"
FOLDERS = sorted(
    (folder for room in ("record", "code") for folder in (VECTORS / room).iterdir() if folder.is_dir()),
    key=str,
)
# Given only where the installation lacks an algorithm; shown in test_seal_signatures.py.
NOT_BY_BYTES = {"algorithm-unavailable"} | {
    "card-other-name",
    "certificate-other-name",
    "code-other-page",
}  # test_seal_names.py, test_seal_code.py


def answers(folder: Path) -> list[Check]:
    words = Catalogue("en")
    trusted = folder / "trusted.json"
    trusting = trust.from_file(trusted) if trusted.exists() else trust.NOBODY
    sealed = None
    if (folder / "record.json").exists():
        sealed = record.from_json((folder / "record.json").read_bytes())
    if not (folder / "code.txt").exists():
        assert sealed is not None
        return list(record.check(sealed, words, trust=trusting).checks)
    summary = code.read((folder / "code.txt").read_text(encoding="utf-8"))
    opened = record.open_record(sealed) if sealed else None
    return list(code.check(summary, words, trust=trusting, record=opened))


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: f"{folder.parent.name}/{folder.name}")
def test_each_vector_gives_the_code_it_is_named_by(folder: Path) -> None:
    expected = folder.name.partition("--")[0]
    if expected in UNREADABLE:
        with pytest.raises(UnreadableError) as caught:
            answers(folder)
        assert caught.value.code == expected
        return
    name, verdict = CODES[expected]
    given = [check for check in answers(folder) if check.check == name]
    assert given[0].code == expected  # others may follow from it
    assert {check.verdict for check in given} == {verdict}
    if verdict == "does not match" and name == SIGNATURES:
        assert "key-confirmed" not in [check.code for check in answers(folder)]


def test_every_code_has_a_vector() -> None:
    named = {folder.name.partition("--")[0] for folder in FOLDERS if any(folder.iterdir())}
    assert named == (set(CODES) | set(UNREADABLE)) - NOT_BY_BYTES


def test_the_vectors_are_those_the_script_makes() -> None:
    found = {
        file.relative_to(VECTORS).as_posix(): file.read_bytes()
        for folder in FOLDERS
        for file in folder.iterdir()
    }
    assert found == make_vectors.all_vectors()


def test_every_code_has_words() -> None:
    words = Catalogue("en")
    assert [name for name in [*CODES, *UNREADABLE] if not words.has(f"seal.code.{name}")] == []
    assert {name for name, _ in CODES.values()} == {SIGNATURES, KEY, DISCLOSURES, "pages against record"}
