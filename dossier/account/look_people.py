"""What is nearly a mark of the workshop's, or like one, in a field that takes any name: nobody knows it.

Not here: the work log and plating, where only a mark will do (`intake.rows.known_person`). Pure.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from dossier.account.found import Found
from dossier.account.view import View
from dossier.words.marks import marks_in

_LIKE_A_MARK = re.compile(r"(?!(?:UK|GB|US|USA|EU|AG|KG|SA|LTD|LLC|INC)$)[A-Z]{2,3}")  # no country, no firm


def look(view: View) -> Iterator[Found]:
    """Somebody else's name may stand there, so that it is asked about and not put right."""
    everybody = [(who.mark, who.name) for who in view.job.workshop.people]
    everybody += [(firm.mark, firm.name) for firm in view.job.workshop.firms]
    known = {name for both in everybody for name in both}
    near = {_bare(name): mark for mark, full in everybody for name in (full, mark)}
    for key, typed, parts in _typed(view):
        for one in marks_in(typed):
            mark = near.get(_bare(one), "")
            if one in known:
                continue
            if mark:
                yield Found("nearly-a-mark", key, {"typed": one, "mark": mark}, parts, one)
            elif everybody and _LIKE_A_MARK.fullmatch(one):
                yield Found("mark-of-nobody", key, {"typed": one}, parts, one)


def _typed(view: View) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """Where a mark or any name may stand: its place, what is typed, and of which parts."""
    yield "job/looked_at.by", view.job.looked_at.by, ()
    for part in view.job.parts:
        yield f"parts/{part.number}.made_by", part.made_by, (part.number,)
    for place, value in enumerate(view.job.values, 1):
        yield f"values/{place}.by", value.by, ()


def _bare(name: str) -> str:
    """Letters and figures alone: "M.B." and "mb" are "mb"."""
    return "".join(filter(str.isalnum, name)).casefold()
