"""Base64url without padding (RFC 7515 section 2), in the one form that has no spare bits.

Invariant: `encode(decode(text)) == text` for every text that `decode` accepts.
"""

from __future__ import annotations

import binascii

from dossier.errors import NotCanonicalError

_TO_URL, _FROM_URL = bytes.maketrans(b"+/", b"-_"), bytes.maketrans(b"-_", b"+/")


def encode(data: bytes) -> str:
    return _encoded(data).decode("ascii")


def _encoded(data: bytes) -> bytes:
    return binascii.b2a_base64(data, newline=False).rstrip(b"=").translate(_TO_URL)


def decode(text: str) -> bytes:
    """The bytes of `text`. Raises NotCanonicalError for padding, spare bits, spaces and foreign letters."""
    try:
        ascii_text = text.encode("ascii")
        data = binascii.a2b_base64(ascii_text.translate(_FROM_URL) + b"=" * (-len(ascii_text) % 4))
    except (UnicodeEncodeError, binascii.Error):
        raise NotCanonicalError("not base64url") from None
    if _encoded(data) != ascii_text:
        raise NotCanonicalError("base64url with padding, spare bits or foreign letters")
    return data
