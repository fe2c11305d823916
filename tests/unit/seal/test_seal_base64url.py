"""The one form of base64url (RFC 4648 section 5, without padding), against the standard library's."""

from __future__ import annotations

import base64
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.errors import NotCanonicalError
from dossier.seal import base64url

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"


def is_the_one_form(text: str) -> bool:
    """By the standard library: what decodes, and encodes again to the same."""
    try:
        data = base64.b64decode(text + "=" * (-len(text) % 4), altchars="-_", validate=True)
    except ValueError:
        return False
    return base64.urlsafe_b64encode(data).decode().rstrip("=") == text


def taken(text: str) -> bool:
    try:
        data = base64url.decode(text)
    except NotCanonicalError:
        return False
    assert base64url.encode(data) == text
    return True


@settings(deadline=None)
@given(st.text(st.sampled_from(LETTERS + "+/= \n\u00e9."), max_size=12))
def test_what_is_taken_is_what_the_standard_library_gives_back(text: str) -> None:
    assert taken(text) == base64url.are_plain([text]) == is_the_one_form(text)


@pytest.mark.parametrize("length", [1, 2, 3])
def test_every_end(length: int) -> None:
    """All texts of one and two letters, and every last letter of three: spare bits are zero, or refused."""
    heads = product(LETTERS, repeat=length - 1) if length < 3 else [("Q", "Q")]
    for head in heads:
        for letter in LETTERS:
            text = "".join(head) + letter
            assert taken(text) == base64url.are_plain([text]) == is_the_one_form(text)


@given(st.binary(max_size=40))
def test_bytes_come_back(data: bytes) -> None:
    text = base64url.encode(data)
    assert base64url.decode(text) == data
    assert base64url.are_plain([text, text])


def test_one_that_is_not_plain_among_others_is_seen() -> None:
    assert not base64url.are_plain(["QQ", "QR", "QQ"])
    assert not base64url.are_plain(["QQ", "Q+", "QQ"])
    assert base64url.are_plain([])
