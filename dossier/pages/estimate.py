"""The estimate sheet, a private paper: what was put to the owner, at what price, and what they answered.

From the agreements of the job, item by item, as written: prices have their own currency and words, so they
are not added up. Where there is no answer yet, there is a place to give one by hand. What could not be seen,
and what was advised and left undone, stand beside it. No terms of business are made up here.
"""

from __future__ import annotations

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.model.record import OpenRecord
from dossier.model.rows import Advice, Agreement, AgreementDetail
from dossier.pages import blocks, paper
from dossier.pages.options import PageOptions
from dossier.pages.receipt import group, opening, said, thing, who
from dossier.pages.setting import Setting
from dossier.pages.tagging import Columns, Space, Together


def draw_estimate(record: OpenRecord, options: PageOptions) -> bytes:
    """The estimate as a finished PDF."""
    s, story = paper.settled(record, options, _story)
    title = s.words.say("papers.estimate.title", job=s.payload.job)
    return paper.finished(s, story, title, paper.PaperRunning(s, private=True))


def _story(s: Setting) -> list[Flowable]:
    """What is signed is never alone on a page: the last group of words goes with it."""
    groups = [made for made in (_bill(s), _unseen(s), _undone(s), _answers(s)) if made]
    last = groups.pop() if groups else []
    return [
        *opening(s, "estimate"),
        *who(s),
        *thing(s, marks=False),
        *_items(s),
        *[flow for made in groups for flow in made],
        Together([*last, *_signed(s)]),
    ]


def _items(s: Setting) -> list[Flowable]:
    rows = s.payload.agreements
    if not rows:
        return group(s, "items", [*said(s, [s.words.say("papers.estimate.none")]), *paper.ruled(s, 6)])
    details = {row.number: row for row in s.apart.agreement_details}
    heads = [s.words.say(f"papers.head.{key}") for key in ("number", "item", "price", "asked", "answer")]
    cells = [_row(s, row, details.get(row.number)) for row in rows]
    title = blocks.heading(s, s.words.say("papers.group.items"))
    note = blocks.note(s, s.words.say("papers.estimate.not_added"))
    return [title, blocks.table(s, heads, cells, (12, 70, 30, 26, 36)), note]


def _row(s: Setting, row: Agreement, detail: AgreementDetail | None) -> list[str]:
    what = detail.what if detail else ""
    price = s.price(detail.price) if detail else ""
    unsaid = s.say("not_said")
    return [row.number, what or unsaid, price or unsaid, s.day(row.asked) or unsaid, _answer(s, row, detail)]


def _answer(s: Setting, row: Agreement, detail: AgreementDetail | None) -> str:
    """The answer, when, how and by whom."""
    tail = [s.date(row.answered), *((detail.how, detail.by) if detail else ())]
    if row.answer == "no answer yet":
        return s.token(row.answer)
    return s.in_row(text for text in (s.token(row.answer), *tail) if text)


def _bill(s: Setting) -> list[Flowable]:
    lines = [s.price(row.amount) for row in s.apart.prices]
    return group(s, "bill", said(s, lines)) if lines else []


def _unseen(s: Setting) -> list[Flowable]:
    lines = list(s.payload.looked_at.could_not_see)
    if not lines:
        return []
    return group(s, "unseen", [*said(s, lines), blocks.note(s, s.words.say("papers.estimate.unseen"))])


def _undone(s: Setting) -> list[Flowable]:
    lines = [_advice(s, row) for row in s.payload.advised]
    return group(s, "undone", said(s, lines)) if lines else []


def _advice(s: Setting, row: Advice) -> str:
    return s.say("care.undone", what=row.what, why=row.why_not) if row.why_not else row.what


def _open(s: Setting) -> list[str]:
    """Numbers of the items without an answer; one without a number where no item is written down."""
    rows = s.payload.agreements
    return [row.number for row in rows if row.answer == "no answer yet"] if rows else [""]


def _answers(s: Setting) -> list[Flowable]:
    """A place to answer for each item that has no answer yet."""
    numbers = _open(s)
    if not numbers:
        return []
    flows: list[Flowable] = [*said(s, [s.words.say("papers.estimate.answer")])]
    for number in numbers:
        flows += [Space(1 * mm), _choice(s, number)]
    return group(s, "answer", [*flows, Space(2 * mm)])


def _choice(s: Setting, number: str) -> Flowable:
    """Yes, no, or something else, on one line."""
    words = [s.words.say(f"papers.estimate.{key}", number=number).strip() for key in ("yes", "no", "else")]
    shares = (0.3, 0.22, 0.48)
    widths = [s.grid.body * share for share in shares]
    cells = [paper.ticks(s, [text], width) for text, width in zip(words, widths, strict=True)]
    return Columns(cells, widths, 0)


def _signed(s: Setting) -> list[Flowable]:
    words = said(s, [s.words.say("papers.estimate.words")]) if _open(s) else []
    signs = (s.words.say("papers.receipt.sign_workshop"), s.words.say("papers.estimate.sign_owner"))
    return [Space(5 * mm), Together([*words, paper.signatures(s, *signs)])]
