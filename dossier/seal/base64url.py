"""Base64url without padding (RFC 7515 section 2), in the one form that has no spare bits.

Invariant: `encode(decode(text)) == text` for every text that `decode` accepts.
"""

from __future__ import annotations

import binascii
from collections.abc import Sequence

from dossier.canonical import Canonical
from dossier.errors import NotCanonicalError

_TO_URL = bytes.maketrans(b"+/", b"-_")
_FROM_URL = bytes.maketrans(b"-_+/=", b"+/???")  # what is not of the url form becomes what no base64 has
# What the last letter can be, by how many letters stand beyond the last whole group of four (RFC 4648
# section 3.5): four or two of its bits are spare, and zero. One letter alone stands for no byte.
_LAST = {0: None, 1: (), 2: tuple("AQgw"), 3: tuple("AEIMQUYcgkosw048")}


_LETTERS = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"


def encode(data: bytes) -> str:
    if isinstance(data, Canonical) and data.text:
        return data.text
    return binascii.b2a_base64(data, newline=False).rstrip(b"=").translate(_TO_URL).decode("ascii")


def decode(text: str) -> bytes:
    """The bytes of `text`. Raises NotCanonicalError for padding, spare bits, spaces and foreign letters."""
    beyond = len(text) % 4
    try:
        letters = text.encode("ascii").translate(_FROM_URL)
        data = binascii.a2b_base64(letters + b"=" * (-beyond % 4), strict_mode=True)
    except (UnicodeEncodeError, binascii.Error):
        raise NotCanonicalError("not base64url") from None
    if not _ends_well(beyond, text[-1:]):
        raise NotCanonicalError("base64url with padding, spare bits or foreign letters")
    return data


def are_plain(texts: Sequence[str]) -> bool:
    """Whether `decode` would take each of these, seen without decoding them one by one."""
    try:
        letters = "".join(texts).encode("ascii")
    except UnicodeEncodeError:
        return False
    ends = {(len(text) % 4, text[-1:]) for text in texts}
    return not letters.translate(None, _LETTERS) and all(_ends_well(*end) for end in ends)


def _ends_well(beyond: int, letter: str) -> bool:
    last = _LAST[beyond]
    return last is None or letter in last
