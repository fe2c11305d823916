"""A workshop's key: made, described to others, used to sign.

Not done here: files (`seal.keyfiles`), checking signatures (`seal.signatures`), whom to trust (`seal.trust`).
Invariants: `kid` is the RFC 7638 thumbprint; an ES256 signature is always r || s with the lower s.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Sequence
from functools import cached_property
from typing import Any, Protocol, cast

import msgspec
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec, ed25519
from cryptography.hazmat.primitives.asymmetric.utils import encode_dss_signature
from cryptography.x509.oid import NameOID, ObjectIdentifier

from dossier.model.job import Workshop
from dossier.model.record import WorkshopId
from dossier.seal import algorithms, base64url
from dossier.seal.algorithms import Jwk
from dossier.seal.said import key_error

# RFC 5280 section 4.1.2.5: no well-defined end of validity.
NO_END = dt.datetime(9999, 12, 31, 23, 59, 59, tzinfo=dt.UTC)
DOCUMENT_SIGNING = ObjectIdentifier("1.3.6.1.5.5.7.3.36")  # RFC 9336 section 3.1
LONGEST_NAME = 64  # bytes; RFC 5280 appendix A.1, ub-common-name and ub-organization-name

PrivateKey = (
    ec.EllipticCurvePrivateKey | ed25519.Ed25519PrivateKey | Any
)  # Any: ML-DSA-65, not in every build


class Signer(Protocol):
    """What signs a record: an algorithm, a key named by its thumbprint, raw signatures."""

    @property
    def alg(self) -> str: ...

    @property
    def kid(self) -> str: ...

    @property
    def public(self) -> Jwk: ...

    @property
    def certificate(self) -> x509.Certificate | None: ...

    @property
    def issuers(self) -> tuple[x509.Certificate, ...]: ...

    def sign(self, data: bytes) -> bytes: ...


class WorkshopKey(msgspec.Struct, frozen=True, dict=True):
    """A private key with its certificate. `deterministic`: ECDSA by RFC 6979 instead of by chance.

    `issuers`: what stands behind the certificate in its file and leads up from it, for whoever has the root.
    """

    private: PrivateKey
    certificate: x509.Certificate | None = None
    deterministic: bool = False
    warnings: tuple[str, ...] = ()
    issuers: tuple[x509.Certificate, ...] = ()

    @cached_property
    def alg(self) -> str:
        return algorithm_of(self.private)

    @cached_property
    def public(self) -> Jwk:
        return public_jwk(self.private.public_key())

    @property
    def kid(self) -> str:
        return self.public["kid"]

    def sign(self, data: bytes) -> bytes:
        """The raw signature over `data` (RFC 7518 section 3.4, RFC 8032, FIPS 204)."""
        if isinstance(self.private, ec.EllipticCurvePrivateKey):
            how = ec.ECDSA(hashes.SHA256(), deterministic_signing=self.deterministic)
            return algorithms.raw_ecdsa(self.private.sign(data, how))
        return bytes(self.private.sign(data))


def new_key(name: str, *, now: dt.datetime) -> WorkshopKey:
    """A fresh P-256 key with a certificate it issues itself in the workshop's name."""
    private = ec.generate_private_key(ec.SECP256R1())
    return WorkshopKey(private, self_issued(private, name, now=now))


def new_second_key() -> WorkshopKey:
    """A fresh ML-DSA-65 key for a second signature; it has no certificate (X.509 stays classical)."""
    try:
        from cryptography.hazmat.primitives.asymmetric import mldsa  # noqa: PLC0415 - not in every build
    except ImportError:
        raise key_error("no_mldsa") from None
    return WorkshopKey(mldsa.MLDSA65PrivateKey.generate())


def self_issued(private: PrivateKey, name: str, *, now: dt.datetime) -> x509.Certificate:
    """A self-issued certificate for signing documents, valid from `now` without a stated end.

    The serial number is taken from the public key, so nothing here is left to chance but the signature.
    """
    digest = None if isinstance(private, ed25519.Ed25519PrivateKey) else hashes.SHA256()
    return _certificate(private.public_key(), name, now).sign(private, digest)


def certificate_signed_by(signer: Signer, name: str, *, now: dt.datetime) -> x509.Certificate:
    """The same for an ES256 key that signs elsewhere, as on a token."""
    from asn1crypto import x509 as asn1  # noqa: PLC0415 - 40 ms, only where such a certificate is made

    public = algorithms.load_public(signer.public)
    # Signed by a passing key first, for its form; what is signed does not depend on who signs it.
    form = _certificate(public, name, now).sign(ec.generate_private_key(ec.SECP256R1()), hashes.SHA256())
    raw = signer.sign(form.tbs_certificate_bytes)
    der = asn1.Certificate.load(form.public_bytes(serialization.Encoding.DER))
    der["signature_value"] = encode_dss_signature(int.from_bytes(raw[:32]), int.from_bytes(raw[32:]))
    return x509.load_der_x509_certificate(der.dump())


def _certificate(public: Any, name: str, now: dt.datetime) -> x509.CertificateBuilder:
    if not name.strip():
        raise key_error("no_name")
    subject = _subject(name)
    identifier = x509.SubjectKeyIdentifier.from_public_key(public)
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(subject)
        .public_key(public)
        .serial_number(_serial(public))
        .not_valid_before(now.astimezone(dt.UTC).replace(microsecond=0))
        .not_valid_after(NO_END)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(), critical=True)
        .add_extension(x509.ExtendedKeyUsage([DOCUMENT_SIGNING]), critical=False)
        .add_extension(identifier, critical=False)
    )


def short_name(name: str) -> str:
    """As much of a name as a certificate has room for."""
    return name.strip().encode("utf-8")[:LONGEST_NAME].decode("utf-8", "ignore").rstrip()


def _subject(name: str) -> x509.Name:
    short = short_name(name)
    return x509.Name(
        [
            x509.NameAttribute(NameOID.ORGANIZATION_NAME, short),
            x509.NameAttribute(NameOID.COMMON_NAME, short),
        ]
    )


def _serial(public: Any) -> int:
    """A positive serial of at most 20 octets (RFC 5280 section 4.1.2.2), from the public key's digest."""
    return int.from_bytes(hashlib.sha256(_spki(public)).digest()[:19]) | 1


def _spki(public: Any) -> bytes:
    encoding, form = serialization.Encoding.DER, serialization.PublicFormat.SubjectPublicKeyInfo
    return cast(bytes, public.public_bytes(encoding, form))


def _usage() -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=True,
        content_commitment=True,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=False,
        crl_sign=False,
        encipher_only=False,
        decipher_only=False,
    )


def algorithm_of(key: Any) -> str:
    """The algorithm a private or public key signs with. Raises KeyFileError for a kind not in the format."""
    if isinstance(key, ec.EllipticCurvePrivateKey | ec.EllipticCurvePublicKey):
        if isinstance(key.curve, ec.SECP256R1):
            return "ES256"
    elif isinstance(key, ed25519.Ed25519PrivateKey | ed25519.Ed25519PublicKey):
        return "Ed25519"
    elif type(key).__name__.startswith("MLDSA65"):  # by name: the class is not in every build
        return "ML-DSA-65"
    raise key_error("wrong_kind", kind=type(key).__name__)


def public_jwk(public: Any) -> Jwk:
    """The public JWK (RFC 7517) of a loaded public key, with `alg` and `kid`."""
    name = algorithm_of(public)
    if isinstance(public, ec.EllipticCurvePublicKey):
        numbers = public.public_numbers()
        return algorithms.jwk(name, numbers.x.to_bytes(32), numbers.y.to_bytes(32))
    return algorithms.jwk(name, public.public_bytes_raw())


def fingerprint_words(kid: str) -> str:
    """A thumbprint as it is read over the telephone: eight groups of five digits.

    The first 16 bytes of the thumbprint, two bytes a group, each group the number 00000 to 65535. It carries
    128 bits: nobody can make another key with the same digits.
    """
    digest = base64url.decode(kid)
    return " ".join(f"{int.from_bytes(digest[i : i + 2]):05d}" for i in range(0, 16, 2))


def workshop_id(workshop: Workshop, signers: Sequence[Signer]) -> WorkshopId:
    """The workshop as it stands in a record: contacts, the signers' keys, the signatures required."""
    return WorkshopId(
        name=workshop.name,
        address=workshop.address,
        telephone=workshop.telephone,
        email=workshop.email,
        website=workshop.website,
        verification_page=workshop.verification_page,
        keys=tuple(signer.public for signer in signers),
        signatures=tuple(signer.alg for signer in signers),
    )
