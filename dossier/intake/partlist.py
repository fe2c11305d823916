"""Which parts a cell means: "3", "3; 4", "3-7", "all", "all except 3", "all others", against the register.

A range is of whole numbers, alone or behind the last dot (7.1-7.3), and each of them must be in the register
("7a" is in no range). A text that is itself a part's number is that part. Nothing is guessed: what else can
be read in two ways is said.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import NamedTuple

from dossier.intake.report import Report, listed
from dossier.intake.schema import plain_word
from dossier.model.finding import At

ALL = "all"
ALL_OTHERS = "all others"
# Also as people write it in the other languages of ours.
_ALL = frozenset({ALL, "all parts", "every part", "everything"})
_ALL |= {
    "alle",
    "alle teile",
    "alles",
    "tous",
    "toutes",
    "tutti",
    "tutte",
    "todos",
    "todas",
    "すべて",
    "全部",
}
_ALL_OTHERS = frozenset({ALL_OTHERS, "alle übrigen", "alle anderen", "tous les autres", "toutes les autres"})
_ALL_OTHERS |= {"tutti gli altri", "tutte le altre", "todos los demás", "todas las demás", "残りすべて"}
MOST_IN_RANGE = 20_000
MOST_NAMED = 2_000_000  # parts named by all lines of a job together

_SPLIT = re.compile(
    r"[;,、&+\n]|\band\b|(?<=\d)\s(?:und|et)\s(?=\S)|(?<=\d)\s(?:ed?|y)\s(?=\d)|(?<=\d)\s?と\s?(?=\d)"
)
# "3-7"; "7.1 to 7.3" with the same before the last dot.
_RANGE = re.compile(
    r"((?:\d{1,6}\.)*)(\d{1,6})\s*(?:-|–|—|~|〜|\b(?:to|through|thru|bis|à|al|(?P<a>a))\b)\s*\1(?P<last>\d{1,6})"
)
_CALLED = re.compile(  # before a number
    r"(?:parts?|teile?|éléments?|piezas?|part[ei]|部材|no\.?|nr\.?|number|#|№|n°)\s*(?=\d)", re.IGNORECASE
)
_AS_DECIMAL = re.compile(r"(\d+)\.0")  # of a spreadsheet
_EXCEPT = re.compile(
    r"(?:(?:all|everything)(?:\s+parts)?,?\s+except(?:\s+for)?|alle(?:s|\s+teile)?,?\s+au(?:ß|ss)er"
    r"|tou(?:s|tes)\s+sauf|tutt[ei]\s+tranne|tod[ao]s\s+(?:excepto|menos))\s(.+)",
    re.IGNORECASE | re.DOTALL,
)
# "all but 3" leaves three parts out, or part 3; "all others except 3" leaves open what the others are.
_SOME_EXCEPTION = re.compile(
    r"\b(?:except|exept|excepting|excluding|without|apart from|but|außer|ausser|sauf|tranne|excepto|menos)\b",
    re.IGNORECASE,
)
# Items with commas and no space between; those of ranges and in brackets by themselves, and with the dashes
# that a part's number may have.
_DECIMAL_COMMA = tuple(
    re.compile(rf"(?<![^{apart},])[^{apart},]++(?:,[^{apart},]++)++")
    for apart in (r"\s;、&()/+:–—~〜\-", r"\s;、&()/+:")
)


def _items(typed: str) -> list[str]:
    return [item for item in map(str.strip, _SPLIT.split(typed)) if item]


class _Span(NamedTuple):
    """The numbers from one to another: what stands before the last dot, and the whole numbers behind it."""

    head: str
    numbers: range

    def each(self) -> Iterator[str]:
        return (f"{self.head}{number}" for number in self.numbers)

    @property
    def is_walked(self) -> bool:
        return 0 < len(self.numbers) <= MOST_IN_RANGE + 1


def names_all(typed: str) -> bool:
    return plain_word(typed) in _ALL


def names_others(typed: str) -> bool:
    return plain_word(typed) in _ALL_OTHERS


def excepts(typed: str) -> bool:
    """Whether it speaks of an exception."""
    return bool(_SOME_EXCEPTION.search(typed))


class Register:
    """The part numbers that exist, in the order of `parts.csv`, and their pieces where those could be read.

    Nothing is said of one that is not there where it may be one that could not be read (`Report.perhaps`).
    """

    def __init__(
        self,
        numbers: tuple[str, ...],
        pieces: Mapping[str, int] | None = None,
        headed: Mapping[str, Sequence[str]] | None = None,
    ) -> None:
        """`headed`: by heading (`words.headings`), the parts that it counts by."""
        self.numbers = numbers
        self.pieces = pieces or {}
        self.headed: Mapping[str, Sequence[str]] = headed or {}
        self.absent: frozenset[str] = frozenset()  # came as missing: nothing was there
        self._said_empty = False
        self._left = MOST_NAMED
        self._said_too_many = False
        self._read: dict[str, tuple[str, ...]] = {}
        self._known = {number.casefold(): number for number in numbers}

    def but(self, named: Collection[str]) -> tuple[str, ...]:
        """All but those named and what stands under them; of headings none that holds one of these."""
        gone = {*named, *(under for number in named for under in self.headed.get(number, ()))}
        return tuple(n for n in self.numbers if n not in gone and gone.isdisjoint(self.headed.get(n, ())))

    def find(self, typed: str) -> str:
        """The number as the register writes it; "" when there is none."""
        return self._known.get(typed.strip().casefold(), "")

    def one(self, typed: str, at: At, report: Report) -> str:
        """The one part `typed` names; "" when there is none (then it is said)."""
        found = self.find(self._bare(typed.strip()))
        if found or report.perhaps("parts", typed):
            return found
        if not self.numbers:
            self._say_empty(typed, at, report)
            return ""
        near = report.nearest(typed, self._known)
        report.say("unknown-part", at, nearest=self._known.get(near, ""), typed=typed)
        return ""

    def _say_empty(self, typed: str, at: At, report: Report) -> None:
        """Of a register without a part, once: it is the register that lacks, and not each of them."""
        if not self._said_empty:
            report.say("unknown-part", at, typed=typed)
        self._said_empty = True

    def parts(self, typed: str, at: At, report: Report) -> tuple[str, ...]:
        """The parts that `typed` names, each once, in the order named. `all others` is the caller's."""
        if self._left < 0:
            return ()  # said already
        left = self._left
        found = self._read.get(typed)
        if found is None:
            said = len(report.findings)
            found = self._parts(typed, at, report)
            if len(report.findings) == said:
                self._read[typed] = found  # so that a long range is worked out once
        self._left = min(self._left, left - len(found))
        return found if self._left >= 0 else self._too_many(at, report)

    def _too_many(self, at: At, report: Report) -> tuple[str, ...]:
        """None is named from here on, once the lines name more than a job can hold."""
        if not self._said_too_many:
            report.say("too-many-named", at, most=MOST_NAMED)
        self._said_too_many = True
        return ()

    def _parts(self, typed: str, at: At, report: Report) -> tuple[str, ...]:
        if plain_word(typed) == ALL:
            return self.numbers
        if whole := self.find(typed):
            return (whole,)
        if names_all(typed):
            return self.numbers
        match = _EXCEPT.fullmatch(typed.strip())
        rest = match[1] if match else typed
        if any(excepts(item) and not self.find(item) for item in _items(rest)):
            report.say("exception-unclear", at, typed=typed)
            return ()
        said = len(report.findings)
        named = self._named(rest, at, report)
        if match and self.numbers:
            return self._except(rest, named, at, report) if len(report.findings) == said else ()
        return named

    def _named(self, typed: str, at: At, report: Report) -> tuple[str, ...]:
        if whole := self.find(typed):
            return (whole,)
        if self._unclear(typed, at, report):
            return ()
        items = [self._resolved(item) for item in dict.fromkeys(_items(typed))]
        self._left -= sum(len(span.numbers) for _, span in items if span and span.is_walked)
        if self._left < 0:
            return self._too_many(at, report)
        found = (number for item, span in items for number in self._item(item, span, at, report))
        return tuple(dict.fromkeys(found))

    def _except(self, typed: str, named: tuple[str, ...], at: At, report: Report) -> tuple[str, ...]:
        """All but those `named`; none where `typed` names none, or one that there is not."""
        if not self._has_all(typed):
            return ()
        if not named:
            report.say("exception-unclear", at, typed=f"{ALL} except {typed}")
            return ()
        found = self.but(named)
        if not found and report.all_read("parts"):
            report.say("no-part-left", at)
        return found

    def _has_all(self, typed: str) -> bool:
        """Whether the register has each that `typed` names; also where it was not read whole."""
        if self.find(typed):
            return True
        items = map(self._resolved, _items(typed))
        return all(all(map(self.find, span.each())) if span else self.find(item) for item, span in items)

    def _unclear(self, typed: str, at: At, report: Report) -> bool:
        """ "12,1" where 12.1 is a part too: a decimal comma, or two parts? Three are a list."""
        for match in (found for pattern in _DECIMAL_COMMA for found in pattern.finditer(typed)):
            items = [self._bare(item.rstrip(".")) for item in match[0].split(",")]
            dotted = [self._bare(".".join(pair)) for pair in zip(items[::2], items[1::2], strict=False)]
            if len(items) == 2 * len(dotted) and all(map(self.find, dotted)):
                one, other = "; ".join(dotted), "; ".join(items)
                report.say("parts-unclear", at, typed=match[0], one=one, other=other)
                return True
        return False

    def _resolved(self, item: str) -> tuple[str, _Span | None]:
        """As the register may have it; with the whole numbers it goes over, where it is a range."""
        item = self._bare(item)
        match = None if self.find(item) else _RANGE.fullmatch(item)
        if match and match["a"] and self.find(f"{match[1]}{match[2]}a"):  # "3 a 5" may be 3a and 5
            match = None
        return item, _Span(match[1], range(int(match[2]), int(match["last"]) + 1)) if match else None

    def _item(self, item: str, span: _Span | None, at: At, report: Report) -> tuple[str, ...]:
        if span is None:
            found = self.one(item, at, report)
            return (found,) if found else ()
        if not span.is_walked:
            report.say("unknown-part", at, typed=item)
            return ()
        return self._range(span, at, report)

    def _bare(self, item: str) -> str:
        """As the register may have it, where it does not have it as it is typed."""
        if self.find(item):
            return item
        called = _CALLED.match(item)
        item = item[called.end() :] if called else item
        decimal = None if self.find(item) else _AS_DECIMAL.fullmatch(item)
        return decimal[1] if decimal else item

    def _range(self, span: _Span, at: At, report: Report) -> tuple[str, ...]:
        missing = [n for n in span.each() if not self.find(n) and not report.perhaps("parts", n)]
        if missing and not self.numbers:
            self._say_empty(missing[0], at, report)
        elif missing:
            shown = missing[:10] + (["…"] if len(missing) > 10 else [])
            report.say("unknown-part", at, typed=listed(shown))
        return tuple(found for n in span.each() if (found := self.find(n)))
