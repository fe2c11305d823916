"""Words as they are compared: without case, accents and punctuation; and phrases to look for in them."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

_WORD = re.compile(r"[^\W_]+")


def normal(text: str) -> str:
    """Words of `text` in lower case without accents or punctuation, one space between."""
    flat = text.casefold()
    if not flat.isascii():
        marked = unicodedata.normalize("NFKD", flat)
        flat = "".join(c for c in marked if not unicodedata.combining(c)).casefold()
    return " ".join(_WORD.findall(flat))


def phrases(wanted: Iterable[str]) -> re.Pattern[str]:
    """Whole words in normal form, with or without a plural s; "word*" and "*word" also find longer ones.

    "*word*" stands anywhere: for languages that write words together, or without spaces.
    """
    alternatives = (
        (r"\w*" if phrase.startswith("*") else "")
        + re.escape(normal(phrase))
        + (r"\w*" if phrase.endswith("*") else r"(?:s|es)?")
        for phrase in wanted
    )
    return re.compile(rf"\b(?:{'|'.join(alternatives)})\b")
