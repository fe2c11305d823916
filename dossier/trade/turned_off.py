"""Words that turn a match off: "not lacquered", "bone-coloured", "hide glue", "faux leather", "Kunstleder".

The words are data: words/<language>/off.toml, a language's own beside the English ones. A phrase looked for
that holds such a word itself ("imitation tortoiseshell", which is celluloid) is found all the same. What
stands on the other side of a comma turns nothing off, and makes no phrase with it, but where it is all that
stands there ("ivory, imitation"). Not here: what is looked for and what follows (`rules`, cautions).
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator
from functools import cached_property, lru_cache
from typing import Any, Literal, NamedTuple

from dossier.words import Catalogue
from dossier.words.compare import Phrases, alternatives, normal, phrases

_PIECE = re.compile(r"[,:()\[\]/，、：（）・]+")
_SENTENCE = re.compile(r"[;.!\n。；！]+|(?<=\u0294)")
_ASKED = str.maketrans(
    {"?": " \u0294", "？": " \u0294"}
)  # a letter nobody types, so that it stays in normal form
_NEAR = 120  # characters before and after a match that are looked at
_NEVER = "(?!)"


class Said(NamedTuple):
    """A text in normal form, and where each of its pieces between commas begins, and each sentence."""

    plain: str
    starts: tuple[int, ...]
    sentences: tuple[int, ...] = ()

    def sentence(self, match: re.Match[str]) -> str:
        """All of the sentence in which a match stands, up to `_NEAR` characters on either side."""
        first = bisect_right(self.sentences, match.start())
        end = bisect_left(self.sentences, match.end())
        begin = self.sentences[first - 1] if first else 0
        stop = self.sentences[end] if end < len(self.sentences) else len(self.plain)
        return self.plain[max(begin, match.start() - _NEAR) : min(stop, match.end() + _NEAR)]

    def near(self, match: re.Match[str]) -> tuple[int, int]:
        """Where what stands near a match, in its own piece, begins and ends."""
        first = bisect_right(self.starts, match.start())
        end = bisect_left(self.starts, match.end())
        begin = self.starts[first - 1] if first else 0
        stop = self.starts[end] if end < len(self.starts) else len(self.plain)
        return max(begin, match.start() - _NEAR), min(stop, match.end() + _NEAR)

    def behind(self, match: re.Match[str]) -> str:
        """The whole piece behind a match that ends its own; "" where it does not."""
        end = bisect_left(self.starts, match.end())
        if end == len(self.starts) or self.plain[match.end() : self.starts[end]].strip():
            return ""
        stop = self.starts[end + 1] if end + 1 < len(self.starts) else len(self.plain)
        return self.plain[self.starts[end] : stop].strip()

    def rest(self, match: re.Match[str]) -> str:
        """What stands behind a match in its own piece."""
        return self.plain[match.end() : self.near(match)[1]].strip()

    def next_piece(self, match: re.Match[str]) -> str:
        """The piece behind that of a match, in the same sentence; "" for none."""
        end = bisect_left(self.starts, match.end())
        if end == len(self.starts) or self.starts[end] in self.sentences:
            return ""
        stop = self.starts[end + 1] if end + 1 < len(self.starts) else len(self.plain)
        return self.plain[self.starts[end] : stop].strip()

    def is_one(self, match: re.Match[str]) -> bool:
        """Whether a match stands within a piece, or goes over a comma and on to the end of the next."""
        first, end = bisect_right(self.starts, match.start()), bisect_left(self.starts, match.end())
        stop = self.starts[end] if end < len(self.starts) else len(self.plain)
        return first == end or not self.plain[match.end() : stop].strip(" \u0294")

    def finds(self, wanted: Phrases) -> Iterator[re.Match[str]]:
        """Every place, but for what is joined over a comma."""
        at = 0
        while found := wanted.search(self.plain, at):
            if self.is_one(found):
                yield found
            at = found.end() if self.is_one(found) else found.start() + 1

    def with_plain(self, plain: str) -> Said:
        """The same pieces where words were blanked."""
        return self._replace(plain=plain)


@lru_cache(maxsize=64)
def said(text: str) -> Said:
    """A question stays one: its mark is a word of its own."""
    pieces, starts, sentences, at = [], [], [], 0
    for sentence in _SENTENCE.split(text.translate(_ASKED)):
        begun = at
        for piece in filter(None, map(normal, _PIECE.split(sentence))):
            pieces.append(piece)
            starts.append(at)
            at += len(piece) + 1
        sentences += [begun] if at > begun else []
    return Said(" ".join(pieces), tuple(starts), tuple(sentences))


class Off:
    """The words of a table; a pattern is made where a match is looked at, since most texts have none."""

    def __init__(self, table: dict[str, list[str]]) -> None:
        self._table = table
        self._phrases = phrases(table["phrases"])

    @cached_property
    def _before(self) -> re.Pattern[str]:
        table = self._table
        return re.compile(rf"(?:{_led(table['not'], table['not_between'], table['or'])}) ?$")

    @cached_property
    def _looks_before(self) -> re.Pattern[str]:
        return re.compile(rf"(?:{_led(self._table['as'], self._table['as_between'], [])}) ?$")

    @cached_property
    def _after(self) -> re.Pattern[str]:
        table = self._table
        but, after = alternatives(table["but"]), alternatives([*table["after"], *table["after_not"]])
        return re.compile(rf"^ ?(?!{but or _NEVER})(?:{after or _NEVER})")

    @cached_property
    def _alone(self) -> re.Pattern[str]:
        return re.compile(alternatives(self._table["alone"]) or _NEVER)

    @cached_property
    def _not_if(self) -> re.Pattern[str]:
        return re.compile(rf"^ ?(?:{alternatives(self._table['not_if']) or _NEVER})")

    @cached_property
    def _coloured(self) -> re.Pattern[str]:
        colour, of = alternatives(self._table["colour"]), alternatives(self._table["colour_of"])
        but = alternatives(self._table["but"]) or _NEVER
        return re.compile(rf"(?:{colour}) (?!{but})(?:{of})" if colour and of else _NEVER)

    @cached_property
    def _no(self) -> re.Pattern[str]:
        names = ("not", "not_too", "after_not")
        return re.compile(alternatives(word for name in names for word in self._table[name]) or _NEVER)

    @cached_property
    def _joins(self) -> re.Pattern[str]:
        return re.compile(alternatives([*self._table["or"], *self._table["and"]]) or _NEVER)

    @cached_property
    def _unsure(self) -> Phrases:
        return phrases([*self._table["unsure"], "\u0294"] if self._table["unsure"] else [])

    def leaves_open(self, match: re.Match[str], text: Said) -> bool:
        """Whether what the sentence says of it is a guess or a question, which turns nothing off."""
        return bool(self._unsure.search(text.sentence(match)))

    def imitates(self, match: re.Match[str], text: Said) -> bool:
        """Whether all that is said behind it, between commas or in brackets, is that it is an imitation."""
        return bool(self._alone.fullmatch(text.behind(match)))

    def turns(self, match: re.Match[str], text: Said) -> bool:
        """Whether what was found is said not to be there, or is a word for something else."""
        if self.leaves_open(match, text):
            return False
        begin, end = text.near(match)
        before, after = text.plain[begin : match.start()], text.plain[match.end() : end]
        if self._table["and"] and self._is_denied_twice(before, match[0], after):
            return False
        if self._after.search(after) or self._looks_so(before):
            return True
        if self._before.search(before) and not self._not_if.search(after):
            return True
        if self.imitates(match, text):
            return True
        return bool(self._coloured.match(match[0] + after)) or self._within(before, match[0], after)

    def _looks_so(self, before: str) -> bool:
        """Whether it is called an imitation, and that is not itself denied ("not faux ivory")."""
        looks = self._looks_before.search(before)
        return looks is not None and not self._before.search(before[: looks.start()])

    def denies(self, aside: re.Match[str], text: Said) -> bool:
        """Whether a phrase that says "free of" is itself said not to be so, or is only a guess."""
        if self.leaves_open(aside, text):
            return True
        before = text.plain[text.near(aside)[0] : aside.start()]
        return bool(self._no.search(aside[0]) and self._before.search(before))

    def _is_denied_twice(self, before: str, found: str, after: str) -> bool:
        """Whether "not" and "free of" both stand by it, nothing but it between "and" and "or"."""
        head, tail = self._joins.split(before)[-1], self._joins.split(after)[0]
        return len(self._no.findall(head + found + tail)) > 1

    def _within(self, before: str, found: str, after: str) -> bool:
        """Whether it stands within one of the phrases."""
        first, last = len(before), len(before) + len(found)
        around = self._phrases.finds(before + found + after)
        return any(one.start() <= first and last <= one.end() for one in around)

    def kept_off(self, things: Iterable[str]) -> re.Pattern[str]:
        """What says that something was kept off one of these: "kept off the old celluloid"."""
        kept, names = alternatives(self._table["kept"]) or _NEVER, alternatives(things)
        return re.compile(rf"(?:{kept})(?: \w+){{0,2}}? (?:{names})")

    def touches(self, wanted: str) -> bool:
        """Whether one of these words stands in what is looked for."""
        text = said(wanted)
        words = re.finditer(r"\S+", text.plain)
        return any(self.turns(word, text) for word in words)


class Wanted:
    """Words and phrases to look for, each where nothing turns it off."""

    def __init__(self, words: Iterable[str], off: Off) -> None:
        self._words, self._off = tuple(dict.fromkeys(words)), off
        self._every = phrases(self._words)

    def standing_in(self, every: str) -> Wanted | None:
        """The same with those alone that may stand in one of the texts that are together `every`; None where
        none may. Of a whole register most words are met nowhere, which is seen once and not row by row.
        """
        words = self._every.standing_in(every)
        return Wanted(words, self._off) if words else None

    def may_stand(self, text: Said) -> bool:
        return self._every.may_stand(text.plain)

    def search(self, text: Said) -> re.Match[str] | None:
        found = text.finds(self._every)
        return next((m for m in found if not self._off.turns(m, text) or self._own.search(m[0])), None)

    def imitated(self, text: Said) -> bool:
        """Whether one of them stands there as an imitation."""
        return any(self._off.imitates(one, text) for one in self._every.finds(text.plain))

    def without(self, text: Said) -> Said:
        return text.with_plain(self._every.without(text.plain))

    def aside(self, phrases: Phrases, text: Said) -> Said:
        """The text with phrases blanked that say otherwise."""
        plain = text.plain
        for one in text.finds(phrases):
            if not self._off.denies(one, text):
                plain = plain[: one.start()] + " " * len(one[0]) + plain[one.end() :]
        return text.with_plain(plain)

    @cached_property
    def _own(self) -> Phrases:
        """Those that hold a word which turns off; made where one is met, since most tables meet none."""
        return phrases(word for word in self._words if self._off.touches(word))


def _led(words: list[str], between: list[str], joins: list[str]) -> str:
    """ "not", "not of", "neither wet nor": what stands before the word that it turns off."""
    if not words:
        return _NEVER
    filled = rf"(?: (?:{alternatives(between)}))*" if between else ""
    chain = rf"(?: \w+ (?:{alternatives(joins)}){filled}){{0,3}}" if joins else ""
    return rf"(?:{alternatives(words)}){filled}{chain}"


_NOT = ("not", "not_between", "or", "after_not", "but", "not_if")
_TWICE = ("not_too", "and")
_LOOKS = ("phrases", "as", "as_between", "after", "alone", "colour", "colour_of")
_USED = ("kept",)
_GUESSED = ("unsure",)
# "species" is a caution on what is protected: an imitation of it is none.
Where = Literal["material", "use", "caution", "species"]


@lru_cache(maxsize=32)
def turned_off(language: str, where: Where) -> Off:
    """The words of a language and of English. Some are for materials alone, or for what may be protected; of
    another caution only what says that something is not there, and for certain. Of what is used and of a
    caution, once: what is "not free of" it has it. What is avoided is not used, and is there all the same.
    """
    tables: list[dict[str, Any]] = [
        Catalogue(one).table("off.words") for one in dict.fromkeys((language, "en"))
    ]

    def every(name: str) -> list[str]:
        return [word for table in tables for word in table.get(name, ())]

    found = {name: every(name) for name in _NOT}
    cautioned = where in ("caution", "species")
    found |= {name: [] if where == "caution" else every(name) for name in _LOOKS}
    found |= {name: every(name) if where != "material" else [] for name in _TWICE}
    found |= {name: every(name) if where == "use" else [] for name in _USED}
    found |= {name: every(name) if cautioned else [] for name in _GUESSED}
    if cautioned:
        found["not_between"] = [word for word in found["not_between"] if word not in every("not_at")]
    for name in ("phrases", "as", "after", "alone", "not", "after_not"):
        found[name] += every(f"{name}_of_{where}")
    return Off(found)


def wanted(words: Iterable[str], language: str, where: Where) -> Wanted:
    return Wanted(words, turned_off(language, where))
