"""The code's signed summary, read by an independent COSE library and strictly by ourselves."""

from __future__ import annotations

import datetime as dt
from typing import Any

import cbor2
import msgspec
import pytest
import stool
from hypothesis import given, settings
from hypothesis import strategies as st
from pycose.algorithms import Es256
from pycose.headers import Algorithm
from pycose.keys import EC2Key
from pycose.keys.curves import P256
from pycose.messages import Sign1Message

from dossier.errors import KeyFileError, UnreadableError, UsageError
from dossier.model.counted import Account
from dossier.model.record import TYP_CODE, OpenRecord, Sealed
from dossier.model.rows import Dates, Object
from dossier.model.words import NOW
from dossier.seal import base64url, card_change, cbor, code, keycard, record, recovery
from dossier.seal.graphemes import shortened
from dossier.seal.keys import WorkshopKey
from dossier.seal.trust import Trust
from dossier.words import Catalogue

PAGE = "https://check.example/r"


@pytest.fixture(scope="module")
def opened() -> OpenRecord:
    key = stool.p256()
    return record.open_record(record.seal(stool.an_unsealed(key), [key], stool.counting_salts()))


@pytest.fixture(scope="module")
def text(opened: OpenRecord) -> str:
    return code.make(opened.payload, opened.digest, stool.p256(), PAGE)


def test_an_independent_cose_library_verifies_it(text: str, key: WorkshopKey, opened: OpenRecord) -> None:
    page, _, fragment = text.partition("#")
    tag = cbor2.loads(base64url.decode(fragment))
    assert tag.tag == 18  # RFC 9052 section 2: COSE_Sign1
    protected, unprotected, payload, signature = tag.value
    # decode() does not know the immutable values of newer cbor2 releases, so the parts are handed over
    parts = [protected, dict(unprotected), payload, signature]
    message: Any = Sign1Message.from_cose_obj(parts, True)
    message.key = EC2Key(P256, x=base64url.decode(key.public["x"]), y=base64url.decode(key.public["y"]))
    assert message.verify_signature()
    assert message.get_attr(Algorithm) is Es256
    assert cbor2.loads(protected) == {1: -7, 16: TYP_CODE}
    assert message.uhdr == {}
    version, uuid_bytes, digest, *_ = cbor2.loads(message.payload)
    assert (page, version, digest.hex()) == (PAGE, 2, opened.digest)
    assert uuid_bytes.hex() == opened.payload.record.removeprefix("urn:uuid:").replace("-", "")


def test_it_says_what_the_record_says(text: str, opened: OpenRecord, key: WorkshopKey) -> None:
    said = code.read(text)
    assert (said.page, said.record, said.digest) == (PAGE, opened.payload.record, opened.digest)
    assert said.public == key.public
    assert said.object == "milking stool: Three-legged stool with a carved seat"
    assert (said.received, said.returned, said.job) == ("2026-03-02", "2026-05-20", "26-041")
    # stool.py: one seat "original, treated", one leg "new, like for like"
    nothing = dict.fromkeys(code.COUNTED[2], (0, 0))
    assert said.counts == nothing | {"treated": (1, 1), "new": (1, 1)}
    assert len(text) <= code.LONGEST


@pytest.mark.parametrize("version", code.COUNTED)
def test_each_state_of_the_account_is_counted_once(version: int) -> None:
    counted = [state for states in code.COUNTED[version].values() for state in states]
    assert sorted(counted) == sorted(NOW)


def test_what_was_done_to_an_original_is_never_one_figure() -> None:
    """What was replated counts beside what was cleaned, and beside what was renewed in part."""
    done = {"original, treated", "original, new surface", "original, part renewed"}
    assert all(len(done & states) < 2 for states in code.COUNTED[code.VERSION].values())


def test_ranges_stand_as_two_numbers(opened: OpenRecord, key: WorkshopKey) -> None:
    line = Account(seen="inside", now="not known", parts_low=1, parts_high=1, pieces_low=2, pieces_high=9)
    payload = msgspec.structs.replace(opened.payload, account=(*opened.payload.account, line))
    assert code.read(code.make(payload, opened.digest, key, PAGE)).counts["not_known"] == (2, 9)


@pytest.mark.parametrize("date", ["", "2026", "2026-03", "2026-03-14"])
def test_dates_stand_as_far_as_they_are_known(opened: OpenRecord, key: WorkshopKey, date: str) -> None:
    payload = msgspec.structs.replace(opened.payload, dates=Dates(received=date))
    assert code.read(code.make(payload, opened.digest, key, PAGE)).received == date


@given(st.dates(dt.date(1, 1, 1)))
@settings(deadline=None, max_examples=50)
def test_any_day_reads_back(day: dt.date) -> None:
    assert code._date(code._day(day.isoformat())) == day.isoformat()


_WORDS = st.text(st.characters(exclude_categories=["Cs"]), max_size=200)


@given(title=_WORDS, kind=_WORDS, job=st.text(st.characters(exclude_categories=["Cs"]), max_size=14))
@settings(deadline=None, max_examples=100)
def test_any_object_gives_a_code_that_fits_and_reads_back(title: str, kind: str, job: str) -> None:
    key = stool.p256()
    payload = stool.an_unsealed(key).payload
    payload = msgspec.structs.replace(payload, object=Object(type=kind, title=title), job=job)
    try:
        text = code.make(payload, "ab" * 32, key, PAGE)
    except UsageError:
        assert len(job.encode()) > 14  # letters of three and four bytes
        return
    said = code.read(text)
    assert len(text) <= code.LONGEST
    assert said.job == job
    full = code._object_text(payload)
    assert said.object == full or said.object.endswith("\u2026")


def test_the_object_is_cut_before_anything_else_is(opened: OpenRecord, key: WorkshopKey) -> None:
    page = PAGE + "/" + "r" * 80
    said = code.read(code.make(opened.payload, opened.digest, key, page))
    assert said.object.endswith("\u2026")
    assert len(said.object) < 60
    assert said.job == "26-041"


@pytest.mark.parametrize(
    ("said", "its_own"),
    [
        (lambda own: own[:5] + "\u2026", True),  # where it is cut is the writer's matter
        (lambda own: own[: len(own) // 2] + "\u2026", True),
        (lambda own: "\u2026", False),
        (lambda own: own[:5], False),
        (lambda own: "Another" + "\u2026", False),
        (lambda own: own + "\u2026", True),
    ],
)
def test_a_cut_text_is_a_beginning_of_the_records_own(
    opened: OpenRecord, key: WorkshopKey, said: Any, its_own: bool
) -> None:
    own = code._object_text(opened.payload)
    thing = msgspec.structs.replace(opened.payload.object, type="", title=said(own))
    text = code.make(msgspec.structs.replace(opened.payload, object=thing), opened.digest, key, PAGE)
    codes = [check.code for check in code.check(code.read(text), Catalogue("en"), record=opened)]
    assert ("code-matches-record" in codes, "code-other-words" in codes) == (its_own, not its_own)


def test_what_does_not_fit_is_said_with_what_to_shorten(opened: OpenRecord, key: WorkshopKey) -> None:
    with pytest.raises(UsageError, match="450 is the most") as caught:
        code.make(opened.payload, opened.digest, key, "https://check.example/" + "r" * 200)
    assert "222 characters" in caught.value.hint
    payload = msgspec.structs.replace(opened.payload, job="x" * 200)
    with pytest.raises(UsageError) as caught:
        code.make(payload, opened.digest, key, PAGE)
    assert "job number (200 characters)" in caught.value.hint


@pytest.mark.parametrize(
    "page", ["check.example", "javascript:x", "https://x#y", "https://x y", "https://\u00e9", "http"]
)
def test_what_cannot_be_a_link_is_refused(opened: OpenRecord, key: WorkshopKey, page: str) -> None:
    with pytest.raises(UsageError, match="verification page"):
        code.make(opened.payload, opened.digest, key, page)


def test_a_workshop_without_a_page_still_has_a_code(opened: OpenRecord, key: WorkshopKey) -> None:
    text = code.make(opened.payload, opened.digest, key, "")
    assert text.startswith("#")
    assert code.read(text).page == ""


def test_only_p256_signs_a_code(opened: OpenRecord, ed25519_key: WorkshopKey) -> None:
    with pytest.raises(KeyFileError, match="P-256") as caught:
        code.make(opened.payload, opened.digest, ed25519_key, PAGE)
    assert caught.value.hint


def test_no_changed_letter_goes_unnoticed(text: str, opened: OpenRecord, words: Catalogue) -> None:
    """Every letter of the fragment with every bit changed; the page before it is not signed, and says so."""
    start = text.index("#") + 1
    for at in range(start, len(text)):
        for bit in range(7):
            changed = text[:at] + chr(ord(text[at]) ^ 1 << bit) + text[at + 1 :]
            try:
                said = code.read(changed)
            except UnreadableError:
                continue
            verdicts = {check.verdict for check in code.check(said, words, record=opened)}
            assert "does not match" in verdicts, (at, bit)


@given(st.text(max_size=200) | st.binary(max_size=200).map(lambda b: f"{PAGE}#{base64url.encode(b)}"))
@settings(deadline=None, max_examples=200)
def test_hostile_text_is_unreadable_and_nothing_else(text: str) -> None:
    with pytest.raises(UnreadableError):
        code.read(text)


_MEMBERS = (
    st.integers(0, 2**64 - 1)
    | st.binary(max_size=70)
    | st.text(st.characters(exclude_categories=["Cs"]), max_size=40)
)
_ARRAYS = st.lists(_MEMBERS | st.lists(_MEMBERS, max_size=3), max_size=14)


@given(_ARRAYS)
@settings(deadline=None, max_examples=200)
def test_our_reader_of_cbor_agrees_with_a_library(array: list[Any]) -> None:
    data = cbor2.dumps(array, canonical=True)
    assert cbor.decode(data) == array == list(cbor2.loads(data))
    for other in (data + b"\x00", data[:-1], b""):
        with pytest.raises(cbor.NotCborError):
            cbor.decode(other)


# RFC 8949 appendix A: values of kinds that a code does not have, and longer heads than needed.
_OTHER_KINDS = """
    f4 f6 f90000 fb3ff199999999999a 20 a0 c11a514b67b0 5f42010243030405ff 9fff 1800 190017 1a000000ff
    1b00000000ffffffff 5801ff 61ff 7bffffffffffffffff 9bffffffffffffffff 1c ff
"""


@pytest.mark.parametrize("hexed", str.split(_OTHER_KINDS))
def test_other_kinds_of_cbor_are_refused(hexed: str) -> None:
    with pytest.raises(cbor.NotCborError):
        cbor.decode(bytes.fromhex(hexed))


@pytest.mark.parametrize(
    ("text", "most", "expected"),
    [
        ("stool", 5, "stool"),
        ("milking stool of ash", 15, "milking stool\u2026"),
        ("stoolstoolstoolstool", 10, "stoolstoo\u2026"),
        ("abcde\u0301fghij", 6, "abcd\u2026"),  # e and its accent stay together
        ("ab\U0001f468\u200d\U0001f527cdef", 5, "ab\u2026"),  # man + joiner + wrench
        ("ab\U0001f44d\U0001f3fdcdef", 4, "ab\u2026"),  # thumb and its tone
        ("a\U0001f1e6\U0001f1f9\U0001f1e8\U0001f1edxyz", 5, "a\U0001f1e6\U0001f1f9\u2026"),  # two flags
        ("\u1112\u1161\u11ab\u1100\u1173\u11afxyz", 6, "\u1112\u1161\u11ab\u2026"),  # Hangul in jamo
    ],
)
def test_a_text_is_cut_where_a_character_ends(text: str, most: int, expected: str) -> None:
    assert shortened(text, most) == expected
    assert len(expected) <= most


def test_sealed_and_code_agree(sealed: Sealed, text: str, words: Catalogue) -> None:
    answers = code.check(code.read(text), words, record=record.open_record(sealed))
    assert [answer.code for answer in answers] == [
        "code-signature-matches",
        "key-not-confirmed",
        "code-matches-record",
    ]


@pytest.mark.parametrize(
    "page",
    [
        "https://check.example@evil.example/r",
        "https://check.example.evil.example/r",
        "https://xn--chck-8ve.example/r",  # a Cyrillic letter, as RFC 3492 writes it
        "https://check.example/%72",
        "http://check.example/r",
    ],
)
def test_another_page_than_the_one_named_is_said(page: str, opened: OpenRecord, words: Catalogue) -> None:
    """RFC 3986 section 7.6: what stands before the host may look like one."""
    key = stool.p256()

    def said(page: str, **known: Any) -> list[str]:
        summary = code.read(code.make(opened.payload, opened.digest, key, page))
        return [one.code for one in code.check(summary, words, **known)]

    changes = card_change.Changes(name="Workshop", verification_page=PAGE)
    paper, today = recovery.keys_of(bytes(32)), dt.date(2026, 11, 26)
    card = keycard.read(card_change.next_card(None, changes, paper, [key], today))
    confirmed = Trust(cards=(card,))
    assert "code-other-page" in said(page, trust=confirmed, today=today)
    assert "code-other-page" not in said(PAGE, trust=confirmed, today=today)
    assert "code-other-page" not in said("", trust=confirmed, today=today)
    assert "code-other-page" not in said(page)
    workshop = msgspec.structs.replace(opened.payload.workshop, verification_page=PAGE)
    payload = msgspec.structs.replace(opened.payload, workshop=workshop)
    of_record = msgspec.structs.replace(opened, payload=payload)
    assert "code-other-page" in said(page, record=of_record)
    assert "code-other-page" not in said(PAGE, record=of_record)
