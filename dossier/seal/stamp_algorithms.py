"""The ways of signing a time-stamp that are checked, each by the exact DER of its name.

SHA-256, SHA-384 and SHA-512 with RSA (PKCS #1 v1.5 and PSS, from 2048 bits), ECDSA from 224 bits
(RFC 5754, RFC 4056). What is not in the tables is not checked, so a weak way is never a pass.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from typing import Any, NamedTuple

from cryptography.exceptions import InvalidSignature, UnsupportedAlgorithm
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import dsa, ec, padding, rsa

from dossier.seal.der import INTEGER, OID, SEQUENCE, tlv

RSA_BITS = 2048  # of DSA too (SP 800-57 part 1, table 2)
CURVE_BITS = 224  # as strong (the same table)
NULL = b"\x05\x00"
_NIST = bytes.fromhex("6086480165030402")  # 2.16.840.1.101.3.4.2
_RSA = bytes.fromhex("2a864886f70d0101")  # 1.2.840.113549.1.1
_ECDSA = bytes.fromhex("2a8648ce3d0403")  # 1.2.840.10045.4.3
_HASHES: dict[str, tuple[int, int, int, hashes.HashAlgorithm]] = {
    # last arc of: the hash (RFC 5754), RSA with it, ECDSA with it
    "sha256": (1, 11, 2, hashes.SHA256()),
    "sha384": (2, 12, 3, hashes.SHA384()),
    "sha512": (3, 13, 4, hashes.SHA512()),
}

Verify = Callable[[Any, bytes, bytes, hashes.HashAlgorithm], None]


def _named(oid: bytes, *parameters: bytes) -> bytes:
    return tlv(SEQUENCE, tlv(OID, oid), *parameters)


def _pss(name: str) -> bytes:
    """RSASSA-PSS-params (RFC 4055 3.1): the hash, MGF1 with it, a salt as long as it."""
    digest = _named(_NIST + bytes([_HASHES[name][0]]), NULL)
    salt = tlv(INTEGER, bytes([_HASHES[name][3].digest_size]))
    mask = _named(_RSA + b"\x08", digest)
    return _named(_RSA + b"\x0a", tlv(SEQUENCE, tlv(0xA0, digest), tlv(0xA1, mask), tlv(0xA2, salt)))


# DER of an AlgorithmIdentifier -> name for hashlib; with NULL and without (RFC 5754 section 2).
DIGESTS = {
    _named(_NIST + bytes([row[0]]), *parameters): name
    for name, row in _HASHES.items()
    for parameters in ((), (NULL,))
}

# The other way round, as RFC 5754 would have it written: without NULL.
NAMES = {name: _named(_NIST + bytes([row[0]])) for name, row in _HASHES.items()}


def _verify_rsa(key: Any, signature: bytes, data: bytes, digest: hashes.HashAlgorithm) -> None:
    key.verify(signature, data, padding.PKCS1v15(), digest)


def _verify_pss(key: Any, signature: bytes, data: bytes, digest: hashes.HashAlgorithm) -> None:
    key.verify(signature, data, padding.PSS(padding.MGF1(digest), digest.digest_size), digest)


def _verify_ecdsa(key: Any, signature: bytes, data: bytes, digest: hashes.HashAlgorithm) -> None:
    key.verify(signature, data, ec.ECDSA(digest))


# DER of the AlgorithmIdentifier -> kind of key, hash ("" is the signer's digest algorithm), how.
_SIGNATURES: dict[bytes, tuple[type, str, Verify]] = {
    _named(_RSA + b"\x01", NULL): (rsa.RSAPublicKey, "", _verify_rsa),
    **{
        _named(_RSA + bytes([row[1]]), NULL): (rsa.RSAPublicKey, name, _verify_rsa)
        for name, row in _HASHES.items()
    },
    **{_pss(name): (rsa.RSAPublicKey, name, _verify_pss) for name in _HASHES},
    **{
        _named(_ECDSA + bytes([row[2]])): (ec.EllipticCurvePublicKey, name, _verify_ecdsa)
        for name, row in _HASHES.items()
    },
}


class Hashed(NamedTuple):
    """What a time-stamp is over, by its digest: of a file too large to be held."""

    sha256: bytes


def digest(algorithm: bytes, data: bytes | Hashed) -> bytes | None:
    """The digest of `data` by the algorithm named in DER; None for one not in the table, or not at hand."""
    name = DIGESTS.get(algorithm)
    if isinstance(data, Hashed):
        return data.sha256 if name == "sha256" else None
    return hashlib.new(name, data).digest() if name else None


def is_known(key: Any, signature_algorithm: bytes, digest_algorithm: bytes) -> bool:
    """Whether a signature by this key, named so, is of a kind that is checked."""
    found = _SIGNATURES.get(signature_algorithm)
    if found is None or digest_algorithm not in DIGESTS or not isinstance(key, found[0]):
        return False
    return is_strong(key)


def is_strong(key: Any) -> bool:
    """Whether a key is large enough that nobody else makes its signatures."""
    if isinstance(key, ec.EllipticCurvePublicKey):
        return key.key_size >= CURVE_BITS
    return not isinstance(key, (rsa.RSAPublicKey, dsa.DSAPublicKey)) or key.key_size >= RSA_BITS


def holds(
    key: Any, signature: bytes, data: bytes, signature_algorithm: bytes, digest_algorithm: bytes
) -> bool:
    """Whether the signature, of a kind that `is_known`, holds over `data`."""
    _, name, verify = _SIGNATURES[signature_algorithm]
    try:
        verify(key, signature, data, _HASHES[name or DIGESTS[digest_algorithm]][3])
    except (InvalidSignature, UnsupportedAlgorithm, ValueError):
        return False
    return True
