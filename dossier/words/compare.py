"""Words as they are compared: without case, accents and punctuation; and phrases to look for in them."""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Iterable, Iterator
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from dossier.words import Catalogue

_WORD = re.compile(r"[^\W_]+")
_SOUND_OF_I = re.compile(r"(?:h?[ií](?![aeouáéóú])|y(?![aeiouáéíóú]))", re.IGNORECASE)
_VOICED = "\u3099\u309a"  # marks that make other letters of kana, as no accent does
_NO_SPACES = re.compile(r"[\u3005-\u30ff\u3400-\u9fff]")  # kana and Han: words run on without spaces


def normal(text: str) -> str:
    """Words of `text` in lower case without accents or punctuation, one space between."""
    flat = text.casefold()
    if not flat.isascii():
        flat = unicodedata.normalize("NFC", "".join(map(_bare, flat))).casefold()
    return " ".join(_WORD.findall(flat))


@lru_cache(4096)
def _bare(letter: str) -> str:
    """A letter without its accents. Of a whole text each letter's marks would be sorted, in the square of
    their number.
    """
    marked = unicodedata.normalize("NFKD", letter)
    return "".join(c for c in marked if c in _VOICED or not unicodedata.combining(c))


def repeated(names: Iterable[str]) -> frozenset[str]:
    """The names, in normal form, that stand more than once."""
    return frozenset(name for name, count in Counter(map(normal, names)).items() if count > 1)


def joint(words: Catalogue, item: str, key: str = "last") -> str:
    """The key of what joins the last item of a list: Spanish "y" is "e" before the sound of i, but not before
    a diphthong (Real Academia Española, Diccionario panhispánico de dudas, "y2", from memory).
    """
    other = f"{key}_before_i"
    return other if _SOUND_OF_I.match(item) and words.has(f"sentences.grammar.{other}") else key


def runs_on(words: str) -> bool:
    """Whether the words are of a script that does not part them by spaces."""
    return bool(_NO_SPACES.search(words))


def as_written(text: str, words: str) -> str:
    """The stretch of `text` whose normal form is `words`; `words` themselves where none is found."""
    wanted, found = words.split(), list(_WORD.finditer(text))
    plain = [normal(match[0]) for match in found]
    for start in range(len(plain) - len(wanted) + 1):
        if plain[start : start + len(wanted)] == wanted:
            return text[found[start].start() : found[start + len(wanted) - 1].end()]
    return words


class Phrases:
    """Words and phrases to look for in a text in normal form.

    Most tables of words never meet a text that speaks of them, so that a pattern is made only where one of
    the words may stand.
    """

    def __init__(self, wanted: Iterable[str]) -> None:
        self._wanted = tuple(wanted)
        self._stems = tuple(map(normal, self._wanted))

    def search(self, text: str, at: int = 0) -> re.Match[str] | None:
        """The first place from `at` on."""
        return self._pattern.search(text, at) if self.may_stand(text) else None

    def finds(self, text: str) -> Iterator[re.Match[str]]:
        """Every place where one of them stands."""
        return self._pattern.finditer(text) if self.may_stand(text) else iter(())

    def without(self, text: str) -> str:
        """The text with every phrase blanked; what is left stands where it stood."""
        return self._pattern.sub(lambda found: " " * len(found[0]), text) if self.may_stand(text) else text

    def standing_in(self, text: str) -> list[str]:
        """Those of them that may stand in a text."""
        return [one for one, stem in zip(self._wanted, self._stems, strict=True) if stem in text]

    def may_stand(self, text: str) -> bool:
        """False where none of them stands for certain."""
        return any(stem in text for stem in self._stems)

    @cached_property
    def _pattern(self) -> re.Pattern[str]:
        return re.compile(alternatives(self._wanted))


def phrases(wanted: Iterable[str]) -> Phrases:
    """Whole words in normal form, with or without a plural s; "word*" and "*word" also find longer ones.

    "*word*" stands anywhere: for languages that write words together, or without spaces. In a script without
    spaces it is the word alone that is found, and not the sentence it stands in.
    """
    return Phrases(wanted)


def alternatives(wanted: Iterable[str]) -> str:
    """The pattern of `phrases`, to be built into another."""
    return "|".join(map(_alternative, wanted))


def _alternative(phrase: str) -> str:
    word = normal(phrase)
    if phrase.startswith("*") and phrase.endswith("*") and runs_on(word):
        return re.escape(word)
    before = r"\w*" if phrase.startswith("*") else ""
    after = r"\w*" if phrase.endswith("*") else r"(?:s|es)?"
    return rf"\b{before}{re.escape(word)}{after}\b"
