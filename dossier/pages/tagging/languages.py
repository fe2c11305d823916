"""Which language a stretch of text is in, as far as its letters tell (ISO 32000-1, 14.9.2; BCP 47).

Only letters decide: what one language alone is written with names it; a script that several share is named
as a script ("und-Cyrl"), which tells a speaking program enough to change its voice. Latin letters say
nothing, so they are in the language of the document. Not done here: words looked up, dialects.

Invariant: stretches together are the text they were made of.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from functools import lru_cache
from itertools import groupby

from dossier.pages.tagging.breaks import extends

# Scripts that one living language is written with, by the first word of their characters' names.
_OF_ONE = {
    "GREEK": "el", "COPTIC": "cop", "ARMENIAN": "hy", "GEORGIAN": "ka", "HANGUL": "ko", "THAI": "th",
    "LAO": "lo", "KHMER": "km", "TAMIL": "ta", "TELUGU": "te", "KANNADA": "kn", "MALAYALAM": "ml",
    "GUJARATI": "gu", "GURMUKHI": "pa", "SINHALA": "si", "ORIYA": "or", "THAANA": "dv",
}  # fmt: skip
# Scripts of several languages: letters that only one of them has, then what is said without such a letter.
_BY_LETTERS = {
    "HEBREW": ((("yi", "\u05f0\u05f1\u05f2"),), "he"),
    "ARABIC": (
        (("ur", "ٹڈڑںھےۓ"), ("ckb", "ڕڵۆێ"), ("fa", "پچژگکی"), ("ar", "يكىةأإؤئ")),
        "und-Arab",
    ),
    "CYRILLIC": (
        (("uk", "їєґЇЄҐ"), ("be", "ўЎ"), ("mk", "ѓќѕЃЌЅ"), ("sr", "ђћЂЋ"), ("ru", "ыэёЫЭЁ")),
        "und-Cyrl",
    ),
    "DEVANAGARI": ((), "und-Deva"),
    "BENGALI": ((), "und-Beng"),
    "MYANMAR": ((), "und-Mymr"),
    "ETHIOPIC": ((), "und-Ethi"),
    "TIBETAN": ((), "und-Tibt"),
    "SYRIAC": ((), "und-Syrc"),
}
_CJK = {"CJK": "HAN", "IDEOGRAPHIC": "HAN", "HIRAGANA": "KANA", "KATAKANA": "KANA", "BOPOMOFO": "BOPOMOFO"}
_LAST_MARK = "\u036f"  # Latin letters and their marks end there, those that are written less aside
_EAST = frozenset({"HAN", "KANA", "BOPOMOFO"})
# Han characters by the sets of characters that only one of the three has.
_HAN_SETS = (("ja", "shift_jis"), ("zh-Hans", "gb2312"), ("zh-Hant", "big5"))


def by_language(text: str) -> list[tuple[str, str]]:
    """(language, stretch) in order; the language is "" where the letters do not tell.

    A text with letters of one kind alone is one stretch, marks and figures included.
    """
    if text.isascii() or not any(_is_foreign(character) for character in text):
        return [("", text)]
    kinds = _settled([_kind(character) for character in text])
    said = {kind: _language(kind, text) for kind in set(kinds) if kind}
    languages = [said.get(kind, "") for kind in kinds]
    for i in range(1, len(text)):
        if extends(text[i]):  # else a vowel sign before a Latin word would be drawn without its letter
            languages[i] = languages[i - 1]
    parts = groupby(zip(languages, text, strict=True), key=lambda pair: pair[0])
    return [(language, "".join(c for _, c in group)) for language, group in parts]


def _is_foreign(character: str) -> bool:
    """A letter that is not Latin, or a mark of Han: nothing else can be in another language for sure."""
    return character > _LAST_MARK and _kind(character) not in ("", "LATIN")


def _is_han(character: str) -> bool:
    """A Han character, one of its parts (radicals) or a mark beside it."""
    return character >= "\u2e80" and (character <= "\u2fff" or _kind(character) == "HAN")


@lru_cache(maxsize=8192)
def _kind(character: str) -> str:
    """The script of a letter, "LATIN" for those that tell nothing, "" for marks, figures and spaces."""
    if unicodedata.category(character)[0] != "L":
        return "HAN" if "\u3001" <= character <= "\u303f" else ""
    name = unicodedata.normalize("NFKC", character)[0] if character > "\uf900" else character
    first = re.split("[ -]", unicodedata.name(name, ""), maxsplit=1)[0]
    kind = _CJK.get(first, first)
    return kind if kind in _EAST or kind in _OF_ONE or kind in _BY_LETTERS else "LATIN"


def _settled(kinds: list[str]) -> list[str]:
    """The kind of each character: what is between two letters of one kind goes with them.

    At an edge it goes with the language of the document, but where no other letter is in the text at all.
    One Greek letter alone is a sign (as in a formula), not a word.
    """
    kinds = ["HAN" if kind in _EAST else kind for kind in kinds]
    letters = {kind for kind in kinds if kind}
    if len(letters) == 1:
        return [kinds[0] or letters.pop()] * len(kinds) if not _one_greek(kinds) else [""] * len(kinds)
    settled: list[str] = []
    for kind, count, before, after in _stretches(kinds):
        sign = kind == "GREEK" and count == 1
        settled += [(before if before == after else "") if sign or not kind else kind] * count
    return ["" if kind == "LATIN" else kind for kind in settled]


def _one_greek(kinds: list[str]) -> bool:
    return kinds.count("GREEK") == 1


def _stretches(kinds: list[str]) -> Iterator[tuple[str, int, str, str]]:
    """(kind, how many, the kind before, the kind after) of each stretch of one kind."""
    found = [(kind, len(list(group))) for kind, group in groupby(kinds)]
    for at, (kind, count) in enumerate(found):
        before = found[at - 1][0] if at else ""
        after = found[at + 1][0] if at + 1 < len(found) else ""
        yield kind, count, before, after


def _language(kind: str, text: str) -> str:
    if kind == "HAN":
        return _east_asian(text)
    if kind in _BY_LETTERS:
        several, otherwise = _BY_LETTERS[kind]
        return next((language for language, own in several if any(c in own for c in text)), otherwise)
    return _OF_ONE.get(kind, "")


def of_han(text: str) -> str:
    """Whose forms the Han characters of a text should have: "ja", "zh-Hans", "zh-Hant", "ko"; "" unknown."""
    if text.isascii() or not any(map(_is_han, text)):
        return ""
    language = _east_asian(text)
    return {"zh": "zh-Hans", "und-Hani": ""}.get(language, language)


def _east_asian(text: str) -> str:
    """Syllables tell Japanese, Korean and Taiwan's Mandarin; characters the one set that has them all."""
    scripts = {_kind(character) for character in text}
    for script, language in (("KANA", "ja"), ("HANGUL", "ko"), ("BOPOMOFO", "zh-Hant")):
        if script in scripts:
            return language
    han = "".join(c for c in text if _kind(c) == "HAN")
    fit = [language for language, codec in _HAN_SETS if _encodes(han, codec)]
    if len(fit) == 1:
        return fit[0]
    return "zh" if fit and "ja" not in fit else "und-Hani"


def _encodes(text: str, codec: str) -> bool:
    try:
        text.encode(codec)
    except UnicodeEncodeError:
        return False
    return True


def speaks(language: str, document: str) -> bool:
    """Whether a stretch in `language` needs to say so within a document in `document`."""
    spoken = document.partition("-")[0]
    unsure = {"ja": "Hani", "zh": "Hani", "ko": "Hani"}.get(spoken)
    return bool(language) and language.partition("-")[0] != spoken and language != f"und-{unsure}"
