"""What people type, as it is set: the apostrophe, square units, figures that stay with their unit or month.

Nothing else of a text is touched: quotation marks, dashes and spaces stand as they were typed, since what
they mean depends on who typed them. The record keeps every letter; these are marks of the page.
"""

from __future__ import annotations

import re

# Between two Latin letters the typewriter's mark is an apostrophe, and U+2019 is how one is set (The Unicode
# Standard, 6.2 "Apostrophes").
_APOSTROPHE = re.compile(r"(?<=[A-Za-z\u00c0-\u024f])'(?=[A-Za-z\u00c0-\u024f])")
_WORD = re.compile(r"\S+")
# A space stands between figure and symbol (SI Brochure, 9th edition, 5.4.3) and keeps both on one line.
# The inch is left out: "in" is a word far more often. Pieces, in the languages of the pages, stay so too.
_COUNTED = "pieces?|Stück|pièces?|pezz[io]|unidad(?:es)?|piezas?"
_UNIT = re.compile(
    rf"(?<=\d) (?=(?:{_COUNTED}|(?:[µμnkcdm]?[mg]|[cdm]?l|kg|ft|oz|lb|kV|V|K|°[CF]?|%)[23²³]?)(?!\w))"
)
_POWER = re.compile(r"(?<=\d[ \u00a0])([kcdmµμ]?m)([23])(?!\w)")
# A day and its month are not parted at the end of a line (common practice, no source): whatever the month is
# called where a year follows.
_DAY = re.compile(r"(?<!\d)(\d{1,2}(?:\.|er)?) (?=(?:de )?[^\W\d_]{3,10}\.?(?: de)? \d{4}(?!\d))")
# Months in the languages of the pages and cut short; English and German write them with a capital.
_MONTHS = (
    "January|February|March|April|May|June|July|August|September|October|November|December|"
    "Januar|Jänner|Februar|März|Mai|Juni|Juli|Oktober|Dezember|"
    "Jan|Feb|Mar|Apr|Jun|Jul|Aug|Sept?|Oct|Okt|Nov|Dec|Dez|"
    "[Jj]anvier|[Ff]évrier|[Mm]ars|avril|mai|[Jj]uin|[Jj]uillet|[Aa]oût|septembre|octobre|novembre|décembre|"
    "[Gg]ennaio|[Ff]ebbraio|[Mm]arzo|[Aa]prile|[Mm]aggio|[Gg]iugno|[Ll]uglio|[Aa]gosto|settembre|ottobre|"
    "dicembre|[Ee]nero|[Ff]ebrero|[Aa]bril|[Mm]ayo|[Jj]unio|[Jj]ulio|septiembre|octubre|noviembre|diciembre"
)
_DAY_ALONE = re.compile(rf"(?<!\d)(\d{{1,2}}(?:\.|er)?) (?=(?:de )?(?:{_MONTHS})(?!\w))")
_RAISED = {"2": "\u00b2", "3": "\u00b3"}


def _with_apostrophes(word: re.Match[str]) -> str:
    """The word; an e-mail or web address as it is, since it is typed off the page."""
    return word[0] if "@" in word[0] or "://" in word[0] else _APOSTROPHE.sub("\u2019", word[0])


def as_set(text: str) -> str:
    """`text` with its marks as a page has them; as many characters as before."""
    if "'" in text:
        text = _WORD.sub(_with_apostrophes, text)
    if " " not in text:
        return text
    text = _UNIT.sub("\u00a0", _DAY_ALONE.sub("\\1\u00a0", _DAY.sub("\\1\u00a0", text)))
    return _POWER.sub(lambda found: found[1] + _RAISED[found[2]], text)
