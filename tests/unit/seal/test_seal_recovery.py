"""The recovery key: digits on paper, and the keys that come from them.

Against RFC 5869's own formula, and what FORMAT.md section 16 works out.
"""

from __future__ import annotations

import hashlib
import hmac
import json

import pytest
from cards import (
    RECOVERY,
    SECRET,
    made,
)
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.errors import KeyFileError
from dossier.seal import recovery


@given(st.binary(min_size=32, max_size=32))
def test_a_secret_comes_back_from_its_digits_with_words_around_them(secret: bytes) -> None:
    text = f"RECOVERY KEY of 12 Benches\n{recovery.to_digits(secret)}\n(17 groups)\n12345 12345 end"
    assert recovery.from_digits(text) == secret


@settings(deadline=None)
@given(st.integers(0, 16), st.integers(1, 65_535))
def test_a_slip_in_one_group_is_noticed(group: int, off: int) -> None:
    groups = recovery.to_digits(SECRET).split()
    groups[group] = f"{(int(groups[group]) + off) % 65_536:05d}"
    if group != 16 and recovery._check(_secret(groups)) == int(groups[16]):
        return  # one in 65,536 slips meets the check digits by chance
    with pytest.raises(KeyFileError):
        recovery.from_digits(" ".join(groups))


def _secret(groups: list[str]) -> bytes:
    return b"".join(int(one).to_bytes(2) for one in groups[:16])


@pytest.mark.parametrize("text", ["", "12345 " * 16, "12345 " * 18, "99999 " * 17, "1234 " * 17])
def test_what_is_no_recovery_key_is_refused(text: str) -> None:
    with pytest.raises(KeyFileError):
        recovery.from_digits(text)


def test_the_keys_are_those_of_rfc_5869() -> None:
    """HKDF by the formula of RFC 5869 section 2, with the standard library's HMAC."""
    info = b"restoration-record recovery ES256"
    pseudo = hmac.digest(bytes(32), SECRET, "sha256")
    first = hmac.digest(pseudo, info + b"\1", "sha256")
    stretch = (first + hmac.digest(pseudo, first + info + b"\2", "sha256"))[:40]
    order = int("ffffffff00000000ffffffffffffffffbce6faada7179e84f3b9cac2fc632551", 16)  # FIPS 186-5
    assert RECOVERY[0].private.private_numbers().private_value == int.from_bytes(stretch) % (order - 1) + 1
    info = b"restoration-record recovery ML-DSA-65"
    assert RECOVERY[1].private.private_bytes_raw() == hmac.digest(pseudo, info + b"\1", "sha256")


def test_the_fingerprint_is_the_one_in_the_format() -> None:
    thumbprints = json.dumps([key.kid for key in RECOVERY], separators=(",", ":")).encode()
    digest = hashlib.sha256(thumbprints).digest()
    said = " ".join(f"{int.from_bytes(digest[i : i + 2]):05d}" for i in range(0, 16, 2))
    assert made().fingerprint == said == "22706 60966 04287 58690 15483 18082 01203 33183"
