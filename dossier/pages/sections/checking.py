"""Page 15: how to check this record: three steps, fingerprint, digest, and what no check can tell."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.pages import blocks
from dossier.pages.setting import Setting, unbroken
from dossier.pages.tagging import Columns, Space, Terms, Text, Together

CODE_MM = 50.0
_LABEL, _LABEL_GAP = 31 * mm, 3 * mm


def section(s: Setting) -> list[Flowable]:
    """On one page where it can be, set closer if it must; on the page that is left where that has room."""
    for dense in (False, True):
        story = _section(s, _body(s, dense=dense))
        if blocks.fits(s, story):
            break
    return _whole(story)


def close(s: Setting) -> list[Flowable]:
    """The same set close, so that more of a page is left for what comes before it."""
    return _whole(_section(s, _body(s, dense=True)))


def _whole(story: list[Flowable]) -> list[Flowable]:
    before, *rest = story
    return [before, Together(rest)]


def _section(s: Setting, body: list[Flowable]) -> list[Flowable]:
    return blocks.section(s, s.say("checking.title"), body)


def _body(s: Setting, *, dense: bool) -> list[Flowable]:
    return [
        blocks.say(s, "checking.lead"),
        *_state(s),
        _steps(s),
        *_numbers(s, dense=dense),
        *_cannot(s, dense=dense),
        *_carried(s, dense=dense),
    ]


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


def groups(text: str, size: int = 4, line: int = 64) -> str:
    """A digest in groups that can be read aloud; `line` letters to a line."""
    lines = [text[i : i + line] for i in range(0, len(text), line)]
    return "\n".join(" ".join(row[i : i + size] for i in range(0, len(row), size)) for row in lines)


def _numbers(s: Setting, *, dense: bool) -> list[Flowable]:
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
        return [Space(2 * mm), *blocks.facts(s, rows, dense=dense)]
    side = s.grid.text - CODE_MM * mm - s.grid.gap
    words = [
        *_beside(s, rows, side),
        Space(2 * mm),
        Text(s.set("checking.code", size=int(CODE_MM)), s.styles.in_note),
    ]
    both = Columns([[blocks.code(s, CODE_MM)], words], [CODE_MM * mm, side], s.grid.gap)
    return [Space(4 * mm), both, Space(2 * mm)]


def _beside(s: Setting, rows: Sequence[tuple[str, str]], width: float) -> list[Flowable]:
    """Labels (keys of [label]) and values in `width` points."""
    widths, of = (_LABEL, width - _LABEL - _LABEL_GAP), Terms()
    return [blocks.term(s, s.say(f"label.{key}"), text, widths, _LABEL_GAP, of) for key, text in rows if text]


def _cannot(s: Setting, *, dense: bool) -> list[Flowable]:
    lines = [s.say(f"checking.cannot_{key}") for key in ("object", "truth", "owner", "later")]
    return blocks.group(s, s.say("checking.cannot"), lines, dense=dense)


def _carried(s: Setting, *, dense: bool) -> list[Flowable]:
    where = s.say(f"checking.originals_{s.options.originals}")
    return blocks.group(s, s.say("checking.carried"), [s.say("checking.attached"), where], dense=dense)
