"""Where a word that is wider than its column may be broken, in the language of the pages.

The patterns are those of the dictionaries in the package pyphen, applied as F. M. Liang describes ("Word
Hy-phen-a-tion by Com-put-er", 1983): odd numbers between letters allow a break. They are looked up as they
stand in the file, which takes a tenth of the time of reading each of 78,000 for German. Not done here: words
that fit are never broken; spellings that change at a break.
"""

from __future__ import annotations

import re
from functools import cache, lru_cache
from importlib.util import find_spec
from pathlib import Path

from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import stringWidth

from dossier.pages.tagging.breaks import SOFT_HYPHEN

LEAST = 3  # letters at either end
_MOST = 64  # letters of a word
_FILES = {
    "de": "hyph_de_DE.dic",
    "en": "hyph_en_GB.dic",
    "es": "hyph_es.dic",
    "fr": "hyph_fr.dic",
    "it": "hyph_it_IT.dic",
}
_NO_DIGITS = str.maketrans("", "", "0123456789")
_TOKEN = re.compile(r"\S+")
_LETTERS = re.compile(r"[^\W\d_]{6,}")


def fitted(text: str, style: ParagraphStyle, width: float, language: str) -> str:
    """`text` with places to break in the words that are wider than `width` points."""
    least = int(width / style.fontSize)  # no letter is wider than the size

    def word(found: re.Match[str]) -> str:
        token = found[0]
        if len(token) <= least or stringWidth(token, style.fontName, style.fontSize) <= width:
            return token
        return _LETTERS.sub(lambda letters: hyphenated(letters[0], language), token)

    return _TOKEN.sub(word, text) if len(text) > least else text


@lru_cache(maxsize=1024)
def hyphenated(word: str, language: str) -> str:
    """A word with a soft hyphen wherever it may be broken; as it is where no pattern says so."""
    patterns = _patterns(language)
    dotted = f".{word.lower()}."
    if not patterns or len(dotted) != len(word) + 2 or len(word) > _MOST:
        return word
    values = [0] * (len(dotted) + 1)
    for start in range(len(dotted)):
        for end in range(start + 1, len(dotted) + 1):
            _raise(values, start, patterns.get(dotted[start:end], ""))
    allowed = [at for at in range(LEAST, len(word) - LEAST + 1) if values[at + 1] % 2]
    return SOFT_HYPHEN.join(word[i:j] for i, j in zip([0, *allowed], [*allowed, len(word)], strict=True))


def _raise(values: list[int], at: int, pattern: str) -> None:
    """The highest number between two letters counts."""
    for character in pattern:
        if character.isdigit():
            values[at] = max(values[at], int(character))
        else:
            at += 1


@cache
def _patterns(language: str) -> dict[str, str]:
    """The letters of each pattern -> the pattern; what is no pattern has signs that no word has."""
    folder = _folder()
    if language not in _FILES or folder is None:
        return {}
    data = (folder / "dictionaries" / _FILES[language]).read_bytes()
    encoding, _, rest = data.partition(b"\n")
    text = rest.decode(encoding.decode("ascii").strip())
    return dict(zip(text.translate(_NO_DIGITS).splitlines(), text.splitlines(), strict=True))


def _folder() -> Path | None:
    spec = find_spec("pyphen")
    places = spec.submodule_search_locations if spec else None
    return Path(places[0]) if places else None
