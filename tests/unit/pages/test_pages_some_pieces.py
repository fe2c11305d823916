"""Parts of which a line of work speaks by some of their pieces, on every page that tells of the line."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from test_pages_document import text_of

from dossier.account.parts import parts_now
from dossier.model.record import OpenRecord, Payload, WorkshopId
from dossier.model.rows import Object, Part, Work
from dossier.pages import document, some_pieces
from dossier.pages.options import PageOptions
from dossier.pages.sections import covered, disclosure, materials
from dossier.pages.setting import Setting

PARTS = (
    Part(number="9", part="cloth of the collars", came_as="original"),
    Part(number="10", part="erector lenses", pieces=4, came_as="original"),
)


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def record(*rows: dict[str, Any]) -> OpenRecord:
    work = tuple(
        Work(**{"number": n, "date": "2026-03-12", "covered": "yes", **one}) for n, one in enumerate(rows, 1)
    )
    payload = Payload(
        format="1.0", sd_alg="sha-256", iat=0, record="urn:uuid:0", job="1", language="en",
        for_whom="other", workshop=WorkshopId(name="W"), object=Object(type="telescope"), work=work,
        parts=PARTS, parts_now=parts_now(PARTS, work),
    )  # fmt: skip
    return OpenRecord(payload=payload, digest="0" * 64)


OPTIONS = PageOptions(created=dt.datetime(2026, 3, 28, tzinfo=dt.UTC))
ONE = {"parts": ("10",), "pieces": 1, "done": "altered", "product": "balsam"}


@pytest.mark.parametrize(
    ("rows", "hidden", "used_on"),
    [
        ([ONE], "Erector lenses (1 of 4)", "10 · erector lenses: 1 of 4 pieces"),
        ([ONE, ONE], "Erector lenses (1 to 2 of 4)", "10 · erector lenses: 1 to 2 of 4 pieces"),
        ([ONE, {**ONE, "pieces": 0}], "Erector lenses", "10 · erector lenses"),
        ([{**ONE, "pieces": 4}], "Erector lenses", "10 · erector lenses"),
        ([{**ONE, "parts": ("9", "10")}], "Cloth of the collars and erector lenses", None),
    ],
)
def test_what_is_hidden_changed_and_used_is_of_as_many_pieces(
    rows: list[dict[str, Any]], hidden: str, used_on: str | None
) -> None:
    s = Setting(record(*rows), {}, OPTIONS)
    assert disclosure._lines(s, "hidden", 9) == [hidden]
    assert disclosure._lines(s, "changed", 9) == [hidden]
    if used_on:
        assert plain(materials._used_on(s, list(s.payload.work))) == used_on


def test_the_table_of_what_is_covered_says_how_many() -> None:
    s = Setting(record(ONE), {}, OPTIONS)
    assert plain(covered._row(s, s.payload.work[0])[2]) == "10 · erector lenses: 1 of 4 pieces"
    assert plain(some_pieces.of_line(s, s.payload.work[0], 8)) == "10 · erector lenses: 1 of 4 pieces"


def test_every_page_that_tells_of_the_line_says_how_many() -> None:
    made = record(ONE)
    pages = " ".join(text_of(document.draw(made, {}, OPTIONS)))
    assert pages.count("10 · erector lenses: 1 of 4 pieces") >= 3  # log, covered, materials
