"""A workshop's recovery key: 32 bytes on paper, from which two signing keys are worked out.

The one key that may change which keys a key card names. It is printed as digits, locked away, and used a few
times in a working life; so one secret gives both an ES256 and an ML-DSA-65 key, and a card is good only when
both have signed it. Not done here: files, chance (32 bytes are passed in), the card (`seal.keycard`).
Invariants: the same digits always give the same keys; a mistyped group is noticed (16 bits of check digits).
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence

from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.kdf.hkdf import HKDF

from dossier import canonical
from dossier.errors import KeyFileError
from dossier.seal import base64url, slips
from dossier.seal.algorithms import P256_ORDER, Jwk
from dossier.seal.keys import WorkshopKey, fingerprint_words
from dossier.seal.said import key_error

SECRET_BYTES = 32
_GROUPS = 17  # 16 of the secret, one to find slips of the pen
_MOST_SUSPECTS = 4  # where more groups may be the wrong one, all are compared
_INFO = b"restoration-record recovery "


def to_digits(secret: bytes) -> str:
    """A secret of 32 bytes as 17 groups of five digits, the last of them for checking, four a line."""
    numbers = [int.from_bytes(secret[i : i + 2]) for i in range(0, SECRET_BYTES, 2)]
    groups = [f"{number:05d}" for number in [*numbers, _check(secret)]]
    return "\n".join(" ".join(groups[i : i + 4]) for i in range(0, _GROUPS, 4))


def from_digits(text: str) -> bytes:
    """The secret in a text that holds its 17 groups of digits, and may hold other words and numbers.

    Raises KeyFileError where the groups are not there, or one is mistyped: then with the number of the group,
    as far as that can be told.
    """
    text = text[:65_536]
    windows = list(slips.windows(text, _GROUPS))
    secrets = {secret for one in windows if (secret := _secret(one)) is not None}
    if len(secrets) == 1:
        return secrets.pop()
    if secrets:
        raise key_error("recovery_several", n=len(secrets))
    if len(windows) == 1:
        raise _mistyped(slips.suspects(windows[0], lambda groups: _secret(groups) is not None))
    if windows:
        raise _mistyped([])
    if odd := slips.odd_groups(text, _GROUPS):
        raise key_error("recovery_odd", groups=_listed(odd))
    raise key_error("recovery_digits", n=slips.longest(text))


def _secret(groups: Sequence[str]) -> bytes | None:
    """The secret of 17 groups, None where they are not in order."""
    numbers = [int(group) for group in groups]
    if max(numbers) > 65_535:
        return None
    secret = b"".join(number.to_bytes(2) for number in numbers[:-1])
    return secret if numbers[-1] == _check(secret) else None


def _mistyped(suspects: Sequence[int]) -> KeyFileError:
    if not suspects or len(suspects) > _MOST_SUSPECTS:
        return key_error("recovery_mistyped")
    return key_error("recovery_suspect", groups=_listed(suspects))


def _listed(groups: Sequence[int]) -> str:
    return ", ".join(map(str, groups))


def keys_of(secret: bytes) -> tuple[WorkshopKey, WorkshopKey]:
    """The two keys of a secret: ES256, then ML-DSA-65.

    Each from its own stretch of HKDF-SHA256 (RFC 5869); the P-256 scalar by FIPS 186-5 A.2.1 (64 bits more
    than needed, modulo n - 1, plus 1), the other from its 32 byte seed (FIPS 204 algorithm 6).
    """
    try:
        from cryptography.hazmat.primitives.asymmetric import mldsa  # noqa: PLC0415 - not in every build
    except ImportError:
        raise key_error("no_mldsa") from None
    scalar = int.from_bytes(_stretch(secret, b"ES256", 40)) % (P256_ORDER - 1) + 1
    classical = ec.derive_private_key(scalar, ec.SECP256R1())
    second = mldsa.MLDSA65PrivateKey.from_seed_bytes(_stretch(secret, b"ML-DSA-65", 32))
    return WorkshopKey(classical, deterministic=True), WorkshopKey(second)


def fingerprint(thumbprints: Sequence[str]) -> str:
    """The fingerprint of a key card, from the thumbprints of its recovery keys in their order.

    It stays the same for as long as the recovery key does, whatever keys the card names.
    """
    digest = hashlib.sha256(canonical.encode(list(thumbprints))).digest()
    return fingerprint_words(base64url.encode(digest))


def fingerprint_of(keys: Sequence[Jwk]) -> str:
    return fingerprint([key["kid"] for key in keys])


def _check(secret: bytes) -> int:
    return int.from_bytes(hashlib.sha256(_INFO + secret).digest()[:2])


def _stretch(secret: bytes, name: bytes, length: int) -> bytes:
    return HKDF(hashes.SHA256(), length, salt=None, info=_INFO + name).derive(secret)
