"""What a measurement says of its photograph: the neutral name, as everything in clear sight (FORMAT.md 5)."""

from __future__ import annotations

import pytest

from dossier.account.measured_on import with_neutral_names
from dossier.model.rows import Measurement
from dossier.words import Catalogue

WORDS = Catalogue("en")
FILES = ("Mrs Q's case.jpg", "case.jpg", "IMG_1.HEIC", "left out.jpg", "plain")
NAMES = {"Mrs Q's case.jpg": "photo-001.jpg", "case.jpg": "photo-002.jpg", "IMG_1.HEIC": "photo-003.heic"}


@pytest.mark.parametrize(
    ("how", "said"),
    [
        ("on Mrs Q's case.jpg by scale 1", "on photo-001.jpg by scale 1"),
        ("between case.jpg (x) and IMG_1.heic (y)", "between photo-002.jpg (x) and photo-003.heic (y)"),
        ("on photos/CASE.JPG; taken square-on", "on photo-002.jpg; taken square-on"),
        ("on left out.jpg", "on a photograph that is not in this record"),
        ("a suitcase.jpg2 is no name", "a suitcase.jpg2 is no name"),
        ("plain words stay", "plain words stay"),
        ("", ""),
    ],
)
def test_names(how: str, said: str) -> None:
    row = Measurement(what="width", value="3", how=how)
    (found,) = with_neutral_names([row], FILES, NAMES, WORDS)
    assert found.how == said
    assert (found.what, found.value) == ("width", "3")


def test_without_photographs_nothing_is_looked_for() -> None:
    row = Measurement(what="width", value="3", how="on case.jpg")
    assert with_neutral_names([row], (), {}, WORDS) == (row,)
