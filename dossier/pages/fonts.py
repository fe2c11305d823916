"""The two families that pages are set in: a serif for reading, a sans serif for tables and labels.

Figures of both are of one width (tabular) as they come, so columns of numbers line up. Semibold serves as
bold. A character that a face lacks is drawn from the upright face of its family, then from the sans serif,
then from the fonts for other scripts (`script_fonts`).
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from unicodedata import category

import font_source_sans_pro
import font_source_serif_pro

from dossier.pages.script_fonts import faces
from dossier.pages.tagging.composed import covered, line_of
from dossier.pages.tagging.fontfile import Font, register_fonts

SERIF, SERIF_ITALIC = "Serif", "Serif-Italic"
SERIF_BOLD, SERIF_BOLD_ITALIC = "Serif-Semibold", "Serif-SemiboldItalic"
SANS, SANS_ITALIC = "Sans", "Sans-Italic"
SANS_BOLD, SANS_BOLD_ITALIC = "Sans-Semibold", "Sans-SemiboldItalic"

_NO_LETTER = ("Co", "Cn", "Cs")  # private use, not assigned, halves of characters
_TURNING = frozenset("\u202d\u202e")  # left-to-right and right-to-left override


@cache
def fonts() -> tuple[Font, ...]:
    """Every font of the pages, a fallback before the fonts that use it."""
    serif, sans = _folder(font_source_serif_pro), _folder(font_source_sans_pro)
    return (
        _font(SANS, sans / "SourceSansPro-Regular.ttf"),
        _font(SANS_BOLD, sans / "SourceSansPro-Semibold.ttf", SANS),
        _font(SANS_ITALIC, sans / "SourceSansPro-It.ttf", SANS),
        _font(SANS_BOLD_ITALIC, sans / "SourceSansPro-SemiboldIt.ttf", SANS_BOLD),
        _font(SERIF, serif / "SourceSerifPro-Regular.ttf", SANS),
        _font(SERIF_BOLD, serif / "SourceSerifPro-Semibold.ttf", SERIF),
        _font(SERIF_ITALIC, serif / "SourceSerifPro-It.ttf", SERIF),
        _font(SERIF_BOLD_ITALIC, serif / "SourceSerifPro-SemiboldIt.ttf", SERIF_BOLD),
    )


def _font(name: str, path: Path, fallback: str = "") -> Font:
    """A font of one of the two families, by its name; what it lacks a face of the same kind has."""
    family, _, cut = name.partition("-")
    bold = cut.startswith("Semibold")
    also = faces(serif=family == SERIF, bold=bold)
    return Font(name, path, family, bold, cut.endswith("Italic"), fallback, also)


def _folder(package: object) -> Path:
    return Path(str(getattr(package, "font_directory", Path(str(package.__file__)).parent / "files")))  # type: ignore[attr-defined]


@cache
def register() -> tuple[Font, ...]:
    """Makes the families known to reportlab; needed before the first style is used. Gives the fonts back."""
    register_fonts(fonts())
    return fonts()


def missing_glyphs(text: str) -> str:
    """The characters of `text` that no page can show, each once, in order.

    Those that no font has, of which a box would be drawn; private ones, which mean something else in every
    font; and those that turn other letters round: what is read on a page is what was written.
    """
    register()
    there = {c for c in covered(text, SERIF) if c not in _TURNING and category(c) not in _NO_LETTER}
    return "".join(c for c in dict.fromkeys(text) if c not in there)


def pieces(text: str) -> list[tuple[str, Path, bool]]:
    """One line of `text` as stretches from left to right: letters as read, the font file that has them, and
    whether they run right to left.
    """
    sans = register()[0]
    line = line_of(text, sans.name, 1)
    return [
        (item.text, item.glyphs.source.path if item.glyphs else sans.path, item.right_to_left)
        for item in line.items
    ]
