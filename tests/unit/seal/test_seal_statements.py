"""Statements and receipts as signed objects: made, read, nothing else taken for one (FORMAT.md, 17)."""

from __future__ import annotations

import base64
import json
from typing import Any

import msgspec
import pytest
import stool
from hypothesis import given, settings
from hypothesis import strategies as st
from joserfc import jws
from joserfc.jwk import ECKey

from dossier import canonical
from dossier.errors import UnreadableError
from dossier.model.statements import (
    STATEMENT_KINDS,
    TYP_RECEIPT,
    TYP_STATEMENT,
    RecordNamed,
    Scan,
    Statement,
)
from dossier.model.statements import Signer as Who
from dossier.seal import record, signed, statements
from dossier.seal.keys import WorkshopKey, new_second_key
from dossier.seal.statements import Wanted

KEY, OTHER = stool.p256(), stool.p256(2)
ABOUT = RecordNamed(record="urn:uuid:0b8c1c2e-5b7e-4f0a-9d55-3f6a2f1f4c11", sha256="ab" * 32)
BY = RecordNamed(record="urn:uuid:1b8c1c2e-5b7e-4f0a-9d55-3f6a2f1f4c11", sha256="cd" * 32)
SCAN = Scan(name="receipt.jpg", bytes=3, sha256="ef" * 32, media_type="image/jpeg")
GOES_WITH: dict[str, dict[str, Any]] = {
    "correction": {"rows": ("parts/7",)},
    "supersession": {"replaced_by": BY},
    "paper receipt": {"scan": SCAN},
}


def a_statement(kind: str = "withdrawal", *signers: WorkshopKey, **members: Any) -> bytes:
    wanted: dict[str, Any] = {"kind": kind, "about": ABOUT, "reason": "as found later", **members}
    return statements.state(
        Wanted(**wanted), "Two Benches", signers or (KEY,), iat=1_796_000_000, chance=bytes(16)
    )


def a_receipt() -> bytes:
    return statements.acknowledge(ABOUT, "", OTHER, iat=1_796_000_000, chance=bytes(range(16)))


@pytest.mark.parametrize("kind", STATEMENT_KINDS)
def test_each_kind_is_read_back_as_it_was_said(kind: str) -> None:
    data = a_statement(kind, **GOES_WITH.get(kind, {}))
    read = statements.read(data)
    assert read is not None
    assert isinstance(read.value, Statement)
    assert (read.value.kind, read.value.about, read.kids) == (kind, ABOUT, (KEY.kid,))
    assert signed.write(signed.read(data)) == data


@pytest.mark.parametrize("kind", STATEMENT_KINDS)
@pytest.mark.parametrize("goes", GOES_WITH)
def test_what_goes_with_one_kind_goes_with_no_other(kind: str, goes: str) -> None:
    if kind == goes:
        return
    with pytest.raises(UnreadableError):
        a_statement(kind, **GOES_WITH[goes])


@pytest.mark.parametrize(
    ("kind", "members"),
    [
        ("supersession", {}),
        ("paper receipt", {}),
        ("withdrawal", {"reason": " \n"}),
        ("withdrawal", {"reason": "x" * 4001}),
    ],
)
def test_a_statement_that_lacks_what_it_must_say_is_not_made(kind: str, members: dict[str, Any]) -> None:
    with pytest.raises(UnreadableError):
        a_statement(kind, **members)


def test_another_library_finds_statement_and_receipt_signed() -> None:
    """joserfc, general JWS JSON serialization (RFC 7515 section 7.2.1)."""
    for data, key, typ in ((a_statement(), KEY, TYP_STATEMENT), (a_receipt(), OTHER, TYP_RECEIPT)):
        public = ECKey.import_key({k: v for k, v in key.public.items() if k != "alg"})
        found = jws.deserialize_json(json.loads(data), public, algorithms=["ES256"])
        assert found.payload == base64.urlsafe_b64decode(json.loads(data)["payload"] + "==")
        assert found.members[0].protected == {"alg": "ES256", "kid": key.kid, "typ": typ}


def test_two_signatures_both_have_to_hold() -> None:
    second = new_second_key()
    read = statements.read(a_statement("withdrawal", KEY, second))
    assert read is not None
    assert read.kids == (KEY.kid, second.kid)
    stripped = json.loads(a_statement("withdrawal", KEY, second))
    stripped["signatures"].pop()
    left = statements.read(canonical.encode(stripped))
    assert left is not None
    assert (left.faults, left.kids) == (("key-unsigned",), ())


def forged(*signers: WorkshopKey, typ: str = TYP_STATEMENT, keys: Any = None) -> bytes:
    value = Statement(
        format="1.0",
        statement=ABOUT.record,
        kind="withdrawal",
        iat=1,
        about=ABOUT,
        reason="forged",
        workshop=Who(keys=keys or (KEY.public,)),
    )
    return signed.write(signed.sign(value, signers, typ))


def test_a_signature_of_somebody_else_does_not_hold() -> None:
    read = statements.read(forged(OTHER))
    assert read is not None
    assert read.faults == ("key-unknown", "key-unsigned")


def test_a_statements_key_is_never_taken_under_another_name() -> None:
    read = statements.read(forged(OTHER, keys=({**OTHER.public, "kid": KEY.kid},)))
    assert read is not None
    assert read.kids == ()


@pytest.mark.parametrize("typ", [TYP_RECEIPT, "restoration-key-card+jws", "restoration-record+sd-jwt", "JWT"])
def test_a_statement_under_another_typ_is_no_statement(typ: str) -> None:
    try:
        read = statements.read(forged(KEY, typ=typ))
    except UnreadableError:
        return
    assert read is None or not read.kids


def test_a_record_is_no_statement_and_a_statement_no_record() -> None:
    sealed = record.seal(stool.an_unsealed(KEY), [KEY], stool.counting_salts())
    assert not statements.looks_like(record.to_json(sealed))
    with pytest.raises(UnreadableError):
        record.from_json(a_statement())
    # A record's own signature, put into the form of a statement, is none.
    assert statements.read(record.to_stamp(sealed)) is None


@settings(deadline=None, max_examples=80)
@given(st.integers(0), st.integers(0, 7))
def test_no_changed_byte_goes_unnoticed(place: int, bit: int) -> None:
    changed = bytearray(a_statement())
    changed[place % len(changed)] ^= 1 << bit
    try:
        read = statements.read(bytes(changed))
    except UnreadableError:
        return
    assert read is None or not read.kids


@settings(deadline=None)
@given(
    st.recursive(
        st.one_of(st.text(max_size=8), st.integers(-5, 5), st.booleans()),
        lambda inner: st.one_of(
            st.lists(inner, max_size=3),
            st.dictionaries(
                st.sampled_from(["payload", "signatures", "protected", "signature", "x"]), inner, max_size=4
            ),
        ),
        max_leaves=12,
    )
)
def test_whatever_is_given_only_our_own_errors_come(value: Any) -> None:
    for data in (canonical.encode(value), canonical.encode({"payload": value, "signatures": value})):
        with pytest.raises(UnreadableError):
            statements.read(data)


def test_a_payload_of_any_shape_gives_only_our_own_errors() -> None:
    for payload in (b"{}", b'{"format":1}', b'{"format":"1.0"}', b"[]", b"x"):
        form = {
            "payload": base64.urlsafe_b64encode(payload).rstrip(b"=").decode(),
            "signatures": [msgspec.to_builtins(s) for s in signed.read(a_statement()).signatures],
        }
        with pytest.raises(UnreadableError):
            statements.read(canonical.encode(form))


@pytest.mark.parametrize(
    "inner", [b"[]," * 170_000, b'{"a":1},' * 60_000, b"1," * 250_000], ids=["arrays", "objects", "numbers"]
)
def test_a_file_that_would_take_long_to_read_is_refused_first(inner: bytes) -> None:
    with pytest.raises(UnreadableError) as caught:
        statements.read(b'{"payload":[' + inner + b'0],"signatures":[{"protected":""}]}')
    assert caught.value.code == "signed-shape"
