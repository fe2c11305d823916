"""Base64url without padding (RFC 7515 section 2), in the one form that has no spare bits.

Invariant: `encode(decode(text)) == text` for every text that `decode` accepts.
"""

from __future__ import annotations

import base64
import binascii

from dossier.errors import NotCanonicalError


def encode(data: bytes) -> str:
    return base64.urlsafe_b64encode(data).rstrip(b"=").decode("ascii")


def decode(text: str) -> bytes:
    """The bytes of `text`. Raises NotCanonicalError for padding, spare bits, spaces and foreign letters."""
    try:
        ascii_text = text.encode("ascii")
        data = base64.urlsafe_b64decode(ascii_text + b"=" * (-len(ascii_text) % 4))
    except (UnicodeEncodeError, binascii.Error):
        raise NotCanonicalError("not base64url") from None
    if base64.urlsafe_b64encode(data).rstrip(b"=") != ascii_text:
        raise NotCanonicalError("base64url with padding, spare bits or foreign letters")
    return data
