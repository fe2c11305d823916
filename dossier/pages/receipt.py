"""The receipts, private papers: for what came in (before the work), and for what was handed over (after it).

The intake receipt says what came, in what condition, what was asked; what no row says is a line to write on,
and limits and the owner's word on publishing are given by hand. The hand-over receipt is the page of the
dossier as a paper of its own. Neither is signed by a key; both have places to sign by hand. No price here.
"""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.model.record import OpenRecord
from dossier.model.rows import Contact, Mark, Part, TakenIn
from dossier.model.words import MayBeShown
from dossier.pages import blocks, paper
from dossier.pages.options import PageOptions
from dossier.pages.plain import plain
from dossier.pages.sections import receipt as handover
from dossier.pages.sections.know_it import claim
from dossier.pages.setting import Setting, capital, markup, unbroken
from dossier.pages.tagging import Heading, Space, Together

NOTHING_SAID = TakenIn()
_SHOWN: dict[MayBeShown, str] = {"no": "no", "yes": "object", "ask each time": "ask"}


def draw_receipt(record: OpenRecord, options: PageOptions, taken_in: TakenIn = NOTHING_SAID) -> bytes:
    """The intake receipt as a finished PDF. `taken_in` is no part of any record and comes beside it."""
    s, story = paper.settled(record, options, lambda s: _intake(s, taken_in))
    title = s.words.say("papers.receipt.title", job=s.payload.job)
    return paper.finished(s, story, title, paper.PaperRunning(s, private=True))


def draw_handover(record: OpenRecord, options: PageOptions) -> bytes:
    """The hand-over receipt as a finished PDF."""
    s = Setting(record, {}, options, on=paper.paper_grid(options))
    title = s.words.say("papers.handover.title", job=s.payload.job)
    story = [*opening(s, "handover"), *handover.body(s, apart=s.words.say("papers.handover.words"))]
    return paper.finished(s, story, title, paper.PaperRunning(s, private=True))


def opening(s: Setting, kind: str) -> list[Flowable]:
    """Title and what kind of paper this is."""
    title = Heading(markup(s.words.say(f"papers.{kind}.heading")), 1, s.styles.heading)
    return [title, *paper.private_notice(s)]


def who(s: Setting) -> list[Flowable]:
    """Job, day, workshop and the people on the other side."""
    apart = s.apart
    rows = (
        ("job", s.payload.job),
        ("workshop", s.workshop_contact),
        ("received", s.date(s.payload.dates.received)),
        ("owner", contacts(s, apart.owner)),
        ("brought_by", contacts(s, apart.brought_by)),
    )
    return paper.facts(s, rows)


def contacts(s: Setting, rows: Sequence[Contact]) -> str:
    return s.and_also(
        s.in_row(t for t in (r.name, r.address, unbroken(r.telephone), r.email) if t) for r in rows
    )


def _intake(s: Setting, taken_in: TakenIn) -> list[Flowable]:
    return [
        *opening(s, "receipt"),
        *who(s),
        *thing(s, marks=True),
        *_came(s, taken_in),
        *_condition(s),
        *_asked(s, taken_in),
        *_limits(s, taken_in),
        Together([*_publishing(s, taken_in), *_signed(s)]),  # what is signed is never alone on a page
    ]


def group(s: Setting, key: str, body: Sequence[Flowable]) -> list[Flowable]:
    return blocks.hung(s, s.words.say(f"papers.group.{key}"), body)


def said(s: Setting, texts: Sequence[str]) -> list[Flowable]:
    return [plain(text, s.styles.in_body) for text in texts]


def thing(s: Setting, *, marks: bool) -> list[Flowable]:
    """The object in a few lines, with or without its marks."""
    it = s.payload.object
    lines = [
        s.beside(it.title, it.type) if it.title else s.object_name,
        s.and_also(text for text in (claim(s, it.maker), claim(s, it.made)) if text),
        capital(s.listed(it.materials)),
        s.and_also(_mark(s, mark) for mark in (*s.payload.marks, *s.apart.private_marks)) if marks else "",
    ]
    return group(s, "object", said(s, [line for line in lines if line]))


def _mark(s: Setting, mark: Mark) -> str:
    where = s.and_also(text for text in (mark.kind, mark.where) if text)
    return s.say("know_it.mark", text=mark.text, tail=where or s.say("not_said"))


def _came(s: Setting, taken_in: TakenIn) -> list[Flowable]:
    """The parts as they came, and lines for whatever else came with the object."""
    parts = [part for part in s.payload.parts if part.part]
    flows: list[Flowable] = []
    if parts:
        heads = [s.words.say(f"papers.head.{key}") for key in ("number", "part", "pieces", "condition")]
        rows = [_row(s, part) for part in parts]
        flows = [
            blocks.heading(s, s.words.say("papers.group.parts")),
            blocks.table(s, heads, rows, (12, 58, 18, 86)),
        ]
    prompt = [*said(s, [s.words.say("papers.receipt.with_it")]), *paper.ruled(s, 2)]
    with_it = said(s, taken_in.with_it) or prompt
    inside = list(s.payload.looked_at.found_inside)
    return [
        *flows,
        *group(s, "with_it", with_it),
        *(group(s, "inside", said(s, inside)) if inside else []),
    ]


def _row(s: Setting, part: Part) -> list[str]:
    missing = s.token("missing") if part.came_as == "missing" else ""
    return [part.number, part.part, str(part.pieces), s.and_also(t for t in (missing, part.condition) if t)]


def _condition(s: Setting) -> list[Flowable]:
    text = s.payload.condition
    body = said(s, [p for p in text.split("\n\n") if p.strip()]) if text else paper.ruled(s, 3)
    return group(s, "condition", body)


def _asked(s: Setting, taken_in: TakenIn) -> list[Flowable]:
    """What is asked, what had been put to the owner by then, and lines for more."""
    texts = [*taken_in.asked]
    texts += [
        f"{row.number}  {row.what}"
        for row in s.apart.agreement_details
        if row.number in _by_then(s) and row.what
    ]
    lines = 0 if taken_in.asked else 1 if texts else 2
    return group(s, "asked", [*said(s, texts), *paper.ruled(s, lines)])


def _by_then(s: Setting) -> set[str]:
    """Agreements asked by the day the object came or was looked at; without a date of it, all."""
    dates = s.payload.dates
    day = max(dates.received, dates.looked_at)
    return {row.number for row in s.payload.agreements if not day or not row.asked or row.asked <= day}


def _limits(s: Setting, taken_in: TakenIn) -> list[Flowable]:
    """Each limit as it was said, else a line for it."""
    flows: list[Flowable] = []
    for key, texts in (
        ("spend", [taken_in.spend_at_most]),
        ("leave", taken_in.leave),
        ("by_day", [s.date(taken_in.wanted_back)]),
    ):
        words = s.words.say(f"papers.receipt.{key}")
        stated = s.and_also(text for text in texts if text)
        lines = said(s, [f"{words} {stated}".strip()]) if stated else paper.line_beside(s, words)
        flows.append(Together(lines))
    return group(s, "limits", flows)


def _publishing(s: Setting, taken_in: TakenIn) -> list[Flowable]:
    """The answer as it was said, else boxes to tick."""
    words = {word: s.words.say(f"papers.receipt.publish_{key}") for word, key in _SHOWN.items()}
    stated = words.get(taken_in.may_be_shown, "")
    body = [
        *said(s, [s.words.say("papers.receipt.publish")]),
        *(said(s, [stated]) if stated else paper.ticks(s, list(words.values()), s.grid.body)),
        Space(1 * mm),
        plain(s.words.say("papers.receipt.publish_later"), s.styles.in_note),
    ]
    return group(s, "publishing", [Together(body)])


def _signed(s: Setting) -> list[Flowable]:
    words = s.words.say("papers.receipt.words")
    signs = (s.words.say("papers.receipt.sign_workshop"), s.words.say("papers.receipt.sign_bringer"))
    return [Space(5 * mm), Together([plain(words, s.styles.in_body), paper.signatures(s, *signs)])]
