"""Page 16: the hand-over receipt, in the workshop's and the owner's copy alone."""

from __future__ import annotations

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.model.rows import Contact
from dossier.pages import blocks
from dossier.pages.plain import plain
from dossier.pages.setting import Setting
from dossier.pages.tagging import Columns, Rule, Space, Text, Together

PRIVATE = ("workshop", "owner")


def section(s: Setting) -> list[Flowable]:
    if s.record.copy not in PRIVATE:
        return []
    before, *rest = blocks.section(s, s.say("receipt.title"), body(s))
    return [before, Together(rest)]


def body(s: Setting, *, apart: str = "") -> list[Flowable]:
    """What was handed over and where to sign. A paper apart from any record has its own words, no number."""
    words = plain(apart or s.say("receipt.words"), s.styles.body)
    return [*_facts(s, not apart), *_with_it(s), words, Space(14 * mm), *_lines(s)]


def _facts(s: Setting, numbered: bool) -> list[Flowable]:
    day = s.payload.handover.date or s.payload.dates.returned
    rows = (
        ("object", s.object_name),
        ("job", s.payload.job),
        ("workshop", s.workshop_contact),
        ("record", s.record_number if numbered else ""),
        ("handed_over", s.date(day)),
        ("owner", _names(s, s.apart.owner)),
        ("brought_by", _names(s, s.apart.brought_by)),
        ("received_by", _names(s, s.apart.received_by)),
    )
    return blocks.facts(s, rows)


def _names(s: Setting, rows: tuple[Contact, ...]) -> str:
    return s.and_also(row.name for row in rows)


def _with_it(s: Setting) -> list[Flowable]:
    items = list(s.payload.handover.with_it) or [s.say("receipt.nothing")]
    return [*blocks.group(s, s.say("label.with_it"), items), Space(4 * mm)]


def _lines(s: Setting) -> list[Flowable]:
    """Two places to sign, each with its date."""
    width = s.grid.columns(2)
    cells: list[list[Flowable]] = [
        [Rule(width, 0.5), Space(1 * mm), Text(s.set(f"receipt.{who}"), s.styles.in_note)]
        for who in ("sign_workshop", "sign_receiver")
    ]
    return [Columns(cells, [width, width], s.grid.gap)]
