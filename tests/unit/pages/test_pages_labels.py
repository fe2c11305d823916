"""Labels: one a bag, of one size, whole whatever the words."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

import msgspec
import pypdfium2
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from dossier.account.loose import all_of
from dossier.model.record import OpenRecord
from dossier.model.rows import Part
from dossier.pages import labels
from dossier.pages.options import PageOptions

Make = Callable[..., PageOptions]
PAPERS = ("A4", "Letter")


def bags(record: OpenRecord) -> list[labels.OneLabel]:
    found = all_of(record.payload.parts, record.payload.work)
    return [labels.OneLabel(bag.part, bag.pieces, bag.loose_as, bag.date) for bag in found]


def words_in(pdf: bytes, page: int, box: tuple[float, float, float, float]) -> str:
    with pypdfium2.PdfDocument(pdf) as opened:
        return " ".join(opened[page].get_textpage().get_text_bounded(*box).split())


@pytest.mark.parametrize("paper", PAPERS)
def test_each_label_says_its_part_within_its_marks(
    paper: str, rich_record: OpenRecord, page_options: Make, assert_conforming: Any
) -> None:
    options = page_options(paper=paper)
    every = bags(rich_record)
    pdf = labels.draw_labels(rich_record, every, options)
    assert_conforming(pdf)
    grid = labels.sheet_grid(options)
    parts = {part.number: part for part in rich_record.payload.parts}
    for number, label in enumerate(every):
        row, column = divmod(number % (labels.ACROSS * labels.DOWN), labels.ACROSS)
        left, top = grid.left + column * labels.WIDTH, grid.height - grid.top - row * labels.HEIGHT
        box = (left, top - labels.HEIGHT, left + labels.WIDTH, top)
        text = words_in(pdf, number // (labels.ACROSS * labels.DOWN), box)
        assert text.startswith("2026-014 \u00b7 Travelling writing slope")
        assert f"{label.part} {parts[label.part].part}" in text


def test_what_a_label_says(rich_record: OpenRecord, page_options: Make) -> None:
    pdf = labels.draw_labels(rich_record, bags(rich_record), page_options())
    with pypdfium2.PdfDocument(pdf) as opened:
        text = " ".join(" ".join(page.get_textpage().get_text_bounded() for page in opened).split())
    for said in (
        "3 Brass pins of the corners Old piece, 30 March 2026 9 of 64 pieces",
        "From: 2 · Brass corners (outside)",
        "Goes: two broken shanks in a bag, given back",
        "4 Writing surface Old piece, 2 April 2026 1 piece From: inside Goes: with the owner",
    ):
        assert said in text
    assert "Farrow" not in text


def test_size_and_marks_are_on_the_paper() -> None:
    """62 x 40 mm in points, 72 to the inch of 25.4 mm; printers leave about 5 mm of edge."""
    assert pytest.approx((62 * 72 / 25.4, 40 * 72 / 25.4)) == (labels.WIDTH, labels.HEIGHT)
    for paper in PAPERS:
        on = labels.sheet_grid(PageOptions(paper=paper, created=None))  # type: ignore[arg-type]
        assert on.text == pytest.approx(labels.WIDTH * labels.ACROSS)
        assert on.depth == pytest.approx(labels.HEIGHT * labels.DOWN)
        assert min(on.left, on.top) > 5 / 25.4 * 72 + labels._MARK


@pytest.mark.parametrize("count", [1, 17, 18, 19])
def test_what_is_left_of_a_sheet_is_to_be_written_on(
    count: int, rich_record: OpenRecord, page_options: Make
) -> None:
    """Every place has the job on it, so that no label stands alone on a sheet."""
    label = labels.OneLabel("3", 9, "old", "2026-03-30")
    pdf = labels.draw_labels(rich_record, [label] * count, page_options())
    with pypdfium2.PdfDocument(pdf) as opened:
        pages = [page.get_textpage().get_text_bounded() for page in opened]
    assert [page.count("2026-014 \u00b7") for page in pages] == [18] * (1 if count < 19 else 2)
    assert sum(page.count("9 of 64 pieces") for page in pages) == count


ANY = st.text(st.characters(exclude_categories=["Cs"]), max_size=400)


@settings(max_examples=25, deadline=None, phases=[Phase.explicit, Phase.generate])
@given(name=ANY, place=ANY, number=st.text(min_size=1, max_size=80))
def test_any_words_fit(
    name: str, place: str, number: str, rich_record: OpenRecord, page_options: Make
) -> None:
    """Nothing of a label is lower than its foot: the words take no more than the label has."""
    part = Part(number=number, part=name, came_as="original", old_piece=place, part_of="x", pieces=99)
    thing = msgspec.structs.replace(rich_record.payload.object, title=name + "x")
    payload = msgspec.structs.replace(rich_record.payload, parts=(part,), object=thing)
    record = msgspec.structs.replace(rich_record, payload=payload)
    label = labels.OneLabel(number, 5, "old", "2026-04-02")
    s = labels.Setting(record, {}, page_options())
    looks = [labels.Looks(scale) for scale in labels._SCALES]
    for words in (partial(labels._words, s, label), partial(labels._to_write_on, s)):
        body = labels._fitting(words, looks)
        assert labels.Stack(body).wrap(labels.WIDTH, labels.HEIGHT)[1] <= labels.HEIGHT
    labels.draw_labels(record, [label], page_options())


def test_nineteen_labels_are_two_pages(rich_record: OpenRecord, page_options: Make) -> None:
    pdf = labels.draw_labels(rich_record, [labels.OneLabel("1", 1)] * 19, page_options())
    with pypdfium2.PdfDocument(pdf) as opened:
        assert len(opened) == 2
