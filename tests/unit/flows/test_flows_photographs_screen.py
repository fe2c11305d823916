"""Whether a picture is one of a screen: by its name in the languages people work in, or by its shape."""

from __future__ import annotations

from unicodedata import normalize

import pytest

from dossier.flows import photographs
from dossier.model.job import PhotoFacts
from dossier.words import Catalogue

WORDS = Catalogue()


@pytest.mark.parametrize(
    ("file", "width", "height", "screen"),
    [
        # As systems name and shape them (common practice, no source).
        ("Bildschirmfoto 2026-03-01.png", 640, 480, True),
        (normalize("NFD", "Capture d’écran 2026-03-01.png"), 640, 480, True),
        ("スクリーンショット 2026-03-01.png", 640, 480, True),
        ("picture.png", 2560, 1600, True),
        ("picture.png", 3000, 2000, False),
        ("écrin.jpg", 640, 480, False),
    ],
)
def test_a_picture_of_a_screen_is_known_by_name_or_shape(
    file: str, width: int, height: int, screen: bool
) -> None:
    kind = "image/png" if file.endswith("png") else "image/jpeg"
    facts = PhotoFacts(file=file, bytes=1, media_type=kind, width=width, height=height)
    assert bool(photographs._screen(facts, WORDS)) is screen
