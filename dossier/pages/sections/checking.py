"""Page 15: how to check this record: three steps, fingerprint, digest, and what no check can tell."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.pages import blocks
from dossier.pages.plain import plain
from dossier.pages.setting import Setting, markup, unbroken
from dossier.pages.tagging import Columns, Loose, Space, Terms, Text, Together

CODE_MM = 50.0
_LABEL, _LABEL_GAP = 31 * mm, 3 * mm
_EMPTY = 0.4  # of a page: most that is left empty to keep the steps and the code on one
_LEAST = 5 * 14.0  # points of them on either page


def section(s: Setting) -> list[Flowable]:
    """What to do and what to compare: on one page where little of another stays empty; the rest follows."""
    title = s.say("checking.title")

    def again() -> Flowable:
        return plain(s.say("new_removed.continued", part=title), s.styles.group)

    before, *to_do = blocks.section(s, title, _to_do(s))
    return [before, Loose(to_do, s.grid.depth * _EMPTY, _LEAST, again), *_cannot(s), *_carried(s)]


def _to_do(s: Setting) -> list[Flowable]:
    return [blocks.say(s, "checking.lead"), *_state(s), _steps(s), Together(_numbers(s))]


def _state(s: Setting) -> list[Flowable]:
    return [blocks.say(s, f"checking.{key}") for key in s.options.notices]


def _steps(s: Setting) -> Flowable:
    page = s.payload.workshop.verification_page
    telephone = s.payload.workshop.telephone
    kind = "step_1_holder" if s.options.by_holder else "step_1"
    first = s.say(f"checking.{kind}", page=page) if page else s.say(f"checking.{kind}_no_page")
    third = (
        s.say("checking.step_3", telephone=unbroken(telephone))
        if telephone
        else s.say("checking.step_3_no_telephone")
    )
    return blocks.steps(s, [first, s.say("checking.step_2"), third], page)


def groups(text: str, line: int = 64) -> str:
    """A digest in groups of four that can be read aloud; `line` letters to a line."""
    lines = [text[i : i + line] for i in range(0, len(text), line)]
    return "\n".join(" ".join(row[i : i + 4] for i in range(0, len(row), 4)) for row in lines)


def _numbers(s: Setting) -> list[Flowable]:
    """What to compare, beside the code that says the same."""
    shop = s.payload.workshop
    rows = (
        ("workshop", s.in_row(text for text in (shop.name, shop.address) if text)),
        ("telephone", shop.telephone),
        ("fingerprint", s.options.fingerprint or s.say("checking.no_fingerprint")),
        ("record", s.record_number),
        ("digest", s.say("checking.none_yet") if s.options.draft else groups(s.record.digest, line=32)),
    )
    if not s.options.code_text:
        return [Space(2 * mm), *blocks.facts(s, rows)]
    side = s.grid.text - CODE_MM * mm - s.grid.gap
    words = [
        *_beside(s, rows, side),
        Space(2 * mm),
        Text(markup(s.of_code("pages.checking.code", size=int(CODE_MM))), s.styles.in_note),
    ]
    both = Columns([[blocks.code(s, CODE_MM)], words], [CODE_MM * mm, side], s.grid.gap)
    return [Space(4 * mm), both, Space(2 * mm)]


def _beside(s: Setting, rows: Sequence[tuple[str, str]], width: float) -> list[Flowable]:
    """Labels (keys of [label]) and values in `width` points."""
    widths, of = (_LABEL, width - _LABEL - _LABEL_GAP), Terms()
    return [blocks.term(s, s.say(f"label.{key}"), text, widths, _LABEL_GAP, of) for key, text in rows if text]


def _cannot(s: Setting) -> list[Flowable]:
    lines = [s.say(f"checking.cannot_{key}") for key in ("object", "truth", "owner", "later")]
    return blocks.group(s, s.say("checking.cannot"), lines)


def _carried(s: Setting) -> list[Flowable]:
    kind = s.options.originals if s.payload.photographs else "no_photographs"
    where = s.say(f"checking.originals_{kind}")
    return blocks.group(s, s.say("checking.carried"), [s.say("checking.attached"), where])
