"""The sheet as text and as JSON-LD: what the record says, nothing that the copy does not have.

JSON-LD is read by rdflib, which also knows every term of schema.org (`rdflib.namespace.SDO`).
"""

from __future__ import annotations

import json
from collections.abc import Callable

import msgspec
import pytest
import rdflib
from hypothesis import given, settings
from hypothesis import strategies as st
from rdflib.namespace import RDF, SDO

from dossier.model.counted import Account
from dossier.model.record import OpenRecord
from dossier.model.rows import Feature, Measurement
from dossier.pages import linked_data, sheet_text
from dossier.pages.options import PageOptions
from dossier.pages.setting import Setting
from dossier.words import LANGUAGES, Catalogue

Make = Callable[..., PageOptions]
WORDS = Catalogue("en")
OBJECT = rdflib.URIRef("urn:uuid:5f0c9a52-0d5e-4c3a-9a6e-3c1f5d2b7e10#object")
RECORD = rdflib.URIRef("urn:uuid:5f0c9a52-0d5e-4c3a-9a6e-3c1f5d2b7e10")
OWN = rdflib.Namespace(linked_data.TERMS)
SECRETS = ("Farrow", "GBP", "LFQ", "Quay Street", "two halves")


def graph_of(data: bytes) -> rdflib.Graph:
    graph = rdflib.Graph()
    graph.parse(data=data.decode(), format="json-ld")
    return graph


def unwrapped(text: str) -> str:
    return " ".join(text.split())


def test_the_text_says_what_the_record_says(resale_record: OpenRecord, page_options: Make) -> None:
    text = unwrapped(sheet_text.text(resale_record, page_options()))
    for sentence in resale_record.payload.disclosure:
        assert sentence.text in text
    for said in (
        "A knot in the shape of a comma", "Birkner & Thal", "+44 1632 960014", resale_record.payload.record,
        WORDS.say("pages.sheet.cannot"), "1 opinion of worth", "04512 33871", "https://check.example/r#",
        WORDS.say("pages.cover.independent"), "maker: J. Pell, cabinet maker (from a paper)",
    ):  # fmt: skip
        assert said in text


CODE_KEYS = [
    "pages.cover.code", "pages.sheet.check_words", "pages.card.check", "pages.checking.code",
    "papers.sheet_text.check", "papers.sheet_text.code",
]  # fmt: skip


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_code_without_a_verification_page_is_a_text_and_no_link(
    language: str, resale_record: OpenRecord, page_options: Make
) -> None:
    """Nothing opens when it is scanned: it goes to a program that checks."""
    words, linked = Catalogue(language), Setting(resale_record, {}, page_options(language=language))
    bare = Setting(resale_record, {}, page_options(language=language, code_text="#abc"))
    for key in CODE_KEYS:
        values = {"size": 50} if key.endswith("checking.code") else {}
        assert linked.of_code(key, **values) == words.say(key, **values)
        assert bare.of_code(key, **values) == words.say(f"{key}_alone", **values)
    text = sheet_text.text(resale_record, page_options(language=language, code_text="#abc"))
    assert words.say("papers.sheet_text.code_alone") in unwrapped(text)
    assert words.say("papers.sheet_text.code") + ":" not in unwrapped(text)


@pytest.mark.parametrize("copy", ["resale_record", "rich_record"])
def test_no_private_word_in_any_copy(copy: str, request: pytest.FixtureRequest, page_options: Make) -> None:
    record = request.getfixturevalue(copy)
    both = sheet_text.text(record, page_options()) + linked_data.linked_data(record, page_options()).decode()
    assert not [secret for secret in SECRETS if secret in both]


def test_lines_are_short_and_plain(resale_record: OpenRecord, page_options: Make) -> None:
    """RFC 3676 section 4.2 asks for lines of at most 78 letters."""
    text = sheet_text.text(resale_record, page_options())
    assert text.endswith("\n")
    assert "\r" not in text
    assert [line for line in text.splitlines() if len(line) > 78 and " " in line.strip()] == []


def test_a_range_of_parts_has_its_pieces(resale_record: OpenRecord, page_options: Make) -> None:
    """Nine of 64 pins are some of one part, so of 0 to 1 parts, and nine pieces for certain."""
    counts = {"parts_low": 1, "parts_high": 1, "pieces_low": 1, "pieces_high": 1}
    gone = Account(seen="outside", now="missing", **counts)
    new = Account(
        seen="outside",
        now="new, like for like",
        **counts | {"parts_low": 0, "pieces_low": 9, "pieces_high": 9},
    )
    payload = msgspec.structs.replace(resale_record.payload, account=(new, gone))
    text = sheet_text.text(msgspec.structs.replace(resale_record, payload=payload), page_options())
    assert "new, like for like: 0 to 1 parts, 9 pieces; missing: 1 part How" in unwrapped(text)


def test_data_has_no_marks_of_direction(resale_record: OpenRecord, page_options: Make) -> None:
    """UAX 9, section 2.4: they order a line on a page; the name of a part is its letters."""
    parts = tuple(msgspec.structs.replace(part, part="قفل") for part in resale_record.payload.parts)
    sizes = (Measurement(what="width", value="4", unit="cm", part=parts[0].number),)
    payload = msgspec.structs.replace(resale_record.payload, parts=parts, measurements=sizes)
    record = msgspec.structs.replace(resale_record, payload=payload)
    data = linked_data.linked_data(record, page_options()).decode()
    assert "قفل" in data
    assert not set(data) & set("\u2066\u2067\u2068\u2069")


@pytest.mark.parametrize(
    ("written", "read"),
    [
        (
            "a \u2068ידית\u2069; \u2068רצועה\u2069, lock",
            "a ידית; רצועה, lock",
        ),  # UAX 9: isolates show nothing
        ("می\u200cخواهم", "می\u200cخواهم"),  # Persian is spelt with the non-joiner (Unicode 16, section 9.2)
        ("hand\u00adle\u202e x", "handle x"),
        ("a\x1b[1mb\x00", "a [1mb"),
    ],
)
def test_a_line_keeps_its_spelling_and_nothing_that_acts(written: str, read: str) -> None:
    assert sheet_text.filled(written) == read


@settings(max_examples=40, deadline=None)
@given(name=st.text(max_size=300), what=st.text(max_size=300))
def test_any_words_stay_in_their_line(
    name: str, what: str, resale_record: OpenRecord, page_options: Make
) -> None:
    thing = msgspec.structs.replace(resale_record.payload.object, title=name)
    payload = msgspec.structs.replace(resale_record.payload, object=thing, know_it_by=(Feature(what=what),))
    record = msgspec.structs.replace(resale_record, payload=payload)
    text = sheet_text.text(record, page_options())
    assert all(c.isprintable() or c in "\n\u200c\u200d" for c in text)  # joiners spell
    json.loads(linked_data.linked_data(record, page_options()))


def test_terms_of_schema_org_exist(resale_record: OpenRecord, page_options: Make) -> None:
    """Whatever is in schema.org's space is one of its terms (rdflib's list of them)."""
    graph = graph_of(linked_data.linked_data(resale_record, page_options()))
    terms = {p for p in graph.predicates() if not p.startswith(str(RDF))} | set(graph.objects(None, RDF.type))
    of_schema = {str(term).removeprefix(str(SDO)) for term in terms if str(term).startswith(str(SDO))}
    assert {"Product", "CreativeWork", "Organization", "PropertyValue", "subjectOf", "author"} <= of_schema
    assert [name for name in of_schema if SDO[name] not in SDO] == []
    assert {str(t).partition("#")[0] + "#" for t in terms if not str(t).startswith(str(SDO))} == {
        linked_data.TERMS
    }


def test_object_and_record_are_two_things(resale_record: OpenRecord, page_options: Make) -> None:
    graph = graph_of(linked_data.linked_data(resale_record, page_options()))
    assert (OBJECT, RDF.type, SDO.Product) in graph
    assert (OBJECT, SDO.subjectOf, RECORD) in graph
    assert (RECORD, SDO.about, OBJECT) in graph
    assert str(graph.value(RECORD, OWN.forWhom)) == resale_record.payload.for_whom  # as on the sheet
    [author] = graph.objects(RECORD, SDO.author)
    assert str(graph.value(author, SDO.name)) == "Birkner & Thal, restorers"


def test_the_workshop_is_never_beside_the_maker(resale_record: OpenRecord, page_options: Make) -> None:
    """Who made the object is a claim with its basis; no term makes it a fact, or the workshop its maker."""
    graph = graph_of(linked_data.linked_data(resale_record, page_options()))
    for stated in (SDO.manufacturer, SDO.brand, SDO.creator, SDO.itemCondition, SDO.seller, SDO.offers):
        assert (None, stated, None) not in graph
    [claim] = [s for s in graph.subjects(SDO.value) if "J. Pell" in str(graph.value(s, SDO.value))]
    assert str(graph.value(claim, OWN.knownFrom)) == "paper"
    assert (OBJECT, SDO.additionalProperty, claim) in graph


def test_sentences_keep_their_order_and_counts_are_ranges(
    resale_record: OpenRecord, page_options: Make
) -> None:
    graph = graph_of(linked_data.linked_data(resale_record, page_options()))
    said = graph.collection(graph.value(RECORD, OWN.said))
    texts = [str(graph.value(node, OWN.text)) for node in said]
    assert texts == [sentence.text for sentence in resale_record.payload.disclosure]
    rows = graph.collection(graph.value(RECORD, OWN.account))
    counted = [(int(graph.value(n, OWN.partsLow)), int(graph.value(n, OWN.partsHigh))) for n in rows]
    assert counted == [(row.parts_low, row.parts_high) for row in resale_record.payload.account]


def test_a_trial_key_is_said(resale_record: OpenRecord, page_options: Make) -> None:
    notice = WORDS.say("pages.running.trial")
    options = page_options(trial_key=True)
    assert sheet_text.text(resale_record, options).startswith(notice)
    assert notice in linked_data.linked_data(resale_record, options).decode()
    assert notice not in sheet_text.text(resale_record, page_options())


def test_same_record_same_bytes(resale_record: OpenRecord, page_options: Make) -> None:
    first, second = (linked_data.linked_data(resale_record, page_options()) for _ in range(2))
    assert first == second
