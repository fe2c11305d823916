"""The bytes of a text file to letters, whichever program wrote it.

UTF-8 with or without its mark, UTF-16 with it, Shift-JIS as Japanese programs of Windows write it (code page
932), Mac OS Roman where lines end in CR alone, else Windows-1252. Pure. Invariants: Shift-JIS is taken only
where the text is Japanese by its letters, as many bytes of a European text have a meaning in it too; a text
whose letters might be others in another code page has `doubts`, of which a person is told.
"""

from __future__ import annotations

import codecs
import re
from typing import NamedTuple

SHIFT_JIS, WESTERN, MAC = "cp932", "cp1252", "mac_roman"
_NAMES = {SHIFT_JIS: "Shift-JIS", WESTERN: "Windows-1252", MAC: "Mac OS Roman"}
# Central European, Turkish and Baltic: a letter that all have in the same place (ä, ö, ü, ß, é) is no doubt.
# Of Cyrillic and Greek (1251, 1253) most letters lie where these differ.
_NEIGHBOURS = ("cp1250", "cp1254", "cp1257")
# Patterns are compiled where a text needs them: what is in Unicode, as nearly all is, needs none.
# Letters of DOS ("CSV (MS-DOS)", code pages 850, 852: é is where ‚ is) and of ISO 8859-2 (ą where ± is), as
# signs that stand between no two letters, some of them behind none; an old Mac's ä, as Š within a word. What
# lies on a letter that all have (ń of 852 on ä, š on ç, Ü on š) or begins a word (Ś on ¦) is not told alone:
# German would be asked of too.
_MISPLACED = r"(?<=[^\W\d_])(?:[‚„…†‡‰“”•™«»‹›©®¡£¥§](?=[^\W\d_])|[ˆ˜¢¤¦¨¬¯¶¸]|±(?!\s?\d))|(?<=[a-zß-ÿ])[ŠŽ]"
_WORD = r"[A-Za-z\x80-\U0010ffff]+"  # with ³, ¿ and their like, which are letters elsewhere
MOST_WORDS = 8
_OTHER = r"[\uff61-\uff9f]"  # half as wide, of one byte, where the letters of Europe lie
_WIDE = r"[^\0-\x7f\uff61-\uff9f]"
_NO_LETTER = r"[\x80-\x9f\ue000-\uf8ff]"
# "été" would be 騁 and what follows. Of Japanese most letters are kana, or stand beside no Latin letter.
_JAPANESE = r"[\u3041-\u30ff]|(?<![A-Za-z])[^\0-\x7f\uff61-\uff9f](?![A-Za-z])"
# So would 12”W be 12埜, and the 1920’s 1920痴: where it may be that, one letter stands clear of figures.
_SURE = r"[\u3041-\u30ff]|(?<![0-9A-Za-z\uff61-\uff9f])[^\0-\x7f\uff61-\uff9f](?![0-9A-Za-z\uff61-\uff9f])"
# First bytes of kana and the usual kanji are below it, those of European letters above (JIS X 0208).
_USUAL = 0xA0


def decoded(data: bytes) -> str | None:
    """The text; None when it is no text.

    A program that reads the mark as text and writes its own before it leaves two.
    """
    try:
        text = data.decode(_encoding(data))
    except UnicodeDecodeError:
        return None
    # Made of a marked text by another program, a text can have the mark twice (Unicode 23.8).
    return None if "\0" in text else text.lstrip("\ufeff")


class Doubts(NamedTuple):
    """As what a text was read that does not say it, and words that have other letters if it is not that."""

    read_as: str
    words: tuple[str, ...]


def doubts(data: bytes) -> Doubts | None:
    """None where there are none: in Unicode, or where the code pages of the neighbours agree."""
    read_as = _encoding(data)
    if read_as not in _NAMES:
        return None
    text = data.decode(read_as, "ignore")
    unsure = {letter for letter in set(text) if _may_be_another(letter, read_as)}
    unsure |= set(re.findall(_MISPLACED, text)) if read_as == WESTERN else set()
    words: dict[str, str] = {}  # by letter, so that each is seen in one word
    for word in re.findall(_WORD, text) if unsure else ():
        if any(map(str.isalpha, word)):
            words |= dict.fromkeys(unsure & set(word) - words.keys(), word)
    seen = tuple(dict.fromkeys(words.values()))[:MOST_WORDS]
    return Doubts(_NAMES[read_as], seen) if seen else None


def _may_be_another(letter: str, read_as: str) -> bool:
    if letter.isascii() or read_as != WESTERN:
        return not letter.isascii()
    others = (letter.encode(WESTERN).decode(page, "replace") for page in _NEIGHBOURS)
    return any(other != letter and other.isalpha() for other in others)


def _encoding(data: bytes) -> str:
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    if _text_in(data, "utf-8") is not None:
        return "utf-8-sig"
    other = MAC if b"\r" in data and b"\n" not in data else WESTERN
    text = _text_in(data, SHIFT_JIS) or ""
    japanese = _is_japanese(text) and (re.search(_SURE, text) or _text_in(data, other) is None)
    return SHIFT_JIS if japanese else other


def _text_in(data: bytes, encoding: str) -> str | None:
    try:
        return data.decode(encoding)
    except UnicodeDecodeError:
        return None


def _is_japanese(text: str) -> bool:
    """Whether letters of two bytes prevail, most of them usual ones, and where Japanese has them."""
    if re.search(_NO_LETTER, text):
        return False
    usual: int = sum(one.encode(SHIFT_JIS)[0] < _USUAL for one in re.findall(_JAPANESE, text))
    return usual > 0 and len(re.findall(_WIDE, text)) + len(re.findall(_OTHER, text)) <= 2 * usual
