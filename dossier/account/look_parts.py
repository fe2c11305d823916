"""What the register and the log say of parts that does not fit, or leave unsaid.

Not here: work rows for themselves (`look_work`), photographs.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from dossier.account.days import earlier
from dossier.account.found import Found
from dossier.account.likeness import materials_differ, normal, says_difference
from dossier.account.naming import STATE_OF
from dossier.account.parts import now_of
from dossier.account.register import pieces_of
from dossier.account.view import View
from dossier.model.rows import Part, Work
from dossier.model.words import Done
from dossier.trade.written import measure_words
from dossier.words import headings

_NEW: frozenset[Done] = frozenset({"replaced", "added"})
_RENEWED: frozenset[Done] = frozenset({"replaced", "added", "part renewed"})
_WITH_REASON: frozenset[Done] = frozenset({"replaced", "added", "part renewed", "taken away"})
_TAKEN: frozenset[Done] = frozenset({"replaced", "taken away"})
_TOUCHED = frozenset({"treated", "new surface", "part renewed", "new"})


def look(view: View) -> Iterator[Found]:
    for part in view.job.parts:
        if view.register.in_circle(part):
            yield _found("part-of-circle", part)
        yield from _sub_rows(view, part)
        yield from _nearly_a_heading(view, part)
    for part in view.register.counted():
        rows = view.rows(part)
        with_container = [*_containers(view, part, rows)]
        yield from with_container
        for one in _unsaid(view, part, _not_put_back(view, part, view.may_have_met(part))):
            if one.code != "no-reason" or not with_container:  # its reason is asked for there
                yield one
        yield from _contradicted(view, part, rows)
        pieces = [*_pieces(view, part, rows)]
        yield from pieces or _may_meet(view, part, rows)
        yield from _differs_in_words(part, rows)
        yield from _only_a_name(view, part)
        yield from _past_date(view, part)
        yield from _in_replacement(view, part)
        # Work on some pieces shows that the part was looked at, and account and sentence say of how many no
        # work is recorded: no gap is made of nine new pins among 64.
        if view.finished and not rows and part.came_as != "missing":
            yield _found("no-work-recorded", part)
        if view.finished and rows and _said_to_be_new(part) and not _has(_around(view, part), _WITH_REASON):
            yield _found("old-piece-without-work", part)


def _found(code: str, part: Part, **values: object) -> Found:
    return Found(code, f"parts/{part.number}", values, (part.number,))


def _said_to_be_new(part: Part) -> bool:
    return bool(part.new_material and part.old_piece) and part.came_as != "missing"


def _around(view: View, part: Part) -> list[Work]:
    """The work on it and on what it is in, with which it may have gone."""
    return [row for one in (part, *view.register.containers(part)) for row in view.rows(one)]


def _has(rows: list[Work], done: frozenset[Done]) -> bool:
    return any(row.done in done for row in rows)


_UNSAID: tuple[tuple[str, frozenset[Done], str], ...] = (
    ("no-reason", _WITH_REASON, "why"),
    ("new-without-material", _RENEWED, "new_material"),
    ("made-by-not-said", _NEW, "made_by"),
    ("told-by-not-said", _RENEWED, "told_by"),
    ("undone-by-not-said", _RENEWED, "undone_by"),
    ("old-piece-not-said", _TAKEN, "old_piece"),
)


def _not_put_back(view: View, part: Part, rows: list[Work]) -> list[Work]:
    """The rows without "taken away", where it was put back: nothing is kept elsewhere."""
    if not {"taken away", "taken off and refitted"} <= {row.done for row in rows}:
        return rows
    if any(now.now == "taken away" and now.pieces_low for now in now_of(view.register, part)):
        return rows
    return [row for row in rows if row.done != "taken away"]


def _unsaid(view: View, part: Part, rows: list[Work]) -> Iterator[Found]:
    """What new work owes a word of; where a heading has one that is not said of this part, that is asked."""
    elsewhere: dict[str, list[str]] = {}
    for code, done, name in _UNSAID:
        if not _has(rows, done) or getattr(part, name) or (name == "old_piece" and part.came_as == "missing"):
            continue
        if heading := view.register.said_above(part, name):
            elsewhere.setdefault(heading.number, []).append(name.replace("_", " "))
        else:
            yield _found(code, part)
    for number, names in elsewhere.items():
        heading = view.register.parts[number]
        yield _found("said-of-heading", part, heading=f"{heading.part} ({number})", names=", ".join(names))


def _contradicted(view: View, part: Part, rows: list[Work]) -> Iterator[Found]:
    brought = [row.done for row in rows if row.done in _NEW or row.done == "taken away"]
    was_there = part.came_as not in ("missing", "not known")
    if was_there and brought[:1] == ["added"]:
        yield _found("added-but-was-there", part, came_as=part.came_as)
    if part.came_as == "missing" and (row := _worked_on_missing(view, part, rows)):
        yield _found("missing-but-worked-on", part, done=row.done, row=row.number)


def _worked_on_missing(view: View, part: Part, rows: list[Work]) -> Work | None:
    """The first row of work on a piece that nobody had brought yet; a row on a heading is on those of its
    pieces that were there, if these are as many as it says.
    """
    for row in rows:
        if row.done in _NEW:
            return None
        if STATE_OF[row.done] in _TOUCHED and (part.number in row.parts or _is_of_more(view, part, row)):
            return row
    return None


def _is_of_more(view: View, part: Part, row: Work) -> bool:
    """Whether a row on a heading over a part speaks of more pieces than were there."""
    for heading in view.register.headings_over(part):
        if heading.number not in row.parts:
            continue
        away, n = view.register.away.get(heading.number, 0), pieces_of(heading)
        if n - away < row.pieces < n or away == n:
            return True
    return False


def _pieces(view: View, part: Part, rows: list[Work]) -> Iterator[Found]:
    """Rows that speak of more pieces than there are."""
    n = pieces_of(part)
    left = sum(_sure(view, part, row) for row in rows if row.done == "left as found")
    touched = max((_sure(view, part, row) for row in rows if STATE_OF[row.done] in _TOUCHED), default=0)
    if left and touched and left + touched > n:
        whole = left >= n or touched >= n
        code = "left-and-worked-on" if whole else "split-exceeds"
        yield _found(code, part, pieces=n, said=left + touched)
        return
    some = [_sure(view, part, row) for row in rows if row.done == "replaced" and _sure(view, part, row) < n]
    if sum(some) > n:
        yield _found("split-exceeds", part, pieces=n, said=sum(some))


def _may_meet(view: View, part: Part, rows: list[Work]) -> Iterator[Found]:
    """Lines that could each be of other pieces, and that the account has to give ranges for."""
    n = pieces_of(part)
    some = [row for row in rows if 0 < _sure(view, part, row) < n]
    if len(some) < 2 or sum(_sure(view, part, row) for row in some) > n:
        return
    if any(now.pieces_low < now.pieces_high for now in now_of(view.register, part)):
        yield _found("pieces-may-meet", part, rows=", ".join(str(row.number) for row in some))


def _differs_in_words(part: Part, rows: list[Work]) -> Iterator[Found]:
    """What counts as different by the words of its materials alone: of other words for the same, untruly."""
    if _has(rows, _NEW) and materials_differ(part) and not says_difference(part):
        yield _found("differs-in-words", part, old=part.material, new=part.new_material)


def _k(row: Work, n: int) -> int:
    """Pieces a row surely speaks of; a number beside several parts says nothing of one of them."""
    if row.pieces and len(row.parts) > 1:
        return 0
    return min(row.pieces or n, n)


def _sure(view: View, part: Part, row: Work) -> int:
    """How many pieces of a part a row on it, or on a heading over it, surely met."""
    n = pieces_of(part)
    heading = next((one for one in view.register.headings_over(part) if one.number in row.parts), None)
    if part.number in row.parts or heading is None or not 0 < row.pieces < pieces_of(heading):
        return _k(row, n)
    if len(row.parts) > 1 or view.register.is_away(part):
        return 0
    others = pieces_of(heading) - view.register.away.get(heading.number, 0) - n
    return max(0, min(row.pieces - others, n))


def _sub_rows(view: View, part: Part) -> Iterator[Found]:
    """A part split into rows of its own material that come to more pieces than it has."""
    under = [p for p in view.register.under.get(part.number, ()) if p is not part]
    material = normal(part.material)
    total = sum(map(pieces_of, under))
    same = material and all(normal(p.material) == material for p in under)
    if len(under) > 1 and part.pieces > 1 and same and total > part.pieces:
        yield _found("split-exceeds", part, pieces=part.pieces, said=total)


def _nearly_a_heading(view: View, part: Part) -> Iterator[Found]:
    """What its pieces make a heading, and its material a part of its own beside those under it."""
    register = view.register
    if part.number not in register.headings and headings.adds_up(part, register.parts, register.under):
        yield _found("counts-beside-its-parts", part, material=part.material)
    elif besides := headings.besides(part, register.parts, register.under):
        names = ", ".join(f"{one.part} ({one.number})" for one in besides)
        yield _found("counts-beside-some-parts", part, pieces=part.pieces, besides=names)
    elif (under := register.under.get(part.number, ())) and _is_bare(part) and part.pieces > 1 < len(under):
        total = sum(map(pieces_of, under))
        if part.number not in register.headings and total != part.pieces:
            yield _found("counts-otherwise", part, pieces=part.pieces, total=total)


def _containers(view: View, part: Part, rows: list[Work]) -> Iterator[Found]:
    """A part that is new, in one of which all pieces are; a reason typed answers it."""
    if part.why or not any(row.done == "replaced" for row in rows):
        return
    for container in view.register.containers(part):
        own, n = view.register.rows.get(container.number, ()), pieces_of(container)
        new = sum(_k(row, n) for row in own if row.done == "replaced")
        if container.number not in view.register.headings and new >= n:
            yield _found("container-replaced-too", part, container=container.number, name=container.part)
            return


def _is_bare(part: Part) -> bool:
    """Whether it says nothing that a part says of itself."""
    return part.came_as == "not known" and not (part.material or part.measure)


def _only_a_name(view: View, part: Part) -> Iterator[Found]:
    """A part that says nothing of itself and contains others is a heading, meant so, and counts as a part."""
    under = view.register.under.get(part.number, ())
    if len(under) > 1 and part.pieces == 1 and _is_bare(part) and not part.condition:
        total = sum(map(pieces_of, under))
        yield _found("container-unsaid", part, pieces=total)


def _in_replacement(view: View, part: Part) -> Iterator[Found]:
    """What is original in a part that is not: taken over, or read wrongly; a reason typed answers it."""
    container = next(view.register.containers(part), None)
    if part.came_as != "original" or part.kept_why or part.why_otherwise or container is None:
        return
    if container.came_as == "earlier replacement" and container.number not in view.register.headings:
        yield _found("original-in-replacement", part, container=container.number, name=container.part)


def _past_date(view: View, part: Part) -> Iterator[Found]:
    """An old piece that is said to be kept until a day that is past."""
    if not (view.today and part.old_piece):
        return
    words = "|".join(map(re.escape, measure_words(view.job.language, "until")))
    found = re.search(
        rf"\b(?:{words})\s{{1,4}}(\d{{4}}(?:-\d\d(?:-\d\d)?)?)\b", part.old_piece, re.IGNORECASE
    )
    if found and earlier(found[1], view.today):
        yield _found("old-piece-past-date", part, until=found[1])
