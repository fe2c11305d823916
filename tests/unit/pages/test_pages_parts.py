# ruff: noqa: E501 - tables of words are long
"""The smaller pieces of the pages: bars, map, timeline, notes, photographs, words."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import get_args

import msgspec
import pytest
from bidi import get_display
from hypothesis import example, given, settings
from hypothesis import strategies as st
from reportlab.platypus import Paragraph

from dossier.model.counted import Account
from dossier.model.record import Group, OpenRecord
from dossier.model.rows import EarlierRecord, Firm, PhotoPlace, Worker
from dossier.model.words import COPIES, FOR_WHOM, KNOWN_FROM, LEFT_OUT, NOW, SEEN, STAGES, Now
from dossier.pages import account_figure, map_figure, markdown, timeline_figure
from dossier.pages.blocks import caption
from dossier.pages.document import PageOptions
from dossier.pages.photographs import Shots
from dossier.pages.plain import plain
from dossier.pages.sections import history
from dossier.pages.sections.cover import balanced
from dossier.pages.setting import Setting, markup, printable
from dossier.pages.style import Styles
from dossier.pages.tagging import Bullets, Numbered, Text
from dossier.words import LANGUAGES, Catalogue

WORDS = Catalogue("en")
Make = Callable[..., PageOptions]


def line(now: Now, low: int, high: int, parts: tuple[str, ...]) -> Account:
    return Account(
        seen="outside", now=now, parts_low=low, parts_high=high, pieces_low=low, pieces_high=high, parts=parts
    )


def test_bars_by_hand() -> None:
    """Six parts outside. 1, 2, 3 kept; 4 new; 5 differs from piece to piece (in two lines); 6 not known.

    Surely kept 3, surely new 1, not known 1; 6 - 3 - 1 - 1 = 1 in the last field.
    """
    rows = (
        line("original, left as found", 3, 3, ("1", "2", "3")),
        line("original, treated", 0, 1, ("5",)),
        line("new, like for like", 1, 2, ("4", "5")),
        line("not known", 1, 1, ("6",)),
    )
    (bar,) = account_figure.bars(rows)
    assert bar.total == 6
    assert dict(bar.fields) == {"kept": 3, "new": 1, "not_known": 1, "unsure": 1}


@settings(deadline=None, max_examples=60)
@given(st.lists(st.tuples(st.sampled_from(SEEN), st.sampled_from(NOW), st.integers(0, 3)), max_size=20))
def test_a_bar_has_exactly_its_parts(rows: list[tuple[str, str, int]]) -> None:
    """Each generated row is parts of its own, all surely in one state or (0) one part not surely."""
    accounts = [
        Account(seen=seen, now=now, parts_low=n, parts_high=max(n, 1), pieces_low=n, pieces_high=n,
                parts=tuple(f"{place}.{k}" for k in range(max(n, 1))))  # type: ignore[arg-type]
        for place, (seen, now, n) in enumerate(rows)
    ]  # fmt: skip
    for bar in account_figure.bars(accounts):
        assert sum(count for _, count in bar.fields) == bar.total
        assert all(count > 0 for _, count in bar.fields)
        assert bar.total == len({part for row in accounts if row.seen == bar.seen for part in row.parts})


def test_every_state_has_a_family_and_every_family_a_pattern_and_words() -> None:
    assert set(account_figure.FAMILY_OF) == set(NOW)
    assert set(account_figure.FAMILY_OF.values()) | {"unsure"} == set(account_figure.FAMILIES)
    for family in account_figure.FAMILIES:
        assert family in account_figure._GROUND
        assert WORDS.has(f"pages.account_word.{family}")


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ("for_whom", FOR_WHOM), ("stage", STAGES), ("known_from", KNOWN_FROM), ("copy", COPIES),
        ("copy_name", COPIES), ("left_out", LEFT_OUT), ("group", get_args(Group)), ("none", get_args(Group)),
        ("head", SEEN), ("timeline", ("asked", "received", "looked_at", "agreed", "opened", "begun", "done", "returned")),
    ],
)  # fmt: skip
def test_every_word_of_the_record_has_its_words(table: str, words: tuple[str, ...]) -> None:
    for word in words:
        assert WORDS.has(f"pages.{table}.{word.replace(' ', '_')}")


class Recorder:
    """A canvas that notes where numbers and shapes are drawn."""

    def __init__(self) -> None:
        self.calls: list[tuple[str, tuple[object, ...]]] = []

    def stringWidth(self, text: str, _font: str, size: float) -> float:  # noqa: N802
        return len(text) * size * 0.5

    def beginPath(self) -> Recorder:  # noqa: N802
        return self

    def __getattr__(self, name: str) -> Callable[..., None]:
        return lambda *args, **_: self.calls.append((name, args))


def drawn(rows: list[PhotoPlace]) -> Recorder:
    canvas = Recorder()
    map_figure.places(canvas, rows, 400, 300)  # type: ignore[arg-type]
    return canvas


def test_a_place_is_measured_from_the_top_left_in_per_mille() -> None:
    """(250, 100) per mille of 400 x 300 points is 100 from the left and 30 from the top: y = 270."""
    canvas = drawn([PhotoPlace(number="1", kind="point", at=(250, 100))])
    circles = [args for name, args in canvas.calls if name == "circle"]
    assert circles[0][:2] == pytest.approx((100, 270))


def test_a_box_is_two_corners_in_any_order() -> None:
    canvas = drawn([PhotoPlace(number="1", kind="box", at=(500, 500, 250, 0))])
    rects = [args for name, args in canvas.calls if name == "rect"]
    assert rects[0] == pytest.approx((100, 150, 100, 150))


@settings(deadline=None, max_examples=60)
@given(st.lists(st.tuples(st.integers(-50, 1050), st.integers(-50, 1050)), min_size=1, max_size=12))
@example([(886, 5), (980, 0)])  # two in the corner, which leaves few spots inside
@example([(990, 5), (995, 5), (1000, 5), (1000, 20), (985, 10)])
def test_numbers_stand_inside_the_picture_and_do_not_cover_each_other(at: list[tuple[int, int]]) -> None:
    rows = [PhotoPlace(number=str(n), kind="point", at=point) for n, point in enumerate(at, 1)]
    canvas = drawn(rows)
    boxes = [args for name, args in canvas.calls if name == "roundRect"]
    assert len(boxes) == len(rows)
    for x, y, wide, high, *_ in boxes:
        assert x >= -0.01 and y >= -0.01 and x + wide <= 400.01 and y + high <= 300.01  # type: ignore[operator]
    for n, one in enumerate(boxes):
        for other in boxes[:n]:
            assert abs(one[0] - other[0]) >= one[2] or abs(one[1] - other[1]) >= one[3]  # type: ignore[operator]


@settings(deadline=None)
@given(st.lists(st.tuples(st.floats(0, 400), st.floats(10, 120)), min_size=2, max_size=8))
def test_timeline_labels_keep_their_order_and_distance(drawn: list[tuple[float, float]]) -> None:
    gaps = [gap for _, gap in drawn[1:]]
    found = timeline_figure.spread(sorted(place for place, _ in drawn), gaps, 400)
    assert found[0] >= -1e-6 and found[-1] <= 400 + 1e-6
    narrower = min(1.0, 400 / sum(gaps))
    assert all(b - a >= gap * narrower - 1e-6 for (a, b), gap in zip(pairwise(found), gaps, strict=True))


def test_a_pair_stands_in_the_order_of_the_work(
    rich_record: OpenRecord, rich_pictures: dict[str, bytes]
) -> None:
    shots = Shots(rich_record, rich_pictures)
    corner = next(pair for pair in shots.pairs if pair.name == "corner")
    assert [shot.number for shot in corner.shots] == [6, 7, 8]
    assert shots.cover is not None
    assert shots.cover.number == 1
    assert [shot.number for shot in shots.covered] == [10]  # 9 was taken before the work on the drawer
    # 12 stands on page 3 too, without its caption.
    assert [shot.number for shot in shots.others] == [9, 12, 13, 14]


def test_items_in_a_row(page_options: Make, rich_record: OpenRecord) -> None:
    s = Setting(rich_record, {}, page_options())
    assert s.listed(["a", "b", "c"]) == "a, b and c"
    assert s.listed(["a", "", "b"]) == "a and b"
    assert s.listed(["frame, two jaws", "hinges"]) == "frame, two jaws; hinges"
    assert s.listed([]) == ""


def test_names_that_run_left_keep_their_numbers(page_options: Make, rich_record: OpenRecord) -> None:
    """As python-bidi shows them in an English line: without isolates the numbers would change places."""
    first, second = rich_record.payload.parts[:2]
    parts = (
        msgspec.structs.replace(first, part="\u05d0\u05d1"),
        msgspec.structs.replace(second, part="\u05d2\u05d3"),
    )
    payload = msgspec.structs.replace(rich_record.payload, parts=parts)
    s = Setting(msgspec.structs.replace(rich_record, payload=payload), {}, page_options())
    numbers = (first.number, second.number)
    marks = dict.fromkeys([0x2068, 0x2069])
    seen = get_display(s.part_names(numbers), base_dir="L").translate(marks)
    assert seen == f"\u05d1\u05d0 \u00b7\u00a0{numbers[0]} and \u05d3\u05d2 \u00b7\u00a0{numbers[1]}"
    said = get_display(s.in_sentence("9 of 64 \u05d0\u05d1; \u05d2\u05d3; hasp"), base_dir="L").translate(
        marks
    )
    assert said == "9 of 64 \u05d1\u05d0; \u05d3\u05d2; hasp"


def test_a_title_is_balanced(page_options: Make, rich_record: OpenRecord) -> None:
    s = Setting(rich_record, {}, page_options())
    title = "Travelling writing slope with secret drawer"
    style = balanced(title, s.styles.title, s.grid.text)
    whole = Paragraph(title, s.styles.title).breakLines([s.grid.text])
    even = Paragraph(title, style).breakLines([s.grid.text - style.rightIndent])
    assert len(even.lines) == len(whole.lines) == 2
    assert style.rightIndent > 0
    assert balanced("Chair", s.styles.title, s.grid.text).rightIndent == 0


def note(text: str, record: OpenRecord, make: Make) -> list[object]:
    return list(markdown.flowables(Setting(record, {}, make()), text))


def test_markdown_becomes_paragraphs_and_lists(rich_record: OpenRecord, page_options: Make) -> None:
    flows = note(
        "# Title\n\nSome *words*, a [link](https://example.org).\n\n1. one\n2. two", rich_record, page_options
    )
    texts = [flow.getPlainText() for flow in flows if isinstance(flow, Text)]
    assert texts == ["Title", "Some words, a link (https://example.org)."]
    assert isinstance(flows[-1], Numbered)
    (flow,) = note("- a\n  - b\n    - c\n      - d\n        - e", rich_record, page_options)
    assert isinstance(flow, Bullets)


def test_markdown_runs_no_markup(rich_record: OpenRecord, page_options: Make) -> None:
    flows = note("<img src='x'/> ![a](file:///etc/passwd) <b>x</b> `<i>`", rich_record, page_options)
    text = " ".join(flow.getPlainText() for flow in flows if isinstance(flow, Text))
    assert "<img src='x'/>" in text
    assert "<b>x</b>" in text
    assert "<i>" in text


@settings(deadline=None)
@given(st.text(max_size=60))
def test_markup_gives_back_its_text(text: str) -> None:
    """Through reportlab's own parser: what is printed is what was written, or its Unicode number."""
    shown = printable(text).strip()
    assert "<" not in markup(text).replace("<br/>", "")
    back = Text(markup(text), _style()).getPlainText(identify=None)
    assert "".join(back.split()) == "".join(shown.split())  # a line end is a break, not a space


@settings(deadline=None)
@given(st.text(max_size=200), st.sampled_from(("body", "cell", "head")))
def test_plain_paragraphs_are_what_the_parser_makes(text: str, name: str) -> None:
    style = getattr(Styles(0.0), name)
    parsed, made = Text(markup(text), style), plain(text, style)
    assert "".join(frag.text for frag in made.frags) == "".join(frag.text for frag in parsed.frags)
    assert {(frag.fontName, frag.fontSize) for frag in made.frags} <= {(style.fontName, style.fontSize)}
    assert _lines(made) == _lines(parsed)


def _lines(paragraph: Text) -> list[str]:
    """Each line's letters: reportlab keeps words as they are, or as fragments where the parser made several."""
    found = []
    for line in paragraph.breakLines([120]).lines:
        words = line[1] if isinstance(line, tuple) else [frag.text for frag in line.words]
        found.append("".join("".join(words).split()))
    return found


def _style() -> object:
    return Styles(0.0).body


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("AB", "Ada Binder"),
        ("Lo and AB", "Lou Obi and Ada Binder"),
        ("l-2, by hand", "Plater, by hand"),
        ("Lomax", "Lomax"),
        ("workshop", "the workshop"),
    ],
)
def test_the_name_stands_for_the_mark_however_that_is_written(
    rich_record: OpenRecord, page_options: Make, typed: str, said: str
) -> None:
    payload = rich_record.payload
    people = tuple(Worker(mark=mark, name=name) for mark, name in (("AB", "Ada Binder"), ("Lo", "Lou Obi")))
    record = msgspec.structs.replace(
        rich_record,
        payload=msgspec.structs.replace(payload, people=people, firms=(Firm(mark="l-2", name="Plater"),)),
    )
    assert Setting(record, {}, page_options()).maker(typed) == said


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_private_photograph_says_so_beside_it_and_another_does_not(
    language: str, rich_record: OpenRecord, page_options: Callable[..., PageOptions]
) -> None:
    """As a private mark and a private note do: whoever shows the pages to others has to know."""
    words = Catalogue(language)
    s = Setting(rich_record, {}, page_options(language=language))
    shot = s.shots.all[0]
    private = msgspec.structs.replace(shot, details=msgspec.structs.replace(shot.details, private=True))
    said = words.say("pages.photograph.private")
    assert s.shot_when(private).endswith(said) and not s.shot_when(shot).endswith(said)
    assert said in caption(s, private) and said in s.shot_alt(private)


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_was_seen_of_an_earlier_record_ends_in_a_full_stop(
    language: str, rich_record: OpenRecord, page_options: Callable[..., PageOptions]
) -> None:
    s = Setting(rich_record, {}, page_options(language=language))
    stop = Catalogue(language).say("sentences.grammar.stop")
    row = EarlierRecord(record="urn:uuid:1", sha256="9d" * 32, workshop="Birkner")
    checked = msgspec.structs.replace(row, checked="signature matches, key not confirmed")
    assert history._record(s, checked).endswith(stop)
    assert history._record(s, row).endswith("9d")  # a digest is copied as it stands
