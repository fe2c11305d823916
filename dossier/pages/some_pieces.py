"""Parts of which lines of work speak by some of their pieces: "1 of 4 lenses", wherever such a line is told.

Not here: what a part is called (`setting`).
"""

from __future__ import annotations

from collections.abc import Iterable

from dossier.model.rows import Work
from dossier.pages.setting import Setting


def met(s: Setting, rows: Iterable[Work]) -> dict[str, tuple[int, int]]:
    """By part, as many of its pieces as the lines surely and at most speak of; nobody says which."""
    counts: dict[str, list[int]] = {}
    for work in rows:
        for number in work.parts:
            counts.setdefault(number, []).append(_of_part(s, work, number))
    return {n: (max(said), min(sum(said), _whole(s, n))) for n, said in counts.items()}


def every(s: Setting, number: str) -> tuple[int, int]:
    """All its pieces."""
    return _whole(s, number), _whole(s, number)


def short(s: Setting, number: str, low: int, high: int) -> str:
    """A part by name; with "9 of 64" where only some of its pieces are meant."""
    part, name = s.parts.get(number), s.short_name(number)
    if part is None or low == high == part.pieces:
        return name
    if part.pieces == 1:
        return s.say("disclosure.perhaps", part=name)
    return s.say("disclosure.some", span=_span(s, low, high), whole=part.pieces, part=name)


def listed(s: Setting, rows: Iterable[Work], most: int) -> str:
    """The parts of all lines by number and name, each once; beyond `most`, by number alone."""
    counts = met(s, rows)
    if len(counts) > most:
        return s.in_row(counts)
    return s.listed(_numbered(s, number, *span) for number, span in counts.items())


def of_line(s: Setting, work: Work, most: int) -> str:
    """The parts of one line, and how many pieces it says."""
    names = s.part_names(work.parts, most)
    if not work.pieces:
        return names
    whole = sum(s.parts[number].pieces for number in work.parts if number in s.parts)
    return s.say("work_log.pieces", part=names, n=work.pieces, whole=whole)


def _numbered(s: Setting, number: str, low: int, high: int) -> str:
    name, whole = s.part_name(number), _whole(s, number)
    if low == high == whole:
        return name
    return s.say("work_log.pieces", part=name, n=_span(s, low, high), whole=whole)


def _of_part(s: Setting, work: Work, number: str) -> int:
    """A number beside several parts says nothing of one of them."""
    whole = _whole(s, number)
    return min(work.pieces, whole) if work.pieces and len(work.parts) == 1 else whole


def _whole(s: Setting, number: str) -> int:
    return s.parts[number].pieces if number in s.parts else 1


def _span(s: Setting, low: int, high: int) -> str:
    return str(low) if low == high else s.say("account.range", low=low, high=high)
