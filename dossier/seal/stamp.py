"""Time-stamps (RFC 3161): the request, the answer, the file `record.tsr`, and what a token proves.

Pure: bytes in, values out. The network is `ask_time`'s, trust in an authority `stamp_chain`'s.
`record.tsr` is a TimeStampResp of status "granted" around a token in the one form of `stamp_token`, so that
`openssl ts -verify` reads it and one time-stamp has one form.
"""

from __future__ import annotations

import datetime as dt
from typing import NamedTuple

from dossier.seal import stamp_algorithms, stamp_token
from dossier.seal.der import INTEGER, OCTETS, SEQUENCE, fields, items, one, tlv
from dossier.seal.stamp_algorithms import NAMES, Hashed
from dossier.seal.stamp_codes import StampError

NONCE_BYTES = 16
CLOCKS = dt.timedelta(hours=1)  # how far the authority's clock and one's own may lie apart
_GRANTED = tlv(SEQUENCE, tlv(INTEGER, b"\0"))
_YES = b"\x01\x01\xff"


class Stamped(NamedTuple):
    """A time-stamp that holds: who says that the bytes existed by when."""

    token: bytes
    authority: str
    time: dt.datetime
    no_later: dt.datetime  # `time` and the accuracy said, up to the second
    certificates: tuple[bytes, ...]  # DER, the authority's first


def request(data: bytes | Hashed, nonce: bytes, algorithm: str = "sha256") -> bytes:
    """A TimeStampReq over the digest of `data`, asking for the certificates (RFC 3161 section 2.4.1)."""
    digest = stamp_algorithms.digest(NAMES[algorithm], data)
    if digest is None:
        raise ValueError(f"no digest of that by {algorithm}")
    imprint = tlv(SEQUENCE, NAMES[algorithm], tlv(OCTETS, digest))
    return tlv(SEQUENCE, tlv(INTEGER, b"\x01"), imprint, tlv(INTEGER, _positive(nonce)), _YES)


def received(answer: bytes, data: bytes | Hashed, nonce: bytes, now: dt.datetime) -> bytes:
    """The token in an authority's answer to `request(data, nonce)`, checked, in its one form.

    Raises StampError: with a code of the check, or `refused`, `nonce`, `clocks`.
    """
    token = stamp_token.normal(_granted(answer))
    stamped = checked(token, data)
    if stamp_token.read(token).info.nonce != int.from_bytes(nonce):
        raise StampError("nonce")
    if abs(stamped.time - now) > CLOCKS:
        raise StampError("clocks", stamped.time.isoformat())
    return token


def checked(token: bytes, data: bytes | Hashed) -> Stamped:
    """What a token over `data` proves. Raises StampError with a code of the check."""
    found = stamp_token.read(token)
    stamp_token.check(found, data)
    time = found.info.time
    latest = time + found.info.accuracy
    return Stamped(
        token=token,
        authority=stamp_token.authority(found),
        time=time,
        no_later=(latest + dt.timedelta(microseconds=999_999)).replace(microsecond=0),
        certificates=found.certificates,
    )


def to_file(token: bytes) -> bytes:
    """`record.tsr`: the token as an answer that was granted."""
    return tlv(SEQUENCE, _GRANTED, token)


def read_file(data: bytes) -> bytes:
    """The token in a `record.tsr`. Raises StampError (`time-stamp-shape`)."""
    try:
        status, token = fields(one(data[: stamp_token.MOST_BYTES], SEQUENCE).body, (SEQUENCE, SEQUENCE))
    except (ValueError, IndexError) as error:
        raise StampError("time-stamp-shape", str(error)) from None
    if status.raw != _GRANTED:
        raise StampError("time-stamp-shape", "a status other than granted")
    return token.raw


def _granted(answer: bytes) -> bytes:
    """The token of a TimeStampResp (RFC 3161 section 2.4.2); status 0 and 1 are granted."""
    try:
        status, *token = items(one(answer[: stamp_token.MOST_BYTES], SEQUENCE).body)
        granted = next(items(status.body)).body in (b"\0", b"\x01")
    except (ValueError, IndexError, StopIteration) as error:
        raise StampError("time-stamp-shape", str(error)) from None
    if not granted or len(token) != 1:
        raise StampError("refused")
    return token[0].raw


def _positive(number: bytes) -> bytes:
    """The content of a positive INTEGER: shortest, with a leading zero where the first bit is set."""
    short = number.lstrip(b"\0") or b"\0"
    return b"\0" + short if short[0] & 0x80 else short
