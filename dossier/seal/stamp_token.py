"""A time-stamp token (RFC 3161, RFC 5816) taken apart and checked: pure bytes in, values out.

One form is read: a CMS SignedData (RFC 5652) with one signer named by issuer and serial, the signer's
certificate and those of its issuers in DER order of SET OF, no revocation lists, no unsigned attributes. The
signature covers nothing outside the signer's attributes, so what anybody could add has no place.
Not done here: trust in the authority (`stamp_chain`), the request and the file (`stamp`), the network.
Invariant: a hostile token ends in StampError, within the bounds below.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import re
from typing import NamedTuple

from cryptography import x509
from cryptography.x509.oid import ExtendedKeyUsageOID

from dossier.seal import foreign
from dossier.seal import stamp_algorithms as algorithms
from dossier.seal.der import CONTEXT_0, INTEGER, OCTETS, OID, SEQUENCE, SET, Item, fields, items, one, tlv
from dossier.seal.foreign import CERTIFICATE_ERRORS
from dossier.seal.stamp_codes import OTHER_WAY, StampError

MOST_BYTES = 1 << 16  # of a token
MOST_CERTIFICATES = 12
SIGNED_DATA = tlv(OID, bytes.fromhex("2a864886f70d010702"))
TST_INFO = tlv(OID, bytes.fromhex("2a864886f70d0109100104"))
CONTENT_TYPE = bytes.fromhex("2a864886f70d010903")
MESSAGE_DIGEST = bytes.fromhex("2a864886f70d010904")
SIGNING_CERTIFICATE = bytes.fromhex("2a864886f70d010910022f")  # signing-certificate-v2, RFC 5035
OLDER_SIGNING_CERTIFICATE = bytes.fromhex("2a864886f70d010910020c")  # signing-certificate, by SHA-1
SHA256 = algorithms.NAMES["sha256"]
_GENERALIZED_TIME = 0x18
_EXTENSIONS = 0xA1
_BOOLEAN, _FALSE = 0x01, b"\0"
_DAY = dt.timedelta(days=1)
_TIME = re.compile(r"(\d{14})(?:\.(\d{0,8}[1-9]))?Z", re.ASCII)


class Info(NamedTuple):
    """What the authority says (TSTInfo)."""

    algorithm: bytes  # DER, of the imprint
    imprint: bytes
    time: dt.datetime
    accuracy: dt.timedelta
    nonce: int | None
    critical: bool = False  # whether it bears an extension that nobody may pass over


class Token(NamedTuple):
    """A token taken apart; nothing in it has been verified but its form."""

    content: bytes  # DER of the TSTInfo
    info: Info
    certificates: tuple[bytes, ...]  # DER, the signer's first
    attributes: bytes  # content of the signed attributes
    digest_algorithm: bytes
    signature_algorithm: bytes
    signature: bytes


def read(data: bytes) -> Token:
    """Take a token apart. Raises StampError for another form than the one read."""
    token = take_apart(data)
    if put_together(token) != data:
        known = foreign.is_way_known(_loaded(token.certificates[-1]))  # else its issuers cannot be told here
        raise StampError("time-stamp-shape" if known else OTHER_WAY, "not in the one form that is read")
    return token


def normal(data: bytes) -> bytes:
    """A token as it came from an authority in the one form: without what its signature does not cover.

    What is left out: certificates that are not the signer's or an issuer's, revocation lists, unsigned
    attributes. Raises StampError.
    """
    return put_together(take_apart(data))


def without(data: bytes, known: frozenset[bytes]) -> bytes:
    """The token without a last certificate that nothing vouches for: not the signer's own, not self-issued,
    not among `known`."""
    token = read(data)
    return put_together(token._replace(certificates=_vouched(token.certificates, known)))


def check(token: Token, data: bytes | algorithms.Hashed) -> None:
    """Whether the token is over `data` and its authority's signature holds. Raises StampError."""
    _check_imprint(token.info, data)
    if token.info.critical:
        raise StampError(OTHER_WAY, "an extension that is critical")
    _check_attributes(token)
    certificate = _loaded(token.certificates[0])
    key = _public_key(certificate)
    if not algorithms.is_known(key, token.signature_algorithm, token.digest_algorithm):
        raise StampError(OTHER_WAY)
    signed = tlv(SET, token.attributes)  # RFC 5652 5.4
    if not algorithms.holds(key, token.signature, signed, token.signature_algorithm, token.digest_algorithm):
        raise StampError("time-stamp-wrong")
    _check_purpose(certificate)
    if not certificate.not_valid_before_utc <= token.info.time <= certificate.not_valid_after_utc:
        raise StampError("time-stamp-not-valid-then")


def take_apart(data: bytes) -> Token:
    """The parts of a token, also of one that holds more than the one form. Raises StampError."""
    if len(data) > MOST_BYTES:
        raise StampError("time-stamp-shape", "too large")
    try:
        return _parts(data)
    except (ValueError, IndexError, OverflowError, StopIteration) as error:
        raise StampError("time-stamp-shape", str(error)) from None


def put_together(token: Token) -> bytes:
    """The one form of a token."""
    issuer, serial = _named(token.certificates[0])
    signer = tlv(
        SEQUENCE,
        tlv(INTEGER, b"\x01"),
        tlv(SEQUENCE, issuer, serial),
        token.digest_algorithm,
        tlv(CONTEXT_0, token.attributes),
        token.signature_algorithm,
        tlv(OCTETS, token.signature),
    )
    signed = tlv(
        SEQUENCE,
        tlv(INTEGER, b"\x03"),
        tlv(SET, token.digest_algorithm),
        tlv(SEQUENCE, TST_INFO, tlv(CONTEXT_0, tlv(OCTETS, token.content))),
        tlv(CONTEXT_0, *sorted(token.certificates)),
        tlv(SET, signer),
    )
    return tlv(SEQUENCE, SIGNED_DATA, tlv(CONTEXT_0, signed))


def _parts(data: bytes) -> Token:
    kind, content = fields(one(data, SEQUENCE).body, (OID, CONTEXT_0))
    parts = list(items(one(content.body, SEQUENCE).body))
    if kind.raw != SIGNED_DATA or len(parts) not in (5, 6):  # six with revocation lists
        raise ValueError("not signed data with certificates")
    said = _content(parts[2])
    signer = list(items(one(parts[-1].body, SEQUENCE).body))
    if len(signer) not in (6, 7) or signer[3].tag != CONTEXT_0:  # seven with unsigned attributes
        raise ValueError("not one signer with signed attributes")
    given = sorted(item.raw for item in items(parts[3].body))
    return Token(
        content=said,
        info=_info(said),
        certificates=_chain(_own(given, signer[1]), given),
        attributes=signer[3].body,
        digest_algorithm=signer[2].raw,
        signature_algorithm=signer[4].raw,
        signature=signer[5].body,
    )


def _content(found: Item) -> bytes:
    kind, content = fields(found.body, (OID, CONTEXT_0))
    if kind.raw != TST_INFO:
        raise ValueError("signed data of another kind than a time-stamp")
    return one(content.body, OCTETS).body


def _info(data: bytes) -> Info:
    """TSTInfo (RFC 3161 section 2.4.2)."""
    found = list(items(one(data, SEQUENCE).body))
    version, policy, imprint, serial, time = found[:5]
    tags = (version.tag, policy.tag, serial.tag, time.tag)
    if version.body != b"\x01" or tags != (INTEGER, OID, INTEGER, _GENERALIZED_TIME):
        raise ValueError("not what a time-stamp says")
    algorithm, digest = fields(imprint.body, (SEQUENCE, OCTETS))
    others = {item.tag: item.body for item in found[5:]}
    nonce, extensions = others.get(INTEGER), list(items(others.get(_EXTENSIONS, b"")))
    when, accuracy = _time(time.body.decode("ascii")), _accuracy(others.get(SEQUENCE, b""))
    _ = when + accuracy + _DAY  # OverflowError: behind the last of all days nothing can be compared
    return Info(
        algorithm=algorithm.raw,
        imprint=digest.body,
        time=when,
        accuracy=accuracy,
        nonce=None if nonce is None else int.from_bytes(nonce, signed=True),
        critical=any(map(_is_critical, extensions)),
    )


def _is_critical(extension: Item) -> bool:
    """True by whichever bytes: DER has one form of it (X.690 section 11.1), other readers take any."""
    return any(part.tag == _BOOLEAN and part.body != _FALSE for part in items(extension.body))


def _time(text: str) -> dt.datetime:
    found = _TIME.fullmatch(text)
    if found is None:
        raise ValueError("not a time in UTC")
    whole = dt.datetime.strptime(found[1], "%Y%m%d%H%M%S").replace(tzinfo=dt.UTC)
    return whole + dt.timedelta(seconds=float(f"0.{found[2] or 0}"))


def _accuracy(body: bytes) -> dt.timedelta:
    units = {INTEGER: "seconds", 0x80: "milliseconds", 0x81: "microseconds"}
    found = {units.get(item.tag, ""): int.from_bytes(item.body, signed=True) for item in items(body)}
    if "" in found or any(not 0 <= value <= 10**7 for value in found.values()):
        raise ValueError("an accuracy that is none")
    return dt.timedelta(**found)


def _own(given: list[bytes], name: Item) -> bytes:
    """The signer's certificate. An authority may have several of one name and serial only by fault."""
    wanted = tuple(item.raw for item in fields(name.body, (SEQUENCE, INTEGER)))
    if len(given) > MOST_CERTIFICATES:
        raise ValueError("too many certificates")
    for der in given:
        if _named(der) == wanted:
            return der
    raise ValueError("the signer's certificate is not there")


def _named(certificate: bytes) -> tuple[bytes, bytes]:
    """Issuer and serial as they stand in a certificate (RFC 5280 section 4.1)."""
    body = list(items(next(items(one(certificate, SEQUENCE).body)).body))
    at = 1 if body[0].tag == CONTEXT_0 else 0
    return body[at + 2].raw, body[at].raw


def _chain(own: bytes, given: list[bytes]) -> tuple[bytes, ...]:
    """The signer's certificate, then its issuers as far as they are among those given."""
    chain, rest = [own], [der for der in given if der != own]
    while not _is_self_issued(chain[-1]):
        above = next((der for der in rest if is_issued_by(chain[-1], der)), None)
        if above is None:
            break
        rest.remove(above)
        chain.append(above)
    return tuple(chain)


def _vouched(chain: tuple[bytes, ...], known: frozenset[bytes]) -> tuple[bytes, ...]:
    while len(chain) > 1 and not _is_self_issued(chain[-1]) and chain[-1] not in known:
        chain = chain[:-1]
    return chain


def is_issued_by(lower: bytes, upper: bytes) -> bool:
    """Of two certificates (DER), as `foreign.is_issued_by`; False where one cannot be read."""
    try:
        return foreign.is_issued_by(_loaded(lower), _loaded(upper))
    except StampError:
        return False


def _is_self_issued(certificate: bytes) -> bool:
    return is_issued_by(certificate, certificate)


def _check_imprint(info: Info, data: bytes | algorithms.Hashed) -> None:
    digest = algorithms.digest(info.algorithm, data)
    if digest is None:
        raise StampError(OTHER_WAY)
    if digest != info.imprint:
        raise StampError("time-stamp-other")


def _check_attributes(token: Token) -> None:
    """Content type, digest and signer's certificate, each said once among what is signed (RFC 5652 11)."""
    try:
        said = _attributes(token.attributes)
        if said[CONTENT_TYPE] != TST_INFO:
            raise StampError("time-stamp-shape", "signed as another kind of content")
        digest = one(said[MESSAGE_DIGEST], OCTETS).body
        algorithm, certificate = _signing_certificate(said[SIGNING_CERTIFICATE])
        older = _older_signing_certificate(said)
    except (ValueError, KeyError, IndexError, StopIteration) as error:
        raise StampError("time-stamp-shape", f"signed attributes: {error}") from None
    if algorithms.digest(token.digest_algorithm, token.content) != digest:
        known = token.digest_algorithm in algorithms.DIGESTS
        raise StampError("time-stamp-wrong" if known else OTHER_WAY)
    if algorithms.digest(algorithm, token.certificates[0]) != certificate:
        known = algorithm in algorithms.DIGESTS
        raise StampError("time-stamp-certificate" if known else OTHER_WAY)
    if older not in (None, hashlib.sha1(token.certificates[0], usedforsecurity=False).digest()):
        raise StampError("time-stamp-certificate")  # each is held against it by itself (RFC 5035 section 5.4)


def _attributes(data: bytes) -> dict[bytes, bytes]:
    """The one value of each attribute, by object identifier."""
    found: dict[bytes, bytes] = {}
    for attribute in items(data):
        kind, values = fields(attribute.body, (OID, SET))
        if kind.body in found:
            raise ValueError("an attribute is there twice")
        found[kind.body] = values.body
    return found


def _signing_certificate(value: bytes) -> tuple[bytes, bytes]:
    """Algorithm (SHA-256 where none is said) and digest of the first ESSCertIDv2 (RFC 5035 section 4)."""
    first = next(items(next(items(one(value, SEQUENCE).body)).body))
    parts = list(items(first.body))
    if parts[0].tag == SEQUENCE:
        return parts[0].raw, parts[1].body
    return SHA256, parts[0].body


def _older_signing_certificate(said: dict[bytes, bytes]) -> bytes | None:
    """The digest in the first ESSCertID (RFC 2634 section 5.4), None where that attribute is not there."""
    value = said.get(OLDER_SIGNING_CERTIFICATE)
    if value is None:
        return None
    first = next(items(next(items(one(value, SEQUENCE).body)).body))
    return next(items(first.body)).body


def _check_purpose(certificate: x509.Certificate) -> None:
    """RFC 3161 section 2.3: extended key usage critical, and time-stamping alone; its key signs."""
    try:
        found = certificate.extensions.get_extension_for_class(x509.ExtendedKeyUsage)
        purposes = list(found.value)
        uses = [one.value for one in certificate.extensions if isinstance(one.value, x509.KeyUsage)]
    except CERTIFICATE_ERRORS:
        raise StampError("time-stamp-purpose") from None
    if not found.critical or purposes != [ExtendedKeyUsageOID.TIME_STAMPING]:
        raise StampError("time-stamp-purpose")
    if not all(one.digital_signature or one.content_commitment for one in uses):
        raise StampError("time-stamp-purpose")


def _loaded(der: bytes) -> x509.Certificate:
    try:
        found = x509.load_der_x509_certificate(der)
        _ = found.not_valid_before_utc, found.not_valid_after_utc  # a year 0 is found when it is asked for
        return found
    except CERTIFICATE_ERRORS as error:
        raise StampError("time-stamp-shape", f"certificate: {error}") from None


def _public_key(certificate: x509.Certificate) -> object:
    try:
        return certificate.public_key()
    except Exception:  # whatever a hostile certificate makes the library raise: its key is none we check
        return None


def authority(token: Token) -> str:
    """The authority's name as its certificate has it, for people."""
    try:
        return foreign.name_of(_loaded(token.certificates[0]).subject)
    except CERTIFICATE_ERRORS as error:
        raise StampError("time-stamp-shape", f"certificate: {error}") from None
