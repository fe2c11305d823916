"""Page 14: what was asked and answered, with the details, prices and notes that this copy has."""

from __future__ import annotations

import re
from collections.abc import Sequence

import msgspec
from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.model.rows import Agreement, AgreementDetail, Note, Value
from dossier.pages import blocks
from dossier.pages.setting import Setting, unbroken
from dossier.pages.tagging import Space, Together

_SHORT_NOTE = 400  # letters: stays on one page
_FEW = 8  # agreements that stay on one page where each is one line


def section(s: Setting) -> list[Flowable]:
    return [*_agreed(s), *_notes(s)]


def empty(s: Setting) -> list[str]:
    return [] if _agreed(s) else [s.say("agreements.none")]


def _agreed(s: Setting) -> list[Flowable]:
    rest = [*_prices(s), *_people(s), *_values(s)]
    if not rest and not s.payload.agreements:
        return []
    return blocks.section(s, s.say("agreements.title"), [*_agreements(s), *rest])


def _agreements(s: Setting) -> list[Flowable]:
    rows = s.payload.agreements
    if not rows:
        return [blocks.say(s, "agreements.none")]
    details = {row.number: row for row in s.apart.agreement_details}
    heads = [s.say(f"head.{key}") for key in ("agreement", "asked", "answered", "answer", "agreed_what")]
    body = [_row(s, row, details.get(row.number)) for row in rows]
    flows: list[Flowable] = [blocks.table(s, heads, body, (14, 24, 24, 22, 84))]
    if gone := s.missing("agreement_details"):
        flows += [Space(1 * mm), blocks.note(s, s.say("agreements.details_gone", n=gone))]
        return [Together(flows)] if len(rows) <= _FEW else flows
    return flows


def _row(s: Setting, row: Agreement, detail: AgreementDetail | None) -> list[str]:
    unsaid = s.say("not_said")
    dates = [s.day(row.asked) or unsaid, s.day(row.answered) or unsaid]
    return [row.number, *dates, s.token(row.answer), _detail(s, detail)]


def _detail(s: Setting, detail: AgreementDetail | None) -> str:
    if detail is None:
        return s.say("not_in_this_copy") if s.missing("agreement_details") else s.say("not_said")
    told = s.in_row(text for text in (detail.how, detail.by) if text)
    said = [text for text in (detail.what, told, s.price(detail.price)) if text]
    return s.and_also([*(text.rstrip(".") for text in said[:-1]), *said[-1:]])


def _prices(s: Setting) -> list[Flowable]:
    lines = [s.price(row.amount) for row in s.apart.prices] or _gone(s, "prices")
    return blocks.group(s, s.say("label.price"), lines) if lines else []


def _gone(s: Setting, kind: str) -> list[str]:
    return [s.say("not_in_this_copy")] if s.missing(kind) else []


def _people(s: Setting) -> list[Flowable]:
    """Only copies that have them name the people; the others say that they do not."""
    flows: list[Flowable] = []
    for kind, rows in (
        ("owner", s.apart.owner),
        ("brought_by", s.apart.brought_by),
        ("payer", s.apart.payer),
    ):
        lines = [s.in_row(t for t in (r.name, r.address, unbroken(r.telephone), r.email) if t) for r in rows]
        lines = lines or _gone(s, kind)
        flows += blocks.group(s, s.say(f"label.{kind}"), lines) if lines else []
    return flows


def _values(s: Setting) -> list[Flowable]:
    lines = [_value(s, row) for row in s.apart.values] or _gone(s, "values")
    return blocks.unparted(blocks.group(s, s.say("label.values"), lines)) if lines else []


def _value(s: Setting, row: Value) -> str:
    low, high = (s.typed(_without_zeros(text)) for text in (row.low, row.high))
    span = f"{s.say('account.range', low=low, high=high)} {row.currency}"
    when = s.say(f"side.{row.when}").lower() if row.when in ("before", "after") else row.when
    whose = s.say("agreements.own" if row.own else "agreements.of", who=s.persons(row.by)) if row.by else ""
    tail = [when, s.date(row.date), whose, row.basis]
    said = s.say("agreements.value", span=span, tail=s.in_row(text for text in tail if text))
    if not row.change_low:
        named = [msgspec.structs.replace(one, by=s.persons(one.by)) for one in (row, *s.apart.values)]
        why = _why_no_change(named[0], named[1:])
        return f"{said} {s.say(f'agreements.no_change.{why}')}" if why else said
    low, high = (s.signed(number) for number in (row.change_low, row.change_high))
    return f"{said} {s.say('agreements.change', low=low, high=high, currency=row.currency)}"


def _why_no_change(row: Value, values: Sequence[Value]) -> str:
    """Why an opinion of afterwards has no change beside it; "" where none is of before."""
    before = [other for other in values if other.when == "before"]
    if row.when != "after" or not before:
        return ""
    for name in ("currency", "by", "basis"):
        wanted = _plain(getattr(row, name))
        before = [other for other in before if _plain(getattr(other, name)) == wanted]
        if not before:
            return name
    return "several"


def _without_zeros(amount: str) -> str:
    """Without the zeros in front that keep "021,125" from being thousands; `Setting.typed` has "021.125"."""
    return re.sub(r"^0+(?=\d+(?:,|$))", "", amount)


def _plain(text: str) -> str:
    return " ".join(text.casefold().split())


def _notes(s: Setting) -> list[Flowable]:
    notes = (*s.payload.notes, *s.apart.private_notes)
    gone = s.missing("private_notes")
    if not notes and not gone:
        return []
    body: list[Flowable] = []
    for note in notes:
        title = s.say("notes.private", title=note.title) if note.private else note.title
        hung = blocks.hung(s, title, _text(s, note))
        body += blocks.unparted(hung) if len(note.text) <= _SHORT_NOTE else hung
    if gone:
        body += [Space(1 * mm), blocks.indented(s, [blocks.note(s, s.say("notes.gone", n=gone))])]
    return blocks.section(s, s.say("notes.title"), body)


def _text(s: Setting, note: Note) -> list[Flowable]:
    from dossier.pages.markdown import flowables  # noqa: PLC0415 - start-up: only where there are notes

    return flowables(s, note.text)
