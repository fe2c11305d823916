"""What belongs together: pictures large enough and once, tables with rows, how to check beside its code."""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import msgspec
import pikepdf
import pypdfium2
import pytest
from PIL import Image

from dossier.flows.verifying import checks
from dossier.model.counted import Origin, PartHistory, PartSaid, Pieces
from dossier.model.record import Missing, OpenRecord
from dossier.model.rows import HistoryClaim
from dossier.model.words import NOW, Now
from dossier.pages import blocks, document
from dossier.pages.options import PageOptions
from dossier.pages.sections import before_after, checking, history, know_it, new_removed, register
from dossier.pages.setting import Setting, in_one, unbroken
from dossier.pages.tagging import DataTable, Figure, Stack, Together
from dossier.words import Catalogue

Make = Callable[..., PageOptions]


def _texts(pdf: bytes) -> list[str]:
    with pypdfium2.PdfDocument(pdf) as opened:
        return [page.get_textpage().get_text_range() for page in opened]


def _small(side: int) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (side, side * 3 // 4), (120, 90, 60)).save(out, "JPEG")
    return out.getvalue()


def test_a_row_of_pictures_is_lower_where_that_fills_the_foot_of_a_page(
    rich_record: OpenRecord, rich_pictures: Mapping[str, bytes], page_options: Make
) -> None:
    """By three tenths at most; where less than that is left, the row stands whole on the next page."""
    s = Setting(rich_record, rich_pictures, page_options())
    row, _ = blocks.picture_rows(s, s.shots.all[:2], 3, 60.0)
    high = row.wrap(s.grid.text, 0)[1]
    assert row.cut(s.grid.text, high - 30, force=False)[0] is None
    assert row.wrap(s.grid.text, 0)[1] == high
    assert row.cut(s.grid.text, high - 15, force=False) == (row, None)
    assert row.wrap(s.grid.text, 0)[1] <= high - 15


@pytest.mark.parametrize("side", [90, 400, 1600])
def test_no_picture_is_printed_below_150_dpi(side: int, rich_record: OpenRecord, page_options: Make) -> None:
    """Pixels by inches as placed, read from the pages by pikepdf; few pixels make a small picture."""
    pictures = {one.name: _small(side) for one in rich_record.payload.photographs}
    drawn = document.draw(rich_record, pictures, page_options(code_text=""))
    placed = []
    with pikepdf.open(io.BytesIO(drawn)) as opened:
        for page in opened.pages:
            for operands, operator in pikepdf.parse_content_stream(page, "cm"):
                if str(operator) == "cm" and abs(float(operands[0])) > 3:
                    placed.append(float(operands[0]))
    assert placed
    assert all(side / (width / 72) >= 149.9 for width in placed)


def test_features_of_one_photograph_stand_under_it_once(
    rich_record: OpenRecord, rich_pictures: Mapping[str, bytes], page_options: Make
) -> None:
    first = rich_record.payload.know_it_by[0]
    again = msgspec.structs.replace(first, what="the same, seen again")
    payload = msgspec.structs.replace(
        rich_record.payload, know_it_by=(*rich_record.payload.know_it_by, again)
    )
    record = msgspec.structs.replace(rich_record, payload=payload)
    found = know_it._pictures(Setting(record, rich_pictures, page_options()))
    names = [one.shot.name for one in found]
    assert len(names) == len(set(names))
    shared = next(one for one in found if one.shot.name == first.photograph)
    assert [number for number, _ in shared.rows] == [1, len(payload.know_it_by)]


def test_a_history_that_says_nothing_makes_no_table(rich_record: OpenRecord, page_options: Make) -> None:
    """A Table has a body (ISO 14289-1, 7.5): without rows there is none to show."""
    payload = msgspec.structs.replace(
        rich_record.payload, part_history=(PartHistory(parts=("1",), counted_as=(), said=(), differs=True),)
    )
    record = msgspec.structs.replace(rich_record, payload=payload)
    flows = history.section(Setting(record, {}, page_options()))
    assert all(flow.rows for flow in flows if isinstance(flow, DataTable))


def test_a_blank_cell_of_the_history_is_not_said(rich_record: OpenRecord, page_options: Make) -> None:
    """ "Not known" is an answer, which nobody gave."""
    unsaid = PartHistory(
        parts=("4",), counted_as=(), said=(PartSaid(came_as="original", done="replaced"),), differs=True
    )
    claim = HistoryClaim(what="Writing surface replaced", known_from="our opinion")
    payload = msgspec.structs.replace(rich_record.payload, history=(claim,), part_history=(unsaid,))
    s = Setting(msgspec.structs.replace(rich_record, payload=payload), {}, page_options())
    day, _, by, _ = history._row(s, claim)
    [[_, paper_day, paper_by, *_]] = history._told(s, unsaid)
    assert {day, by, paper_day} == {"not said"}
    assert paper_by == "not said, from a paper"


def test_what_was_done_before_stands_in_the_history_also_of_an_original_part(
    rich_record: OpenRecord, page_options: Make
) -> None:
    """The account has such a part as original with no work of this job; who buys it reads of both."""

    def told(now: Now) -> PartHistory:
        said = PartSaid(sha256="0" * 64, came_as="original", now=(Pieces(now=now, low=1, high=1),))
        return PartHistory(
            parts=("1",), counted_as=(Origin(came_as="original", low=1, high=1),), said=(said,)
        )

    shown = {}
    for now in NOW:
        payload = msgspec.structs.replace(rich_record.payload, part_history=(told(now),))
        s = Setting(msgspec.structs.replace(rich_record, payload=payload), {}, page_options())
        shown[now] = bool(history._several(s))
    assert {now for now in NOW if not shown[now]} == {"original, left as found", "original, no work recorded"}


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("language", ["en", "de", "fr", "it", "es", "ja"])
def test_steps_and_code_keep_to_one_page(
    paper: str, language: str, rich_record: OpenRecord, page_options: Make
) -> None:
    """But where more than two fifths of the page before would stay empty: then the code stays whole."""
    s = Setting(rich_record, {}, page_options(paper=paper, language=language))
    _, to_do, *_ = checking.section(s)
    height = to_do.wrap(s.grid.text, s.grid.depth)[1]
    assert height < 0.6 * s.grid.depth
    assert to_do.cut(s.grid.text, 0.39 * s.grid.depth, force=False) == (None, to_do)
    first, rest = to_do.cut(s.grid.text, height - 10, force=False)
    assert first.wrap(s.grid.text, s.grid.depth)[1] > 0.2 * s.grid.depth
    assert [len(flow.items) for flow in rest.items if isinstance(flow, Together)] == [3]
    assert checking.CODE_MM >= 40


def test_of_a_telephone_number_with_words_only_the_groups_stay_together() -> None:
    """All of it on one line would be cut in the middle of a group: "20 79" and "46" are other figures."""
    assert unbroken("(0) 20 7946 0142") == "(0)\u00a020\u00a07946\u00a00142"
    assert unbroken("weekdays +44 20 7946, or 0142") == "weekdays +44\u00a020\u00a07946, or 0142"


def test_the_columns_are_those_in_which_the_rows_are_shortest() -> None:
    """By the letters: ten columns' widths of letters take a column ten lines."""
    wide_name, wide_how = (2.0, 1.0), (1.0, 2.0)
    for row, best in ((["n" * 30, "h" * 10], wide_name), (["n" * 30, "h" * 100], wide_how)):
        assert blocks.shares([row] * 3, wide_name, wide_how) == best
    assert blocks.shares([], wide_name, wide_how) == wide_name


def test_what_is_short_stays_on_one_line(rich_record: OpenRecord, page_options: Make) -> None:
    """ "(batch WS / 114)", "62 x / 23 mm", "the price, 2 / opinions": common practice, no source."""
    assert in_one("62 x 23 mm") == "62\u00a0x\u00a023\u00a0mm"
    assert in_one("62 mm wide at the foot") == "62 mm wide at the foot"
    record = msgspec.structs.replace(rich_record, missing=(Missing(kind="values", count=2),))
    for language, said in (
        ("en", "2\u00a0opinions of worth"),
        ("fr", "2\u00a0estimations"),
        ("ja", "評価額の見解2件"),
    ):
        assert Setting(record, {}, page_options(language=language)).not_in_copy == [said]


def _wide(side: int, shape: float) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (side, round(side / shape)), (120, 90, 60)).save(out, "JPEG")
    return out.getvalue()


@pytest.mark.parametrize(("shape", "across"), [(5.0, 1), (1.33, 2)])
def test_panoramas_of_a_pair_have_the_whole_width(
    shape: float, across: int, rich_record: OpenRecord, page_options: Make
) -> None:
    """Half of a page would leave one five times as wide as high 16 mm of height."""
    pictures = {one.name: _wide(2000, shape) for one in rich_record.payload.photographs}
    s = Setting(rich_record, pictures, page_options())
    pair = s.shots.pairs[0]
    flows = before_after._pair(s, pair, 0.0)
    Stack(flows).wrap(s.grid.text, 1)
    widest = max(figure.width for figure in _figures_in(flows))
    assert widest == pytest.approx(s.grid.text if across == 1 else widest)
    assert (widest > s.grid.columns(2) + 1) == (across == 1)


def _figures_in(flows: Sequence[Any]) -> list[Figure]:
    found: list[Figure] = []
    for flow in flows:
        below = [*getattr(flow, "items", ()), *getattr(flow, "cells", ())]
        found += [flow] if isinstance(flow, Figure) else _figures_in(below)
    return found


def test_a_part_is_shown_by_the_photographs_closest_to_it(
    rich_record: OpenRecord, rich_pictures: Mapping[str, bytes], page_options: Make
) -> None:
    """One from before the work, one from after it; of a part that nobody photographed none."""
    s = Setting(rich_record, rich_pictures, page_options())
    chosen = {
        part: [shot.number for shot, _ in new_removed.closest(s.shots.by_part.get(part, ()), part)]
        for part in s.parts
    }
    assert chosen["3"] == [6, 8]
    assert chosen["4"] == [4, 5]
    assert chosen["10"] == [9]
    assert chosen["6"] == []


def test_a_heading_is_counted_by_its_parts_and_is_not_called_not_known(
    rich_record: OpenRecord, page_options: Make
) -> None:
    """It has no line of its own in what is there now; a check's result counts the parts as page 2 does."""
    one, other, *rest = rich_record.payload.parts
    under = [msgspec.structs.replace(part, part_of="90") for part in (one, other)]
    heading = msgspec.structs.replace(one, number="90", part="fittings", pieces=2, part_of="")
    payload = msgspec.structs.replace(rich_record.payload, parts=(heading, *under, *rest))
    record = msgspec.structs.replace(rich_record, payload=payload)
    s = Setting(record, {}, page_options())
    assert register._row(s, heading)[4] == f"counted by its parts: {one.number}, {other.number}"
    assert "counted by" not in register._row(s, under[0])[4]
    counted = len({row.part for row in payload.parts_now})
    assert counted == len(payload.parts) - 1
    assert dict(checks._said(record, Catalogue()))["Covers"].startswith(f"{counted} parts, ")
