"""The bytes of a text file to letters, whichever program wrote it.

UTF-8 with or without its mark, UTF-16 with it, Shift-JIS as Japanese programs of Windows write it (code page
932), Mac OS Roman where lines end in CR alone, else Windows-1252. Pure. Invariant: Shift-JIS is taken only
where the text is Japanese by its letters, as many bytes of a European text have a meaning in it too.
"""

from __future__ import annotations

import codecs
import re

SHIFT_JIS = "cp932"
_OTHER = re.compile(r"[\uff61-\uff9f]")  # half as wide, of one byte, where the letters of Europe lie
_WIDE = re.compile(r"[^\0-\x7f\uff61-\uff9f]")
_NO_LETTER = re.compile(r"[\x80-\x9f\ue000-\uf8ff]")
# "été" would be 騁 and what follows. Of Japanese most letters are kana, or stand beside no Latin letter.
_JAPANESE = re.compile(r"[\u3041-\u30ff]|(?<![A-Za-z])[^\0-\x7f\uff61-\uff9f](?![A-Za-z])")
# So would 12”W be 12埜, and the 1920’s 1920痴: where it may be that, one letter stands clear of figures.
_SURE = re.compile(
    r"[\u3041-\u30ff]|(?<![0-9A-Za-z\uff61-\uff9f])[^\0-\x7f\uff61-\uff9f](?![0-9A-Za-z\uff61-\uff9f])"
)
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


def in_shift_jis(data: bytes) -> bool:
    """Whether the text is read as Shift-JIS, of which a person is told."""
    return _encoding(data) == SHIFT_JIS


def _encoding(data: bytes) -> str:
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    if _text_in(data, "utf-8") is not None:
        return "utf-8-sig"
    other = "mac_roman" if b"\r" in data and b"\n" not in data else "cp1252"
    text = _text_in(data, SHIFT_JIS) or ""
    japanese = _is_japanese(text) and (_SURE.search(text) or _text_in(data, other) is None)
    return SHIFT_JIS if japanese else other


def _text_in(data: bytes, encoding: str) -> str | None:
    try:
        return data.decode(encoding)
    except UnicodeDecodeError:
        return None


def _is_japanese(text: str) -> bool:
    """Whether letters of two bytes prevail, most of them usual ones, and where Japanese has them."""
    if _NO_LETTER.search(text):
        return False
    usual: int = sum(one.encode(SHIFT_JIS)[0] < _USUAL for one in _JAPANESE.findall(text))
    return usual > 0 and len(_WIDE.findall(text)) + len(_OTHER.findall(text)) <= 2 * usual
