"""Receipts and estimate: what the rows say, lines for what they do not, marked private on every page."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec
import pypdfium2
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from dossier.model.record import OpenApart, OpenRecord, Payload, WorkshopId
from dossier.model.rows import Agreement, AgreementDetail, Dates, Object, Part, TakenIn
from dossier.pages import blocks, paper
from dossier.pages.estimate import draw_estimate
from dossier.pages.options import PageOptions
from dossier.pages.receipt import _intake, draw_handover, draw_receipt
from dossier.words import Catalogue

Make = Callable[..., PageOptions]
Draw = Callable[[OpenRecord, PageOptions], bytes]
WORDS = Catalogue("en")
DRAWS: dict[str, Draw] = {"receipt": draw_receipt, "estimate": draw_estimate, "handover": draw_handover}


def pages_of(pdf: bytes) -> list[str]:
    with pypdfium2.PdfDocument(pdf) as opened:
        return [" ".join(page.get_textpage().get_text_bounded().split()) for page in opened]


def bare() -> OpenRecord:
    """The least a job can hold."""
    payload = Payload(
        format="1.0", sd_alg="sha-256", iat=0, record="", job="1", language="en",
        workshop=WorkshopId(name=""), object=Object(type="box"), for_whom="private owner",
    )  # fmt: skip
    return OpenRecord(payload=payload, digest="0" * 64)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("kind", DRAWS)
def test_each_paper_conforms_and_is_private_on_every_page(
    kind: str, paper: str, rich_record: OpenRecord, page_options: Make, assert_conforming: Any
) -> None:
    for record in (rich_record, bare()):
        pdf = DRAWS[kind](record, page_options(paper=paper))
        assert_conforming(pdf)
        pages = pages_of(pdf)
        assert WORDS.say("papers.private") in pages[0]
        for page in pages:
            assert f"\u00b7 {WORDS.say('papers.private_foot')}" in page


@pytest.mark.parametrize("count", range(1, 31, 3))
def test_a_place_to_sign_is_never_alone_on_a_page(count: int, page_options: Make) -> None:
    """Whatever the number of parts, who signs sees what is agreed on the same page."""
    parts = tuple(Part(number=str(n), part="slat", pieces=1, condition="worn") for n in range(1, count + 1))
    record = bare()
    record = msgspec.structs.replace(record, payload=msgspec.structs.replace(record.payload, parts=parts))
    pages = pages_of(draw_receipt(record, page_options()))
    assert WORDS.say("papers.receipt.sign_bringer") in pages[-1]
    assert WORDS.say("papers.receipt.publish") in pages[-1]


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_the_receipt_of_a_small_job_is_one_page(size: str, page_options: Make) -> None:
    """With every line to write on, and both places to sign."""
    parts = tuple(Part(number=str(n), part="slat", condition="worn") for n in range(1, 4))
    record = bare()
    payload = msgspec.structs.replace(record.payload, parts=parts, condition="Dusty, one rocker split.")
    record = msgspec.structs.replace(record, payload=payload)
    assert len(pages_of(draw_receipt(record, page_options(paper=size)))) == 1


def test_letters_are_set_closer_where_that_saves_a_page(rich_record: OpenRecord, page_options: Make) -> None:
    """And only there: with one part less or more the pages never get fewer."""
    counts, closer = [], set()
    for count in range(2, 62, 3):
        parts = tuple(Part(number=str(n), part="slat", pieces=1) for n in range(1, count + 1))
        record = msgspec.structs.replace(
            rich_record, payload=msgspec.structs.replace(rich_record.payload, parts=parts)
        )
        s, story = paper.settled(record, page_options(), lambda s: _intake(s, TakenIn()))
        counts.append(blocks.pages_taken(s, story)[0])
        closer.add(s.styles.scale)
    assert counts == sorted(counts)
    assert 1.0 in closer
    assert min(closer) < 1.0


def test_the_intake_receipt(rich_record: OpenRecord, page_options: Make) -> None:
    text = " ".join(pages_of(draw_receipt(rich_record, page_options())))
    for said in (
        "Leonie Farrow-Quist, 11 Quay Street, Exbury", "Tobias Farrow-Quist",
        "3 March 2026", "J PELL", "LFQ 77",
        "Brass pins of the corners 64 nine missing or broken", "Inkwell, right 1 missing",
        "a pressed flower, given back",
        WORDS.say("papers.receipt.publish_no"), WORDS.say("papers.receipt.sign_bringer"),
    ):  # fmt: skip
        assert said in text
    assert "GBP" not in text  # a receipt names no price
    assert "A new key" not in text  # asked weeks later
    assert "before restoration" not in text  # why it was looked at is no wish of the owner


def test_what_was_said_at_the_door_stands_in_place_of_lines(
    rich_record: OpenRecord, page_options: Make, assert_conforming: Any
) -> None:
    taken_in = TakenIn(
        with_it=("a cloth bag",), asked=("make the drawer run",), leave=("the ink stains",),
        spend_at_most="GBP 900", wanted_back="2026-06-01", may_be_shown="ask each time",
    )  # fmt: skip
    pdf = draw_receipt(rich_record, page_options(), taken_in)
    assert_conforming(pdf)
    text = " ".join(pages_of(pdf))
    for said in ("a cloth bag", "make the drawer run", "GBP 900", "the ink stains", "1 June 2026"):
        assert said in text
    assert WORDS.say("papers.receipt.publish_ask") in text
    assert WORDS.say("papers.receipt.publish_object") not in text


def test_the_estimate(rich_record: OpenRecord, page_options: Make) -> None:
    text = " ".join(pages_of(draw_estimate(rich_record, page_options())))
    for said in (
        "A1 Clean, make good the veneer and pins, new writing surface GBP 1 240.00 6 Mar 2026 agreed",
        "A4 A second inkwell GBP 210.00", "refused", "GBP 1 395.00", "under the baize of the underside",
        "the owner prefers the gap", WORDS.say("papers.estimate.not_added"),
    ):  # fmt: skip
        assert said in text
    assert WORDS.say("papers.estimate.answer") not in text  # all are answered


def test_an_item_without_an_answer_has_a_place_for_one(rich_record: OpenRecord, page_options: Make) -> None:
    rows = (Agreement(number="B7", asked="2026-05-01"), *rich_record.payload.agreements)
    record = msgspec.structs.replace(
        rich_record, payload=msgspec.structs.replace(rich_record.payload, agreements=rows)
    )
    text = " ".join(pages_of(draw_estimate(record, page_options())))
    assert "B7 Yes, do it" in text
    assert "A1 Yes" not in text


def test_the_handover_receipt_is_the_page_of_the_dossier(rich_record: OpenRecord, page_options: Make) -> None:
    [text] = pages_of(draw_handover(rich_record, page_options()))
    for said in ("20 April 2026", "two broken pins in a bag", "Taken back by Leonie Farrow-Quist"):
        assert said in text
    assert rich_record.payload.record not in text
    assert "this record" not in text


def test_a_bare_job_gives_lines_to_write_on(page_options: Make) -> None:
    [*pages] = pages_of(draw_receipt(bare(), page_options()))
    for label in ("Owner", "Brought by", "Condition", "What is asked"):
        assert label in " ".join(pages)


ANY = st.text(st.characters(exclude_categories=["Cs"]), max_size=2000)


@settings(
    max_examples=12,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow],
)
@given(
    words=st.lists(ANY, min_size=1, max_size=5), parts=st.integers(0, 120), kind=st.sampled_from(list(DRAWS))
)
def test_any_words_and_any_number_of_parts(
    words: list[str], parts: int, kind: str, page_options: Make, assert_conforming: Any
) -> None:
    word = words[0]
    some = tuple(Part(number=str(n), part=words[n % len(words)], condition=word[:300]) for n in range(parts))
    payload = msgspec.structs.replace(
        bare().payload, object=Object(type=word or "x", title=words[-1]), parts=some, condition=word,
        agreements=tuple(Agreement(number=str(n)) for n in range(len(words))),
        dates=Dates(received=word[:10]),
    )  # fmt: skip
    details = tuple(AgreementDetail(number=str(n), what=w, price=w[:99]) for n, w in enumerate(words))
    record = OpenRecord(payload=payload, digest="0" * 64, apart=OpenApart(agreement_details=details))
    assert_conforming(DRAWS[kind](record, page_options()))
