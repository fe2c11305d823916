"""Where a line of any script may break: after spaces, and between the letters of scripts without spaces.

A small part of UAX #14: for Chinese and Japanese a break may stand between two characters unless one of the
rules of line beginnings and ends (kinsoku) is against it; for Thai, Lao, Khmer and Myanmar, which need a
dictionary, between two clusters. A figure stays with what it counts and with its label. Words of all other
scripts, Korean among them, break at spaces. A word wider than its line breaks between clusters.

Invariant: no break inside a cluster (a letter with its marks, joiners, tags).
"""

from __future__ import annotations

import itertools
import unicodedata
from collections.abc import Iterator
from functools import lru_cache

_LOOKED_AT = 256  # characters in which clusters are sought at a time
SOFT_HYPHEN = "\u00ad"
_SPACES = frozenset(" \t\u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2008\u2009\u200a\u205f\u3000\u200b")
_GLUE = frozenset("\u00a0\u202f\u2060\ufeff\u2007\u2011")
_JOINERS = frozenset("\u200d\u200c")
_FIGURES = frozenset("0123456789")

# May not begin a line: small kana, the long-vowel and repetition marks (UAX #14, classes CJ and NS).
_NOT_FIRST = frozenset(
    "\u3041\u3043\u3045\u3047\u3049\u3063\u3083\u3085\u3087\u308e\u3095\u3096"
    "\u30a1\u30a3\u30a5\u30a7\u30a9\u30c3\u30e3\u30e5\u30e7\u30ee\u30f5\u30f6\u30fc"
    "\u3005\u301c\u303b\u303c\u309b\u309c\u309d\u309e\u30a0\u30fb\u30fd\u30fe"
    "\uff1a\uff1b\uff65\uff9e\uff9f\uff70\uff67\uff68\uff69\uff6a\uff6b\uff6c\uff6d\uff6e\uff6f"
    "\u203c\u2047\u2048\u2049"
    "、。，．！？…‥‐–—〜～"
    "!?,.:;%\u2030\u2103\u00b0\u2032\u2033"
    "\u0e2f\u0e46\u0eaf\u0ec6\u17d4\u17d5\u104a\u104b"
)
# May not end a line beside what is not a space: currency signs and number signs before a figure.
_NOT_LAST = frozenset("\u00a5\uffe5$\u00a3\u20ac\u2116№#＃")
_INSEPARABLE = frozenset("\u2014\u2025\u2026")  # stay with their like
_LEADING_VOWELS = frozenset("เแโใไເແໂໃໄ")
_THAI_AFTER = frozenset("\u0e30\u0e32\u0e33\u0e45\u0eb0\u0eb2\u0eb3")
_COENG = frozenset("\u17d2\u1039")  # the next letter is written below

# First and last codes of scripts written without spaces, in order.
_IDEOGRAPHIC = (
    (0x2E80, 0x2FFF),
    (0x3000, 0x30FF),
    (0x3105, 0x312F),
    (0x3190, 0x4DBF),
    (0x4E00, 0x9FFF),
    (0xA000, 0xA4CF),
    (0xF900, 0xFAFF),
    (0xFE30, 0xFE4F),
    (0xFF01, 0xFF9F),
    (0xFFE0, 0xFFE6),
    (0x1F000, 0x1FAFF),
    (0x20000, 0x3FFFD),
)
_CLUSTERED = ((0x0E00, 0x0EFF), (0x1000, 0x109F), (0x1780, 0x17FF))


@lru_cache(maxsize=8192)
def _in(code: int, ranges: tuple[tuple[int, int], ...]) -> bool:
    return any(first <= code <= last for first, last in ranges)


@lru_cache(maxsize=8192)
def extends(character: str) -> bool:
    """Whether a character belongs to the cluster of the one before it."""
    code = ord(character)
    return (
        unicodedata.category(character) in ("Mn", "Mc", "Me")
        or character in _JOINERS
        or 0xFE00 <= code <= 0xFE0F
        or 0xE0020 <= code <= 0xE01EF
        or 0x1F3FB <= code <= 0x1F3FF
    )


def cluster_starts(text: str) -> list[int]:
    """Where the clusters of `text` begin: letters with their marks, emoji with what joins them."""
    starts = [0] if text else []
    flags = int(_is_flag(text[:1]))  # letters of flags in a row: each flag is written with two
    for i in range(1, len(text)):
        flags = flags + 1 if _is_flag(text[i]) else 0
        if extends(text[i]) or (text[i - 1] == "\u200d" and ord(text[i]) > 0x2000):
            continue
        if text[i - 1] in _COENG or (flags and flags % 2 == 0):
            continue
        if "\u1160" <= text[i] <= "\u11ff":  # vowels and finals of Korean written letter by letter
            continue
        starts.append(i)
    return starts


def clusters(text: str, start: int, end: int) -> Iterator[tuple[int, int]]:
    """Where each cluster from `start` on begins and ends, no more of a long text looked at than is asked."""
    room = _LOOKED_AT
    while start < end:
        part = text[start : min(end, start + room)]
        starts = cluster_starts(part)
        whole = [*starts, len(part)] if start + len(part) == end else starts
        yield from ((start + one, start + next_one) for one, next_one in itertools.pairwise(whole))
        room = room * 2 if len(whole) == 1 else _LOOKED_AT  # a cluster may be longer than that
        start += whole[-1]


def _is_flag(character: str) -> bool:
    return "\U0001f1e6" <= character <= "\U0001f1ff"


def breaks(text: str) -> list[int]:
    """The places (before which character) where a line may end, in order; never the beginning or the end."""
    return [i for i in cluster_starts(text)[1:] if may_part(text, i) and not _label(text[i - 1], text[i])]


def may_part(text: str, i: int) -> bool:
    """Whether a line may end before the cluster at `i` where a piece is wider than its line."""
    before, after = text[i - 1], text[i]
    if after in _SPACES or before in _GLUE or after in _GLUE:
        return False
    if before in _SPACES or before == SOFT_HYPHEN:
        return True
    base = _base_before(text, i)
    if not (_breaks_freely(base) or _breaks_freely(after)) or _counter(base, after):
        return False
    return _may_begin(base, after) and _may_end(base, after)


def _base_before(text: str, i: int) -> str:
    """The letter that the cluster before `i` is built on."""
    i -= 1
    while i and extends(text[i]):
        i -= 1
    return text[i]


def _breaks_freely(character: str) -> bool:
    code = ord(character)
    return code >= 0xE00 and (_in(code, _IDEOGRAPHIC) or _in(code, _CLUSTERED))


def _counter(before: str, after: str) -> bool:
    """A figure and the letter that counts it (4点, 2か所) stay together, as a figure and its unit do."""
    return before in _FIGURES and "\u3041" <= after <= "\u9fff"


def _label(before: str, after: str) -> bool:
    """A figure stays with the ideograph before it (写真12); a date is so of one piece (2026年3月2日)."""
    return after in _FIGURES and "\u4e00" <= before <= "\u9fff"


def _may_begin(before: str, after: str) -> bool:
    if after in _NOT_FIRST or unicodedata.category(after) in ("Pe", "Pf"):
        return False
    if after in _THAI_AFTER or before in _LEADING_VOWELS:
        return False
    return not (before in _INSEPARABLE and after == before)


def _may_end(before: str, after: str) -> bool:
    if unicodedata.category(before) in ("Ps", "Pi") or (before in _NOT_LAST and after.isdigit()):
        return False
    # Quotes that open and close alike, and slashes within a word, stay with both neighbours.
    return before not in "\"'/" and after not in "\"'/"
