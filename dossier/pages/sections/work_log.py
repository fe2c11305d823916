"""Page 10: every line of work with its date and who did it; outside firms by name (AIC Commentary 27)."""

from __future__ import annotations

from collections.abc import Iterator

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.model.rows import Work
from dossier.pages import blocks, some_pieces
from dossier.pages.setting import Setting, in_one
from dossier.pages.tagging import Space
from dossier.pages.timeline_figure import timeline
from dossier.words.compare import normal

HEADS = ("line", "day", "who", "part", "done", "how", "agreed_on")
SHARES = (8, 20, 23, 37, 22, 50, 13)
_SHARES_OF_LONG = (9, 20, 22, 50, 21, 38, 13)


def section(s: Setting) -> list[Flowable]:
    body: list[Flowable] = [*timeline(s), *_log(s), *_who(s)]
    return blocks.section(s, s.say("work_log.title"), body)


def _log(s: Setting) -> list[Flowable]:
    if not s.payload.work:
        return [blocks.say(s, "work_log.none")]
    rows = [_row(s, work) for work in s.payload.work]
    return [
        blocks.table(
            s, [s.say(f"head.{key}") for key in HEADS], rows, blocks.shares(rows, SHARES, _SHARES_OF_LONG)
        )
    ]


def _row(s: Setting, work: Work) -> list[str]:
    return [
        str(work.number),
        s.day(work.date) or s.say("not_said"),
        s.person(work.who) or s.say("not_said"),
        some_pieces.of_line(s, work, 8),
        s.token(work.done),
        how(s, work),
        work.agreed_on,
    ]


def how(s: Setting, work: Work) -> str:
    """How, with what, which batch, the stitch holes, what the test showed."""
    batch = s.say("work_log.batch", batch=in_one(work.batch)) if work.batch else ""
    named = "" if normal(work.product) == normal(work.how) else work.product  # typed in both columns
    product = s.beside(named, batch) if named else batch
    test = s.say("work_log.test", test=work.test) if work.test else ""
    return s.and_also(text.rstrip(".") for text in (work.how, product, *_holes(s, work), test) if text)


def _holes(s: Setting, work: Work) -> Iterator[str]:
    """Whether the old stitch holes were used, and how many were counted, as far as the row says."""
    if work.stitch_holes:
        yield s.say(f"stitch_holes.{work.stitch_holes}")
    counts = {"before": work.holes_before, "after": work.holes_after}
    counted = {name: count for name, count in counts.items() if count is not None}
    if counted:
        yield s.say(f"stitch_holes.{'_and_'.join(counted)}", **counted)


def _who(s: Setting) -> list[Flowable]:
    workers = [_person(s, row.mark, row.name, row.role) for row in s.payload.people]
    firms = [_person(s, row.mark, row.name, row.place, row.does) for row in s.payload.firms]
    flows: list[Flowable] = [Space(2 * mm)]
    if workers:
        flows += blocks.unparted(blocks.group(s, s.say("label.people"), workers))
    return flows + blocks.unparted(
        blocks.group(s, s.say("label.firms"), firms or [s.say("work_log.no_firms")])
    )


def _person(s: Setting, mark: str, name: str, *more: str) -> str:
    first = name or mark
    return s.in_row(text for text in (first, *more) if text)
