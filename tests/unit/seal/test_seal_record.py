"""The sealed record: both forms read back, independent libraries agree, copies leave out what they should."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import msgspec
import pytest
import stool
from hypothesis import given, settings
from hypothesis import strategies as st
from joserfc import jws
from joserfc.jwk import ECKey, OKPKey
from jwcrypto.jwk import JWK
from make_vectors import resealed
from sd_jwt.verifier import SDJWTVerifier

from dossier import canonical
from dossier.errors import NotCanonicalError, UnreadableError, UsageError
from dossier.model.plain import to_plain
from dossier.model.record import Apart, OpenApart, Payload, PhotoDetails, Sealed, Unsealed
from dossier.model.rows import Contact, Note
from dossier.model.words import COPIES, LEFT_OUT, CopyKind
from dossier.seal import algorithms, record, signatures, trust
from dossier.seal.keys import WorkshopKey, new_second_key
from dossier.seal.opening import digest_of, open_sealed
from dossier.words import Catalogue

SCHEMA = json.loads((Path(__file__).parents[3] / "schemas" / "record.schema.json").read_bytes())
# RFC 9901 section 4.2.1 and 4.2.3: a disclosure and its digest as printed there.
RFC9901_DISCLOSURE = "WyJfMjZiYzRMVC1hYzZxMktJNmNCVzVlcyIsICJmYW1pbHlfbmFtZSIsICJNw7ZiaXVzIl0"
RFC9901_DIGEST = "X9yH0Ajrdm1Oij4tWso9UzzKJvPoDxwmuEcO3XAdRC0"


def codes(sealed: Sealed, words: Catalogue, **options: Any) -> list[str]:
    return [check.code for check in record.check(sealed, words, **options).checks]


def test_the_digest_of_a_disclosure_is_that_of_rfc_9901() -> None:
    assert digest_of(RFC9901_DISCLOSURE) == RFC9901_DIGEST


def test_what_is_sealed_opens_to_what_it_was(sealed: Sealed, key: WorkshopKey) -> None:
    unsealed = stool.an_unsealed(key)
    opened = record.open_record(sealed)
    assert opened.apart == unsealed.apart
    assert tuple(opened.photo_details.values()) == unsealed.photo_details
    assert (opened.missing, opened.copy) == ((), "workshop")
    slotless = msgspec.structs.replace(
        opened.payload,
        apart=Apart(),
        photographs=tuple(msgspec.structs.replace(one, details=()) for one in opened.payload.photographs),
    )
    assert slotless == unsealed.payload
    assert opened.digest == hashlib.sha256(sealed.payload).hexdigest() == record.payload_digest(sealed)


def test_a_good_record_is_in_order(sealed: Sealed, key: WorkshopKey, words: Catalogue) -> None:
    assert codes(sealed, words) == ["signatures-match", "key-not-confirmed", "disclosures-match"]
    trusting = trust.Trust(thumbprints=frozenset({key.kid}))
    checked = record.check(sealed, words, trust=trusting)
    assert [check.verdict for check in checked.checks] == ["matches"] * 3
    assert [check.number for check in checked.checks] == [4, 5, 6]
    assert (checked.kids, checked.trial_key) == ((key.kid,), False)
    assert len(checked.fingerprint.split()) == 8


def test_sealing_twice_gives_the_same_record(sealed: Sealed, key: WorkshopKey) -> None:
    """With the same salts and RFC 6979 signatures nothing is left to chance."""
    assert record.seal(stool.an_unsealed(key), [key], stool.counting_salts()) == sealed


def test_both_forms_read_back_byte_for_byte(sealed: Sealed) -> None:
    data, compact = record.to_json(sealed), record.to_compact(sealed)
    assert record.from_json(data) == sealed == record.from_compact(compact)
    assert canonical.decode(data)["signatures"][0]["header"] == {"disclosures": list(sealed.disclosures)}
    assert record.to_compact(record.from_compact(compact)) == compact
    assert record.to_compact(record.leave_out(sealed, "resale")) != compact


@pytest.mark.parametrize("copy", COPIES)
def test_an_independent_sd_jwt_library_reads_every_copy(
    sealed: Sealed, key: WorkshopKey, copy: CopyKind
) -> None:
    """The package sd-jwt (jwcrypto underneath) verifies the compact form and opens the same values."""
    bare = record.leave_out(sealed, copy)
    text = record.to_compact(bare).decode()
    payload = SDJWTVerifier(text, lambda _issuer, _header: JWK(**key.public)).get_verified_payload()
    opened = record.open_record(bare, copy)
    theirs = {kind: payload["apart"].get(kind, []) for kind in Apart.__struct_fields__}
    ours = {kind: [to_plain(v) for v in getattr(opened.apart, kind)] for kind in Apart.__struct_fields__}
    assert theirs == ours
    details = [one for photograph in payload["photographs"] for one in photograph["details"]]
    assert details == [to_plain(one) for one in opened.photo_details.values()]


def test_an_independent_jose_library_verifies_the_jws(
    sealed: Sealed, key: WorkshopKey, ed25519_key: WorkshopKey
) -> None:
    compact = record.to_compact(sealed).decode().partition("~")[0]
    assert jws.deserialize_compact(compact, ECKey.import_key(key.public), ["ES256"]).payload == sealed.payload
    with_ed = record.seal(stool.an_unsealed(ed25519_key), [ed25519_key], stool.counting_salts())
    compact = record.to_compact(with_ed).decode().partition("~")[0]
    public = OKPKey.import_key({n: v for n, v in ed25519_key.public.items() if n != "alg"})
    assert jws.deserialize_compact(compact, public, ["Ed25519"]).payload == with_ed.payload


def test_the_schema_takes_the_payload_and_what_stands_apart(sealed: Sealed) -> None:
    payload = json.loads(sealed.payload)
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    jsonschema.Draft202012Validator(SCHEMA).validate(payload)
    opened = record.open_record(sealed)
    details = opened.photo_details["photo-001.jpg"]
    for kind, value in (("OpenApart", opened.apart), ("PhotoDetails", details)):
        schema = {**SCHEMA, "$ref": f"#/$defs/{kind}"}
        jsonschema.Draft202012Validator(schema).validate(to_plain(value))
    for member, value in {"format": "2.0", "_sd_alg": "md5", "record": "x", "iat": -1, "parts": [{}]}.items():
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.Draft202012Validator(SCHEMA).validate({**payload, member: value})


def test_the_table_of_copies_is_that_of_the_format() -> None:
    assert record.CARRIES["workshop"] == set(LEFT_OUT)
    assert set(LEFT_OUT) - record.CARRIES["owner"] == {"inputs"}
    assert record.CARRIES["resale"] == {"photograph"}
    assert record.CARRIES["insurer"] == {"photograph", "owner", "prices", "values", "private_marks"}


def test_a_resale_copy_holds_nothing_private_in_any_byte(sealed: Sealed) -> None:
    bare = record.leave_out(sealed, "resale")
    everything = bare.payload + b"".join(canonical.encode(one.value) for one in open_sealed(bare).disclosed)
    for secret in (
        b"Brandmayr",
        b"555 0100",
        b"EUR",
        b"O.B. 1931",
        b"under the seat",
        b"IMG_1.JPG",
        b"View 1",
    ):
        assert secret not in everything
        assert secret in everything or secret in b"".join(
            canonical.encode(one.value) for one in open_sealed(sealed).disclosed
        )


def test_what_is_not_in_a_copy_is_counted_by_kind(sealed: Sealed, words: Catalogue) -> None:
    bare = record.leave_out(sealed, "resale", frozenset({"photo-003.jpg"}))
    missing = {one.kind: one.count for one in record.open_record(bare, "resale").missing}
    assert missing == {
        "owner": 1,
        "payer": 1,
        "agreement_details": 2,
        "prices": 1,
        "values": 1,
        "private_marks": 1,
        "private_notes": 1,
        "inputs": 1,
        "photograph": 2,  # the private one, and the one asked for
    }
    assert codes(bare, words)[0::2] == ["signatures-match", "disclosures-match"]
    assert list(record.open_record(bare).photo_details) == ["photo-001.jpg"]


def test_a_copy_can_be_made_from_a_copy_without_a_key(sealed: Sealed) -> None:
    owners = record.leave_out(sealed, "owner")
    assert record.leave_out(owners, "resale") == record.leave_out(sealed, "resale")
    assert record.leave_out(record.leave_out(sealed, "resale"), "workshop") == record.leave_out(
        sealed, "resale"
    )
    assert record.to_stamp(owners) == record.to_stamp(sealed)  # a time-stamp holds for every copy


def test_the_likeliest_kind_of_copy_comes_first(sealed: Sealed) -> None:
    for copy in COPIES:
        assert record.copies_like(record.leave_out(sealed, copy))[0] == copy


def test_an_unknown_photograph_cannot_be_left_out(sealed: Sealed) -> None:
    with pytest.raises(UsageError, match=r"photo-009\.jpg") as caught:
        record.leave_out(sealed, "owner", frozenset({"photo-009.jpg"}))
    assert caught.value.hint


def test_two_signatures_are_each_checked_by_themselves(key: WorkshopKey, words: Catalogue) -> None:
    second = new_second_key()
    sealed = record.seal(stool.an_unsealed(key, second), [key, second], stool.counting_salts())
    checked = record.check(sealed, words)
    assert checked.checks[0].where == ("ES256", "ML-DSA-65")
    assert checked.kids == (key.kid, second.kid)
    alone = msgspec.structs.replace(sealed, signatures=sealed.signatures[:1])
    assert codes(alone, words)[:3] == ["signature-missing", "key-unsigned", "key-not-checked"]
    # The compact form has room for one: by itself it says that the other is missing.
    assert codes(record.from_compact(record.to_compact(sealed)), words)[0] == "signature-missing"
    first, other = sealed.signatures
    swapped = (first, msgspec.structs.replace(other, signature=first.signature))
    assert codes(msgspec.structs.replace(sealed, signatures=swapped), words)[0] == "signature-length"


def test_a_signature_that_cannot_be_computed_here_is_no_pass_and_no_fail(
    key: WorkshopKey, words: Catalogue, monkeypatch: pytest.MonkeyPatch
) -> None:
    second = new_second_key()
    sealed = record.seal(stool.an_unsealed(key, second), [key, second], stool.counting_salts())

    def unavailable(*_material: bytes) -> None:
        raise algorithms.UnavailableError("ML-DSA-65")

    changed = msgspec.structs.replace(algorithms.ALGORITHMS["ML-DSA-65"], load=unavailable)
    monkeypatch.setitem(algorithms.ALGORITHMS, "ML-DSA-65", changed)
    checked = record.check(sealed, words)
    assert [(check.code, check.verdict) for check in checked.checks[:2]] == [
        ("algorithm-unavailable", "could not tell"),
        ("key-not-checked", "could not tell"),
    ]


def test_a_record_that_would_not_pass_is_not_made(key: WorkshopKey, salts: Callable[[], bytes]) -> None:
    unsealed = stool.an_unsealed(key)
    other = stool.p256(8)
    with pytest.raises(UsageError, match="key-unknown"):
        record.seal(unsealed, [other], salts)
    with pytest.raises(UsageError, match="signature-missing"):
        record.seal(stool.an_unsealed(key, new_second_key()), [key], salts)
    payload = msgspec.structs.replace(unsealed.payload, record="26-041")
    with pytest.raises(UsageError, match="payload-shape at record"):
        record.seal(msgspec.structs.replace(unsealed, payload=payload), [key], salts)
    with pytest.raises(UsageError, match="details"):
        record.seal(msgspec.structs.replace(unsealed, photo_details=()), [key], salts)


@pytest.mark.parametrize("salt", [b"", bytes(15), bytes(17), bytes(16)], ids=len)
def test_short_and_repeated_salts_are_refused(key: WorkshopKey, salt: bytes) -> None:
    with pytest.raises(UsageError, match="salts"):
        record.seal(stool.an_unsealed(key), [key], lambda: salt)


def test_members_of_a_later_minor_version_are_kept_and_ignored(
    sealed: Sealed, key: WorkshopKey, words: Catalogue
) -> None:
    plain = {**canonical.decode(sealed.payload), "format": "1.7", "weather": {"rain": True}}
    payload = canonical.encode(plain)
    later = Sealed(
        payload=payload, signatures=(signatures.sign(payload, key),), disclosures=sealed.disclosures
    )
    assert codes(later, words)[0::2] == ["signatures-match", "disclosures-match"]
    assert record.from_json(record.to_json(later)).payload == payload


def test_opening_says_the_code_of_what_is_wrong(sealed: Sealed) -> None:
    doubled = msgspec.structs.replace(sealed, disclosures=(*sealed.disclosures, sealed.disclosures[0]))
    for opening in (record.open_record, lambda one: record.leave_out(one, "resale")):
        with pytest.raises(UnreadableError) as caught:
            opening(doubled)
        assert caught.value.code == "disclosure-twice"


def noticed(data: bytes, read: Callable[[bytes], Sealed], words: Catalogue) -> bool:
    """Whether a changed record is refused or fails one of its checks."""
    try:
        sealed = read(data)
    except (NotCanonicalError, UnreadableError):
        return True
    return any(check.verdict == "does not match" for check in record.check(sealed, words).checks)


@pytest.fixture(scope="module")
def small() -> Sealed:
    """The smallest record with something apart, so that every byte of it can be changed in turn."""
    key = stool.p256()
    full = stool.an_unsealed(key, photographs=1)
    payload = msgspec.structs.replace(full.payload, parts=(), work=(), account=(), disclosure=())
    apart = OpenApart(owner=(Contact(name="O"),))
    unsealed = Unsealed(payload=payload, apart=apart, photo_details=full.photo_details)
    return record.seal(unsealed, [key], stool.counting_salts())


@pytest.mark.parametrize("form", ["json", "compact"])
def test_no_changed_byte_goes_unnoticed(small: Sealed, words: Catalogue, form: str) -> None:
    """Each byte with one of its bits changed, and with its case changed."""
    write, read = {
        "json": (record.to_json, record.from_json),
        "compact": (record.to_compact, record.from_compact),
    }[form]
    data = write(small)
    unnoticed = []
    for at in range(len(data)):
        for flip in (0x01, 0x20):
            changed = data[:at] + bytes([data[at] ^ flip]) + data[at + 1 :]
            if not noticed(changed, read, words):
                unnoticed.append((at, flip))
    assert unnoticed == []


@pytest.mark.parametrize("form", ["json", "compact"])
def test_no_lost_or_doubled_byte_goes_unnoticed(small: Sealed, words: Catalogue, form: str) -> None:
    write, read = {
        "json": (record.to_json, record.from_json),
        "compact": (record.to_compact, record.from_compact),
    }[form]
    data = write(small)
    for at in range(len(data)):
        assert noticed(data[:at] + data[at + 1 :], read, words), at
        assert noticed(data[:at] + data[at : at + 1] + data[at:], read, words), at


_TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
_NOTES = st.lists(st.builds(Note, title=_TEXT, text=_TEXT, private=st.booleans()), max_size=3).map(tuple)


@given(
    notes=_NOTES,
    private=_NOTES,
    owners=st.lists(st.builds(Contact, name=_TEXT, address=_TEXT), max_size=2).map(tuple),
    captions=st.lists(st.tuples(_TEXT, st.booleans()), max_size=4),
    copy=st.sampled_from(COPIES),
)
@settings(deadline=None, max_examples=80)
def test_any_record_reads_back_equal(
    notes: tuple[Note, ...],
    private: tuple[Note, ...],
    owners: tuple[Contact, ...],
    captions: list[tuple[str, bool]],
    copy: CopyKind,
) -> None:
    key = stool.p256()
    base = stool.an_unsealed(key, photographs=len(captions))
    details = tuple(
        PhotoDetails(name=one.name, file="x", caption=caption, private=hidden)
        for one, (caption, hidden) in zip(base.payload.photographs, captions, strict=True)
    )
    unsealed = Unsealed(
        payload=msgspec.structs.replace(base.payload, notes=notes),
        apart=OpenApart(owner=owners, private_notes=private),
        photo_details=details,
    )
    sealed = record.seal(unsealed, [key], stool.counting_salts())
    bare = record.leave_out(sealed, copy)
    for one in (sealed, bare):
        assert record.from_json(record.to_json(one)) == one == record.from_compact(record.to_compact(one))
    opened = record.open_record(bare, copy)
    assert opened.payload.notes == notes
    assert opened.apart.owner == (owners if "owner" in record.CARRIES[copy] else ())
    assert opened.apart.private_notes == (private if "private_notes" in record.CARRIES[copy] else ())
    shown = [name for name, one in opened.photo_details.items() if one.private]
    assert not shown or copy in ("workshop", "owner")
    left = sum(one.count for one in opened.missing if one.kind == "photograph")
    assert len(opened.photo_details) + left == len(captions)
    jsonschema.Draft202012Validator(SCHEMA).validate(json.loads(sealed.payload))


@given(st.binary(max_size=300) | st.text(max_size=100).map(lambda text: text.encode("utf-8", "replace")))
@settings(deadline=None, max_examples=200)
def test_hostile_bytes_are_unreadable_and_nothing_else(data: bytes) -> None:
    for read in (record.from_json, record.from_compact):
        with pytest.raises(UnreadableError):
            read(data)


_NAMES = _TEXT | st.sampled_from(["...", "_sd"])
_JSON = st.recursive(
    _TEXT | st.booleans() | st.integers(-9, 9),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(_NAMES, inner, max_size=3),
    max_leaves=8,
)


@given(member=st.sampled_from(Payload.__struct_encode_fields__), value=_JSON)
@settings(deadline=None, max_examples=200)
def test_any_member_with_any_value_is_opened_or_refused_by_code(member: str, value: Any) -> None:
    """A payload that a hostile key signed: an answer always comes, and opening gives a value of the type."""
    sealed = resealed(lambda plain: plain.update({member: value}))
    checked = record.check(sealed, Catalogue("en"))
    faults = [check for check in checked.checks if check.number == 6 and check.verdict != "matches"]
    assert (checked.record is None) == bool(faults)
    if checked.record is not None:
        assert isinstance(checked.record.payload, Payload)


def test_places_in_a_hostile_record_are_shown_safely_and_not_without_end(words: Catalogue) -> None:
    """A name of a member can hold control characters, and a record thousands of faults."""
    rude = {"\x1b[2J\u202eevil": {"...": 1}}
    checked = record.check(resealed(lambda plain: plain.update(x=[rude] * 500)), words)
    (answer,) = [check for check in checked.checks if check.code == "digest-place"]
    assert len(answer.where) == 50
    assert all(place.isprintable() and len(place) <= 200 for place in answer.where)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"a.b.c",
        b"a.b~",
        b"a.b.c~d",
        b"a.b.c.d~",
        b"\xff~",
        b"A.A.A~" + b"AA~" * 20_001,
        b"~" * 9_000_000,
    ],
    ids=lambda data: repr(data[:8]),
)
def test_compact_forms_of_another_shape_are_refused(data: bytes) -> None:
    with pytest.raises(UnreadableError):
        record.from_compact(data)
