"""The Unicode Bidirectional Algorithm (UAX #9): in which direction each character of a paragraph runs.

`levels` resolves a paragraph's embedding levels (rules P2 to I2, with isolates and bracket pairs);
`line_levels` resets what a line ends with (L1), `visual_order` turns levels into order (L2). Mirroring (L4)
is the shaper's work. Not done here: shaping, line breaking, paragraph separation (P1: one comes in).
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

import msgspec

from dossier.pages.tagging.bidi_explicit import Explicit, Status

_ISOLATES = ("LRI", "RLI", "FSI")
_REMOVED = ("LRE", "RLE", "LRO", "RLO", "PDF", "BN")  # X9
_NEUTRAL = ("B", "S", "WS", "ON", "LRI", "RLI", "FSI", "PDI")
_MOST_BRACKETS = 63  # BD16
# Opening brackets whose partner is not the next character (BidiBrackets.txt).
_PARTNERS = {0x28: 0x29, 0x5B: 0x5D, 0x7B: 0x7D, 0x298D: 0x2990, 0x298F: 0x298E}
_SAME = {0x2329: 0x3008, 0x232A: 0x3009}  # canonically equivalent (BD16)


def kind(character: str) -> str:
    """The bidirectional class; what is not assigned counts as left to right."""
    return unicodedata.bidirectional(character) or "L"


def base_level(text: str) -> int:
    """0 or 1, by the first strong character outside isolates (P2, P3); 0 without any."""
    return _first_strong([kind(c) for c in text], 0)


def _first_strong(kinds: Sequence[str], start: int) -> int:
    depth = 0
    for found in kinds[start:]:
        if found in _ISOLATES:
            depth += 1
        elif found == "PDI":
            if start and not depth:
                return 0
            depth = max(depth - 1, 0)
        elif not depth and found in ("L", "R", "AL"):
            return int(found != "L")
    return 0


def levels(text: str, base: int | None = None) -> list[int]:
    """The embedding level of each character; `base` as `base_level` gives it unless it is given."""
    kinds = [kind(c) for c in text]
    paragraph = _first_strong(kinds, 0) if base is None else base
    if not paragraph and all(k in ("L", "EN", "ES", "ET", "CS", "ON", "WS", "S", "B", "NSM") for k in kinds):
        return [0] * len(kinds)
    return _Paragraph(text, kinds, paragraph).resolve()


class _Sequence(msgspec.Struct):
    """An isolating run sequence (BD13): places in the text, and the classes at its two ends (X10)."""

    places: list[int]
    sos: str = "L"
    eos: str = "L"


@dataclass
class _Paragraph:
    text: str
    original: list[str]
    base: int
    kinds: list[str] = field(init=False)
    level: list[int] = field(init=False)

    def __post_init__(self) -> None:
        self.kinds = list(self.original)
        self.level = [self.base] * len(self.kinds)

    def resolve(self) -> list[int]:
        self._explicit()
        kept = [i for i, found in enumerate(self.original) if found not in _REMOVED]
        for sequence in self._sequences(kept):
            _Resolver(self, sequence).run()
        self._removed()
        return self.level

    def _explicit(self) -> None:
        state = Explicit([Status(self.base)])
        for i, found in enumerate(self.original):
            if found in ("RLE", "LRE", "RLO", "LRO"):
                self.level[i] = state.top.level
                state.embed(found)
            elif found in _ISOLATES:
                self._take(i, state.top)
                state.isolate(self._runs_right(i, found))
            elif found == "PDI":
                state.end_isolate()
                self._take(i, state.top)
            elif found == "PDF":
                self.level[i] = state.top.level
                state.end_embedding()
            elif found == "BN":
                self.level[i] = state.top.level
            elif found != "B":
                self._take(i, state.top)

    def _take(self, i: int, status: Status) -> None:
        self.level[i] = status.level
        if status.override:
            self.kinds[i] = status.override

    def _runs_right(self, i: int, found: str) -> bool:
        return found == "RLI" or (found == "FSI" and _first_strong(self.original, i + 1) == 1)

    def _sequences(self, kept: list[int]) -> list[_Sequence]:
        """Level runs joined over isolates (BD13)."""
        made: list[_Sequence] = []
        waiting: list[_Sequence] = []  # ended with an isolate initiator that may have its PDI
        for run in _level_runs(kept, self.level):
            if self.original[run[0]] == "PDI" and waiting and self._matches(waiting[-1], run[0]):
                sequence = waiting.pop()
                sequence.places += run
            else:
                sequence = _Sequence(list(run))
                made.append(sequence)
            if self.original[run[-1]] in _ISOLATES and self._closed(run[-1]):
                waiting.append(sequence)
        for sequence in made:
            self._ends(sequence, kept)
        return made

    def _matches(self, sequence: _Sequence, place: int) -> bool:
        return self._partner(sequence.places[-1]) == place

    def _closed(self, place: int) -> bool:
        return self._partner(place) is not None

    def _partner(self, place: int) -> int | None:
        """The PDI that matches the isolate initiator at `place` (BD9)."""
        depth = 0
        for i in range(place, len(self.original)):
            depth += (self.original[i] in _ISOLATES) - (self.original[i] == "PDI")
            if not depth:
                return i
        return None

    def _ends(self, sequence: _Sequence, kept: list[int]) -> None:
        first, last = kept.index(sequence.places[0]), kept.index(sequence.places[-1])
        level = self.level[sequence.places[0]]
        before = self.level[kept[first - 1]] if first else self.base
        opens = self.original[sequence.places[-1]] in _ISOLATES
        after = self.base if opens or last + 1 == len(kept) else self.level[kept[last + 1]]
        sequence.sos = "R" if max(level, before) % 2 else "L"
        sequence.eos = "R" if max(level, after) % 2 else "L"

    def _removed(self) -> None:
        """What X9 removes takes the level of what stands before it (5.2)."""
        for i, found in enumerate(self.original):
            if found in _REMOVED:
                self.level[i] = self.level[i - 1] if i else self.base


def _level_runs(kept: list[int], level: list[int]) -> Iterator[list[int]]:
    run: list[int] = []
    for i in kept:
        if run and level[run[-1]] != level[i]:
            yield run
            run = []
        run.append(i)
    if run:
        yield run


class _Resolver:
    """Rules W1 to I2 on one sequence."""

    def __init__(self, paragraph: _Paragraph, sequence: _Sequence) -> None:
        self.paragraph, self.sequence = paragraph, sequence
        self.places = sequence.places
        self.kinds = [paragraph.kinds[i] for i in self.places]
        self.level = paragraph.level[self.places[0]]
        self.embedding = "R" if self.level % 2 else "L"

    def run(self) -> None:
        self._weak()
        self._brackets()
        self._neutral()
        for i, found in zip(self.places, self.kinds, strict=True):
            self.paragraph.level[i] += _raise(self.level, found)

    # W1 to W7

    def _weak(self) -> None:
        self._marks()
        self._numbers_after_arabic()
        self.kinds = ["R" if k == "AL" else k for k in self.kinds]  # W3
        self._separators()
        self._terminators()
        self.kinds = ["ON" if k in ("ES", "ET", "CS") else k for k in self.kinds]  # W6
        self._follow("EN", lambda strong: "L" if strong == "L" else "EN", ("L", "R"))  # W7

    def _marks(self) -> None:
        before = self.sequence.sos
        for n, found in enumerate(self.kinds):
            if found == "NSM":
                self.kinds[n] = "ON" if before in (*_ISOLATES, "PDI") else before
            before = self.kinds[n]

    def _numbers_after_arabic(self) -> None:
        self._follow("EN", lambda strong: "AN" if strong == "AL" else "EN", ("L", "R", "AL"))

    def _follow(self, wanted: str, becomes: Callable[[str], str], strong: tuple[str, ...]) -> None:
        last = self.sequence.sos
        for n, found in enumerate(self.kinds):
            if found in strong:
                last = found
            elif found == wanted:
                self.kinds[n] = becomes(last)

    def _separators(self) -> None:  # W4
        for n in range(1, len(self.kinds) - 1):
            before, after = self.kinds[n - 1], self.kinds[n + 1]
            if before != after:
                continue
            if (self.kinds[n] == "ES" and before == "EN") or (
                self.kinds[n] == "CS" and before in ("EN", "AN")
            ):
                self.kinds[n] = before

    def _terminators(self) -> None:  # W5
        n = 0
        while n < len(self.kinds):
            end = n
            while end < len(self.kinds) and self.kinds[end] == "ET":
                end += 1
            if end > n:
                touches = (n and self.kinds[n - 1] == "EN") or (
                    end < len(self.kinds) and self.kinds[end] == "EN"
                )
                if touches:
                    self.kinds[n:end] = ["EN"] * (end - n)
            n = max(end, n + 1)

    # N0

    def _brackets(self) -> None:
        for opening, closing in self._pairs():
            inside = {_strong(k) for k in self.kinds[opening + 1 : closing]} - {""}
            if self.embedding in inside:
                self._set_pair(opening, closing, self.embedding)
            elif inside:
                before = next(
                    (s for k in reversed(self.kinds[:opening]) if (s := _strong(k))), self.sequence.sos
                )
                opposite = "L" if self.embedding == "R" else "R"
                self._set_pair(opening, closing, opposite if before == opposite else self.embedding)

    def _set_pair(self, opening: int, closing: int, found: str) -> None:
        for n in (opening, closing):
            self.kinds[n] = found
            for after in range(n + 1, len(self.kinds)):  # marks on a bracket follow it
                if self.paragraph.original[self.places[after]] != "NSM":
                    break
                self.kinds[after] = found

    def _pairs(self) -> list[tuple[int, int]]:
        waiting: list[tuple[int, int]] = []
        found: list[tuple[int, int]] = []
        for n, i in enumerate(self.places):
            if self.kinds[n] != "ON":
                continue
            character = self.paragraph.text[i]
            if partner := _closes_with(character):
                if len(waiting) == _MOST_BRACKETS:
                    return []
                waiting.append((partner, n))
                continue
            code = _SAME.get(ord(character), ord(character))
            place = next((w for w in range(len(waiting) - 1, -1, -1) if waiting[w][0] == code), None)
            if place is not None:
                found.append((waiting[place][1], n))
                del waiting[place:]
        return sorted(found)

    # N1, N2

    def _neutral(self) -> None:
        n = 0
        while n < len(self.kinds):
            if self.kinds[n] not in _NEUTRAL:
                n += 1
                continue
            end = n
            while end < len(self.kinds) and self.kinds[end] in _NEUTRAL:
                end += 1
            before = _strong(self.kinds[n - 1]) if n else self.sequence.sos
            after = _strong(self.kinds[end]) if end < len(self.kinds) else self.sequence.eos
            self.kinds[n:end] = [before if before == after else self.embedding] * (end - n)
            n = end


def _strong(found: str) -> str:
    """The direction that a class has for neutrals; numbers count as right to left."""
    return {"L": "L", "R": "R", "EN": "R", "AN": "R"}.get(found, "")


def _raise(level: int, found: str) -> int:
    """I1, I2."""
    if level % 2:
        return int(found in ("L", "EN", "AN"))
    return {"R": 1, "AN": 2, "EN": 2}.get(found, 0)


@lru_cache(maxsize=512)
def _closes_with(character: str) -> int:
    """The code of the bracket that closes this one; 0 for anything else."""
    code = ord(character)
    if code in _PARTNERS:
        return _PARTNERS[code]
    if unicodedata.category(character) != "Ps" or not unicodedata.mirrored(character):
        return 0
    if unicodedata.category(chr(code + 1)) != "Pe":
        return 0
    return _SAME.get(code + 1, code + 1)


def line_levels(text: str, level: Sequence[int], base: int) -> list[int]:
    """The levels of one line: white space at its end runs with the paragraph (L1)."""
    made = list(level)
    trailing = True
    for i in range(len(text) - 1, -1, -1):
        found = kind(text[i])
        if found in ("S", "B"):
            trailing = True
            made[i] = base
        elif trailing and found in ("WS", *_ISOLATES, "PDI", *_REMOVED):
            made[i] = base
        else:
            trailing = False
    return made


def visual_order(level: Sequence[int]) -> list[int]:
    """Places from left to right: stretches are reversed, the highest level first (L2)."""
    order = list(range(len(level)))
    odd = [value for value in level if value % 2]
    for turn in range(max(level, default=0), min(odd, default=1) - 1, -1):
        n = 0
        while n < len(order):
            end = n
            while end < len(order) and level[order[end]] >= turn:
                end += 1
            order[n:end] = reversed(order[n:end])
            n = max(end, n + 1)
    return order
