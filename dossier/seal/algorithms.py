"""The signature algorithms of the format: their public keys as JWK, their signatures as raw bytes.

ES256 (RFC 7518 section 3.4), Ed25519 (RFC 9864) and ML-DSA-65 (RFC 9964, FIPS 204). Closed: any other name
is unknown and fails. Not done here: private keys, files, what a key is trusted for.
Invariants: one JWK form a key (exactly the members below), one signature form a message where the algorithm
itself would allow a second one: of (r, s) and (r, n - s) only the lower s is taken.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from typing import Any

import msgspec
from cryptography.exceptions import InvalidSignature, UnsupportedAlgorithm
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, ed25519
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature, encode_dss_signature

from dossier import canonical
from dossier.errors import NotCanonicalError
from dossier.seal import base64url

# Order of the P-256 group (SEC 2 section 2.4.2, FIPS 186-5 / SP 800-186 section 3.2.1.3).
P256_ORDER = 0xFFFFFFFF00000000FFFFFFFFFFFFFFFFBCE6FAADA7179E84F3B9CAC2FC632551

# Curve 25519 (RFC 7748 section 4.1), and y of its eight points of an order up to 8.
_ED25519_PRIME = 2**255 - 19
_ORDER_8 = 0x05FC536D880238B13933C6D305ACDFD5F098EFF289F4C345B027B2C28F95E826
_SMALL_ORDER = frozenset({0, 1, _ED25519_PRIME - 1, _ORDER_8, _ED25519_PRIME - _ORDER_8})

Jwk = dict[str, str]


class BadKeyError(ValueError):
    """A JWK that is not one of the closed forms, or no point of its curve."""


class UnavailableError(Exception):
    """The algorithm is known but this installation cannot compute it."""


class Algorithm(msgspec.Struct, frozen=True):
    """`fixed`: JWK members with their one value; `material`: base64url members and how many bytes each."""

    name: str
    fixed: Mapping[str, str]
    material: Mapping[str, int]
    in_thumbprint: tuple[str, ...]
    signature_bytes: int
    load: Callable[..., Any]
    verify: Callable[[Any, bytes, bytes], None]


def _load_p256(x: bytes, y: bytes) -> ec.EllipticCurvePublicKey:
    numbers = ec.EllipticCurvePublicNumbers(int.from_bytes(x), int.from_bytes(y), ec.SECP256R1())
    return numbers.public_key()  # refuses a point that is not on the curve


def _verify_p256(key: ec.EllipticCurvePublicKey, signature: bytes, data: bytes) -> None:
    r, s = int.from_bytes(signature[:32]), int.from_bytes(signature[32:])
    key.verify(encode_dss_signature(r, s), data, ec.ECDSA(hashes.SHA256()))


def _load_ed25519(x: bytes) -> ed25519.Ed25519PublicKey:
    y = int.from_bytes(x, "little") & ~(1 << 255)  # RFC 8032 section 5.1.3: without the sign of x
    if y >= _ED25519_PRIME or y in _SMALL_ORDER:
        raise ValueError("no key of its own: under it one signature holds for many messages")
    return ed25519.Ed25519PublicKey.from_public_bytes(x)


def _load_mldsa65(pub: bytes) -> Any:
    try:
        from cryptography.hazmat.primitives.asymmetric import mldsa  # noqa: PLC0415 - not in every build

        return mldsa.MLDSA65PublicKey.from_public_bytes(pub)
    except (ImportError, UnsupportedAlgorithm):
        raise UnavailableError("ML-DSA-65") from None


def _verify_plain(key: Any, signature: bytes, data: bytes) -> None:
    key.verify(signature, data)


ALGORITHMS: dict[str, Algorithm] = {
    "ES256": Algorithm(
        "ES256",
        {"crv": "P-256", "kty": "EC"},
        {"x": 32, "y": 32},
        ("crv", "kty", "x", "y"),  # RFC 7638 section 3.2
        64,
        _load_p256,
        _verify_p256,
    ),
    "Ed25519": Algorithm(
        "Ed25519",
        {"crv": "Ed25519", "kty": "OKP"},
        {"x": 32},
        ("crv", "kty", "x"),  # RFC 8037 section 2
        64,
        _load_ed25519,
        _verify_plain,
    ),
    "ML-DSA-65": Algorithm(
        "ML-DSA-65",
        {"kty": "AKP"},
        {"pub": 1952},
        ("alg", "kty", "pub"),  # RFC 9964: the required members of an AKP key
        3309,
        _load_mldsa65,
        _verify_plain,
    ),
}


def jwk(name: str, *material: bytes) -> Jwk:
    """The public JWK of a key of algorithm `name`, with `alg` and `kid` (RFC 7517 section 4)."""
    algorithm = ALGORITHMS[name]
    members = dict(zip(algorithm.material, map(base64url.encode, material), strict=True))
    key = {**algorithm.fixed, **members, "alg": name}
    return {**key, "kid": thumbprint(key)}


def thumbprint(key: Mapping[str, str]) -> str:
    """The RFC 7638 thumbprint (SHA-256, base64url) of a JWK that has `alg`."""
    algorithm = ALGORITHMS[key["alg"]]
    required = {member: key[member] for member in algorithm.in_thumbprint}
    return base64url.encode(hashlib.sha256(canonical.encode(required)).digest())


def load_public(key: Mapping[str, str]) -> Any:
    """The public key of a JWK in exactly one of the forms. Raises BadKeyError, UnavailableError."""
    algorithm = ALGORITHMS.get(key.get("alg", ""))
    if algorithm is None:
        raise BadKeyError("unknown algorithm")
    if set(key) != {*algorithm.fixed, *algorithm.material, "alg", "kid"}:
        raise BadKeyError("members that are not those of a public key of this kind")
    if any(key[member] != value for member, value in algorithm.fixed.items()):
        raise BadKeyError("a key of another kind than its algorithm")
    try:
        return algorithm.load(*_material(algorithm, key))
    except ValueError:
        raise BadKeyError("no point of its curve") from None


def _material(algorithm: Algorithm, key: Mapping[str, str]) -> list[bytes]:
    try:
        material = [base64url.decode(key[member]) for member in algorithm.material]
    except NotCanonicalError:
        raise BadKeyError("key material that is not base64url") from None
    if [len(part) for part in material] != list(algorithm.material.values()):
        raise BadKeyError("key material of the wrong length")
    return material


def verifies(name: str, public: Any, signature: bytes, data: bytes) -> bool:
    """Whether `signature` (raw, of the right length) holds for `data` under the loaded key."""
    try:
        ALGORITHMS[name].verify(public, signature, data)
    except (InvalidSignature, ValueError):  # ValueError: r or s out of range
        return False
    return True


def is_high_s(signature: bytes) -> bool:
    """Whether an ES256 signature is the second of the two forms, (r, n - s)."""
    return int.from_bytes(signature[32:]) > P256_ORDER // 2


def raw_ecdsa(der: bytes) -> bytes:
    """A DER ECDSA signature as r || s with the lower s, 64 bytes."""
    r, s = decode_dss_signature(der)
    return lower_s(r.to_bytes(32) + s.to_bytes(32))


def lower_s(raw: bytes) -> bytes:
    """r || s with, of s and n - s, the lower one."""
    s = int.from_bytes(raw[32:])
    return raw[:32] + min(s, P256_ORDER - s).to_bytes(32)
