"""No page stands nearly empty where it can be helped, and what is empty has no page of its own."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import msgspec
import pypdfium2
import pytest
from PIL import Image

from dossier.model.counted import PartNow
from dossier.model.record import OpenRecord
from dossier.model.rows import Note, Part, Work
from dossier.model.words import CAME_AS, NOW, SEEN
from dossier.pages import blocks, document
from dossier.pages.options import PageOptions
from dossier.pages.sections import before_after, condition, disclosure, materials, nothing
from dossier.pages.sections import map as places
from dossier.pages.setting import Setting
from dossier.pages.tagging import Figure, NewPage, Space, Stack, Together
from dossier.pages.tagging.pictures import Giving
from dossier.words import Catalogue

Make = Callable[..., PageOptions]
WORDS = Catalogue("en")


def _with_note(record: OpenRecord, paragraphs: int) -> OpenRecord:
    note = Note(title="On the lid", text="\n\n".join(["It was left as it was."] * paragraphs))
    return msgspec.structs.replace(record, payload=msgspec.structs.replace(record.payload, notes=(note,)))


def test_a_page_nearly_empty_at_the_end_is_saved(
    rich_record: OpenRecord, page_options: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Counted against the same sections at their usual size: never more pages, and at some length fewer."""
    saved = []
    monkeypatch.setattr(document, "_front", lambda _: [])
    for paragraphs in range(0, 32, 2):
        s = Setting(_with_note(rich_record, paragraphs), {}, page_options())
        usual = document._tail(s, (0, 0.0))
        saved.append(blocks.pages_taken(s, usual)[0] - blocks.pages_taken(s, document.story(s))[0])
    assert set(saved) == {0, 1}


def test_the_digests_stand_before_the_receipt_only_where_they_begin_on_the_page_before(
    rich_record: OpenRecord, page_options: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Else each of the two stands on a page of its own that is half empty."""
    monkeypatch.setattr(document, "_TAIL", ())
    s = Setting(rich_record, {}, page_options(language="de"))
    begins = []
    for used in (50, 60, 70, 76, 77, 78, 79):
        begun = (1, used / 100 * s.grid.depth)
        tail = document._tail(s, begun)
        if isinstance(tail[-1], Together):  # the receipt
            begins.append(blocks.left_below(s, [], tail, begun) == 0)
    assert begins
    assert all(begins)


def test_sections_without_content_are_lines_of_one(rich_record: OpenRecord, page_options: Make) -> None:
    """Each under its name; a section that has something to show is none of them."""
    payload = msgspec.structs.replace(rich_record.payload, history=(), earlier_records=(), part_history=())
    record = msgspec.structs.replace(rich_record, payload=payload, photo_details={})
    pdf = document.draw(record, {}, page_options(code_text=""))
    with pypdfium2.PdfDocument(pdf) as opened:
        names = [mark.get_title() for mark in opened.get_toc()]
        text = " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in opened)
    assert WORDS.say("pages.nothing.title") in names
    for key in ("map", "history", "manifest"):
        assert WORDS.say(f"pages.{key}.title") not in names
        assert f"{WORDS.say(f'pages.{key}.title')} {WORDS.say(f'pages.{key}.none')}" in text
    for key in ("new_removed", "covered", "agreements"):
        assert WORDS.say(f"pages.{key}.title") in names
        assert WORDS.say(f"pages.{key}.none") not in text


def test_photographs_that_are_not_in_a_copy_keep_their_section(
    rich_record: OpenRecord, page_options: Make
) -> None:
    """It names them, so it is not empty."""
    s = Setting(msgspec.structs.replace(rich_record, photo_details={}), {}, page_options())
    assert before_after.section(s)
    assert before_after.empty(s) == []


def test_nothing_is_said_where_nothing_is_empty(rich_record: OpenRecord, page_options: Make) -> None:
    pictures = dict.fromkeys(rich_record.photo_details, b"\xff\xd8")
    assert nothing.section(Setting(rich_record, pictures, page_options())) == []


def test_the_last_sentence_of_a_group_has_another_with_it(
    rich_record: OpenRecord, page_options: Make
) -> None:
    s = Setting(rich_record, {}, page_options())
    for height in range(20, 200, 3):
        _, row = blocks.group(s, "Group", ["One short sentence."] * 6)
        _, rest = row.cut(s.grid.text, height, force=False)
        if rest and rest.cells[1].items:
            assert len(rest.cells[1].items) > 1, height


def test_a_long_last_sentence_takes_no_other_along(rich_record: OpenRecord, page_options: Make) -> None:
    """It is no lonely line; the one before it stays where there is room for it."""
    s = Setting(rich_record, {}, page_options())
    _, row = blocks.group(s, "Group", [*["One short sentence."] * 3, "One long sentence " * 20])
    _, rest = row.cut(s.grid.text, 60, force=False)
    assert len(rest.cells[1].items) == 1


@pytest.mark.parametrize("language", ["en", "de", "ja"])
def test_page_2_stays_one_page_however_many_and_long_the_names(
    language: str, rich_record: OpenRecord, page_options: Make
) -> None:
    """120 parts with names of 120 letters: the first of each group, and how many more there are."""
    parts = tuple(
        Part(
            number=str(n),
            part=f"reinforcing strip of the upper rear compartment, {n}, " + "with its welt " * 5,
            seen=SEEN[n % 3],
            came_as=CAME_AS[n % 6],
        )
        for n in range(1, 121)
    )
    now = tuple(
        PartNow(part=part.number, now=NOW[n % len(NOW)], pieces_low=1, pieces_high=1)
        for n, part in enumerate(parts)
    )
    payload = msgspec.structs.replace(rich_record.payload, parts=parts, parts_now=now, work=(), disclosure=())
    record = msgspec.structs.replace(rich_record, payload=payload)
    s = Setting(record, {}, page_options(language=language))
    story = disclosure.section(s)
    assert blocks.fits(s, story)


@pytest.mark.parametrize(
    ("lines", "said"),
    [((1, 2, 3, 4), "1\u20134"), ((1, 2, 5, 7, 8, 9), "1, 2, 5, 7\u20139"), ((3,), "3"), ((2, 2, 3), "2, 3")],
)
def test_lines_of_work_that_follow_each_other_are_one_span(lines: tuple[int, ...], said: str) -> None:
    assert materials._lines([Work(number=n, who="HB", done="cleaned") for n in lines]) == said


def _figures(flow: Any) -> list[Figure]:
    below = [*getattr(flow, "items", ()), *getattr(flow, "cells", ())]
    return [flow] if isinstance(flow, Figure) else [figure for one in below for figure in _figures(one)]


def _area(flow: Any) -> float:
    return max(figure.width * figure.height for figure in _figures(flow))


def test_the_first_pair_is_never_smaller_than_those_after_it(
    rich_record: OpenRecord, rich_pictures: dict[str, bytes], page_options: Make
) -> None:
    """Wherever on a page the section begins: it leads, and does not fill what a page has left."""
    s = Setting(rich_record, rich_pictures, page_options())
    every = []
    for used in range(0, int(s.grid.depth), 15):
        story = before_after.section(s)
        blocks.pages_taken(s, story, (1, float(used)))
        pairs = [flow for flow in story if isinstance(flow, Giving)][: len(s.shots.pairs)]
        first, *others = map(_area, pairs)
        assert first >= max(others) - 1e-6, used
        every.append(others)
    assert len({tuple(others) for others in every}) > 1, "others do give"


def test_where_nothing_follows_on_a_page_its_map_pictures_are_larger(
    rich_record: OpenRecord, page_options: Make
) -> None:
    """And the pages no more; where something follows, nothing changes."""
    large = io.BytesIO()
    Image.new("RGB", (2000, 1500), (120, 90, 60)).save(large, "JPEG")
    pictures = {one.name: large.getvalue() for one in rich_record.payload.photographs}
    s = Setting(rich_record, pictures, page_options())
    own = places.section(s)
    after = [NewPage(), *blocks.hung(s, "What follows", [])]
    usual = [*own, *after]
    told = places.larger(s, usual, own)
    assert _area(told[len(own) - 2]) > 1.2 * _area(own[-2])
    assert blocks.pages_taken(s, told)[0] == blocks.pages_taken(s, usual)[0]
    followed = [*own, *blocks.hung(s, "What follows", [])]
    assert places.larger(s, followed, own) == followed
    assert places.larger(s, after, []) == after


def test_a_foot_that_stays_empty_shows_the_object_as_it_came(
    rich_record: OpenRecord, rich_pictures: dict[str, bytes], page_options: Make
) -> None:
    """Large where there is room, smaller where there is less, none where something else has the room."""
    s = Setting(rich_record, rich_pictures, page_options())
    own, after = condition.section(s), [NewPage(), *blocks.hung(s, "What follows", [])]
    usual = blocks.pages_taken(s, own)[1]
    areas = []
    for left in (0.1, 0.28, 0.4):
        before = [Space((1 - left) * s.grid.depth - usual, keep=True), *own]
        row = condition.as_it_came(s, before, after)
        assert blocks.pages_taken(s, [*before, *row])[0] == 1
        areas.append(_area(Stack(row)) if row else 0.0)
        assert condition.as_it_came(s, before, after[1:]) == []
    assert 0.0 == areas[0] < areas[1] < areas[2]
