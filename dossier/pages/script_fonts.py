"""The fonts for what the families of the pages lack: other scripts, Chinese, Japanese and Korean, signs.

Found in the packages that hold them without importing these; opened when a text first needs one. A package
that is an extra (`dossier[cjk]`) may be missing: its scripts then cannot be printed.
"""

from __future__ import annotations

from functools import cache
from importlib.util import find_spec
from pathlib import Path

from dossier.pages.tagging.glyphs import Face

SEMIBOLD = 600

# Package of the registries -> whose forms of Han characters, and files by style of letter. A text is drawn in
# the forms of its language, as far as its letters tell; a name that could be of several is in its Japanese
# form, and what that font lacks comes from the next.
_HAN = (
    ("pylopdf_fonts_jp", "ja", "NotoSerifJP-Regular.otf", "NotoSansJP-Regular.otf"),
    ("pylopdf_fonts_zh_cn", "zh-Hans", "NotoSerifSC-Regular.otf", "NotoSansSC-Regular.otf"),
    ("pylopdf_fonts_ko", "ko", "NotoSerifKR-Regular.otf", "NotoSansKR-Regular.otf"),
    ("pylopdf_fonts_zh_tw", "zh-Hant", "NotoSerifTC-Regular.otf", "NotoSansTC-Regular.otf"),
)
_SCRIPTS = "manimgx_fonts"
# Before the one of `_SCRIPTS`, which takes Arabic letters apart into bodies and dots: a dot is a glyph
# without a letter, and programs that read text from a page then give the letters in the wrong order.
_ARABIC = (
    "fontpkg_ibm_plex_sans_arabic",
    "files/IBMPlexSansArabic-Regular.ttf",
    "files/IBMPlexSansArabic-SemiBold.ttf",
)
_SCRIPT_NAMES = (
    "",
    "Hebrew",
    "Arabic",
    "Devanagari",
    "Thai",
    "Armenian",
    "Georgian",
    "Bengali",
    "Gujarati",
    "Gurmukhi",
    "Oriya",
    "Tamil",
    "Telugu",
    "Kannada",
    "Malayalam",
    "Sinhala",
    "Lao",
    "Khmer",
    "Myanmar",
    "Ethiopic",
)
_SIGNS = ("NotoSansSymbols[wght].ttf", "NotoEmoji[wght].ttf")


@cache
def faces(serif: bool, bold: bool) -> tuple[Face, ...]:
    """The faces to try in order, for a serif or sans serif text, upright or bold."""
    weight = SEMIBOLD if bold else 0
    arabic = _face(_ARABIC[0], _ARABIC[2 if bold else 1])
    scripts = [_face(_SCRIPTS, f"NotoSans{name}[wght].ttf", weight) for name in _SCRIPT_NAMES]
    han = [
        _face(package, files[0 if serif else 1], bolder=bold, language=language)
        for package, language, *files in _HAN
    ]
    signs = [_face(_SCRIPTS, name, weight) for name in _SIGNS]
    return tuple(face for face in (arabic, *scripts, *han, *signs) if face)


def _face(
    package: str, file: str, weight: int = 0, *, bolder: bool = False, language: str = ""
) -> Face | None:
    folder = _folder(package)
    return Face(folder / file, weight, bolder, language) if folder and (folder / file).is_file() else None


@cache
def _folder(package: str) -> Path | None:
    spec = find_spec(package)
    places = spec.submodule_search_locations if spec else None
    return Path(places[0]) if places else None


def has_extra() -> bool:
    """Whether the fonts of `dossier[cjk]` are there."""
    return all(_folder(package) for package, *_ in _HAN)
