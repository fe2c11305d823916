"""The code on the page: a link whose fragment is a small signed summary of the record (FORMAT.md section 7).

`<verification page>#<base64url of a COSE_Sign1>` (RFC 9052 section 4.2, ES256, typ by RFC 9596), at most 450
characters so that it prints as one code. Not done here: drawing and reading pictures of codes.
Invariants: deterministic CBOR (RFC 8949 section 4.2.1); `read` takes exactly what `make` can give.
"""

from __future__ import annotations

import datetime as dt
import re
import uuid
from collections.abc import Iterable
from typing import Any

import cbor2
import msgspec
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

from dossier.model.record import TYP_CODE, OpenRecord, Payload
from dossier.model.result import Check
from dossier.model.words import NOW, Now
from dossier.seal import algorithms, base64url, cbor
from dossier.seal.algorithms import Jwk
from dossier.seal.cbor import NotCborError
from dossier.seal.codes import check_of
from dossier.seal.graphemes import ELLIPSIS, shortened
from dossier.seal.keys import Signer, public_jwk
from dossier.seal.names import other_page
from dossier.seal.said import key_error, unreadable, usage_error
from dossier.seal.standing import Signing, naming
from dossier.seal.trust import NOBODY, Trust, key_status
from dossier.words import Catalogue

LONGEST = 450  # characters of the whole code
LONGEST_OBJECT = 60  # characters of the object's text, before it is cut to fit
SHORTEST_OBJECT = 12
VERSION = 2
_SIGNATURE_BYTES = 64

_ALG, _TYP, _ES256 = 1, 16, -7  # RFC 9052 section 3.1, RFC 9596 section 2, RFC 9053 section 2.1
_PROTECTED = cbor2.dumps({_ALG: _ES256, _TYP: TYP_CODE}, canonical=True)
# What a code begins with: tag 18, an array of four, the protected header, an empty unprotected one (RFC 9052
# sections 2 and 4.2). Payload and signature follow.
_BEFORE = b"\xd2\x84" + cbor2.dumps(_PROTECTED) + b"\xa0"
_PAGE = re.compile(r"(https?://[!-~]+)?")  # printable ASCII; "" where the workshop has no such page
_DATE = re.compile(r"(?!0000)([0-9]{4})(?:-(0[1-9]|1[0-2])(?:-(0[1-9]|[12][0-9]|3[01]))?)?")

Range = tuple[int, int]

# The counts on a code of each version, in order: which states of the account of parts each adds up. What was
# treated, has a new surface or was renewed in part is never one figure; in the first version it was.
_KEPT: frozenset[Now] = frozenset({"original, left as found", "original, no work recorded"})
_TREATED: frozenset[Now] = frozenset({"original, treated"})
_SURFACE: frozenset[Now] = frozenset({"original, new surface"})
_RENEWED: frozenset[Now] = frozenset({"original, part renewed"})
_NEW: frozenset[Now] = frozenset({"new, like for like", "new, with a difference", "new, likeness not known"})
_NOT_KNOWN: frozenset[Now] = frozenset({"not known"})
_WORKED_ON = _TREATED | _SURFACE | _RENEWED
_OTHERS: frozenset[Now] = frozenset(NOW) - _KEPT - _WORKED_ON - _NEW - _NOT_KNOWN
_LAST = {"new": _NEW, "not_known": _NOT_KNOWN, "others": _OTHERS}
COUNTED: dict[int, dict[str, frozenset[Now]]] = {
    1: {"kept": _KEPT, "worked_on": _WORKED_ON, **_LAST},
    2: {"kept": _KEPT, "treated": _TREATED, "new_surface": _SURFACE, "part_renewed": _RENEWED, **_LAST},
}


class CodeSummary(msgspec.Struct, frozen=True):
    """What a code says; dates ISO 8601 as far as known, "" where not said.

    `counts`: of pieces, by the names of `COUNTED` for its version and in their order.
    """

    page: str
    record: str  # urn:uuid
    digest: str  # SHA-256 of the record's payload, hex
    public: Jwk
    object: str
    received: str
    returned: str
    counts: dict[str, Range]
    job: str
    version: int = VERSION
    payload: bytes = b""  # the signed CBOR
    signature: bytes = b""


def make(payload: Payload, digest: str, signer: Signer, page: str) -> str:
    """The text of the code. `digest` is the SHA-256 of the sealed payload in hex.

    The object's text is cut where it does not fit. Raises UsageError where it cannot fit even so or where
    `page` cannot stand in a link, KeyFileError where the key is not P-256.
    """
    if signer.alg != "ES256":
        raise key_error("code_needs_p256")
    data = _fitted(_summary(payload, digest, signer.public, page))
    return _text(page, data, signer.sign(_to_sign(data)))


def has_room(payload: Payload, page: str) -> None:
    """Raises UsageError where `make` would, whoever signs: the other members are of one length."""
    anybody = public_jwk(ec.derive_private_key(1, ec.SECP256R1()).public_key())
    _fitted(_summary(payload, bytes(32).hex(), anybody, page))


def _fitted(summary: CodeSummary) -> bytes:
    """The signed array, with as much of the object's text as there is room for."""
    page = summary.page
    if not _PAGE.fullmatch(page) or "#" in page:
        raise usage_error("page", page=page)
    for room in range(LONGEST_OBJECT, SHORTEST_OBJECT - 1, -1):
        data = _array(msgspec.structs.replace(summary, object=shortened(summary.object, room)))
        length = len(_text(page, data, bytes(_SIGNATURE_BYTES)))
        if length <= LONGEST:
            return data
    raise usage_error("code_too_long", length=length, most=LONGEST, page=len(page), job=len(summary.job))


def read(text: str) -> CodeSummary:
    """What a code says, read strictly. Raises UnreadableError (`code-shape`, `not-canonical`)."""
    page, mark, fragment = text.partition("#")
    if len(text) > LONGEST or not mark or not _PAGE.fullmatch(page):
        raise unreadable("code-shape")
    data = base64url.decode(fragment)
    if not data.startswith(_BEFORE):
        raise unreadable("code-shape")
    try:
        payload, signature = cbor.decode_two(data[len(_BEFORE) :])
        return _said(page, payload, signature)
    except (
        NotCborError,
        TypeError,
        ValueError,
        AttributeError,
    ):  # a member of another kind than its place has
        raise unreadable("code-shape") from None


def check(
    summary: CodeSummary,
    words: Catalogue,
    *,
    trust: Trust = NOBODY,
    record: OpenRecord | None = None,
    today: dt.date | None = None,
) -> tuple[Check, ...]:
    """Check the code's signature and key, and against `record` where that is at hand.

    Nothing else on the paper is checked, and nothing says that the record is still current.
    """
    holds = _holds(summary)
    code = "code-signature-matches" if holds else "code-signature-wrong"
    kids = (summary.public["kid"],) if holds else ()
    answers = [check_of(code, words), key_status(Signing(kids, today=today), holds, trust, words)]
    if record is not None:
        answers.append(check_of(_against(summary, record), words))
    card = naming(trust.cards, kids)
    named = record.payload.workshop.verification_page if record else card and card.card.verification_page
    return (*answers, *other_page(summary.page, named or "", words))


def _object_text(payload: Payload) -> str:
    kind, title = payload.object.type, payload.object.title
    if not title or not kind or kind.casefold() in title.casefold():
        return title or kind
    return f"{kind}: {title}"


def _summary(payload: Payload, digest: str, public: Jwk, page: str, version: int = VERSION) -> CodeSummary:
    return CodeSummary(
        page=page,
        record=payload.record,
        digest=digest,
        public=public,
        object=_object_text(payload),
        received=_date(_day(payload.dates.received)),
        returned=_date(_day(payload.dates.returned)),
        counts={name: _counted(payload, states) for name, states in COUNTED[version].items()},
        job=payload.job,
        version=version,
    )


def _array(summary: CodeSummary) -> bytes:
    """The signed array of FORMAT.md section 7.2."""
    members = [
        summary.version,
        uuid.UUID(summary.record).bytes,
        bytes.fromhex(summary.digest),
        _compressed(summary.public),
        summary.object,
        _day(summary.received),
        _day(summary.returned),
        *(low if low == high else [low, high] for low, high in summary.counts.values()),
        summary.job,
    ]
    return bytes(cbor2.dumps(members, canonical=True))


def _counted(payload: Payload, states: Iterable[Now]) -> Range:
    lines = [line for line in payload.account if line.now in states]
    return sum(line.pieces_low for line in lines), sum(line.pieces_high for line in lines)


def _day(text: str) -> int:
    """A date as the number yyyymmdd, with 00 for a month or day not known and 0 for no date."""
    match = _DATE.fullmatch(text)
    return int("".join(part or "00" for part in match.groups())) if match else 0


def _date(number: int) -> str:
    """The date of a number yyyymmdd."""
    if not number:
        return ""
    text = f"{number:08d}"
    return "-".join(part for part in (text[:4], text[4:6], text[6:]) if part != "00")


def _compressed(public: Jwk) -> bytes:
    """SEC 1 section 2.3.3: the compressed point, 33 bytes."""
    key = algorithms.load_public(public)
    return bytes(key.public_bytes(Encoding.X962, PublicFormat.CompressedPoint))


def _to_sign(payload: bytes) -> bytes:
    """The Sig_structure of RFC 9052 section 4.4, without external data."""
    return bytes(cbor2.dumps(["Signature1", _PROTECTED, b"", payload], canonical=True))


def _text(page: str, payload: bytes, signature: bytes) -> str:
    sign1 = _BEFORE + cbor2.dumps(payload) + cbor2.dumps(signature)
    return f"{page}#{base64url.encode(sign1)}"


def _said(page: str, payload: bytes, signature: bytes) -> CodeSummary:
    """The summary of a signed array. Members of a wrong kind raise whatever they give."""
    summary = msgspec.structs.replace(
        _from_array(page, cbor.decode(payload)), payload=payload, signature=signature
    )
    if _array(summary) != payload or len(signature) != _SIGNATURE_BYTES or not isinstance(signature, bytes):
        raise ValueError("not what would be written")
    return summary


def _from_array(page: str, array: list[Any]) -> CodeSummary:
    version, record, digest, point, text, received, returned, *counts, job = array
    if version not in COUNTED:
        raise ValueError
    if not isinstance(text, str) or not isinstance(job, str):
        raise TypeError
    return CodeSummary(
        page=page,
        record=uuid.UUID(bytes=record).urn,
        digest=digest.hex(),
        public=_public(point),
        object=text,
        received=_date(received),
        returned=_date(returned),
        counts=dict(zip(COUNTED[version], map(_range, counts), strict=True)),
        job=job,
        version=version,
    )


def _public(point: bytes) -> Jwk:
    return public_jwk(ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), point))


def _range(value: Any) -> Range:
    low, high = value if isinstance(value, list) else (value, value)
    if not 0 <= low <= high:
        raise ValueError
    return low, high


def _holds(summary: CodeSummary) -> bool:
    if algorithms.is_high_s(summary.signature):
        return False
    public = algorithms.load_public(summary.public)  # it was a point of the curve when it was read
    return algorithms.verifies("ES256", public, summary.signature, _to_sign(summary.payload))


def _against(summary: CodeSummary, record: OpenRecord) -> str:
    """The code of the answer: another record, other words, or this record's own words."""
    if (summary.record, summary.digest) != (record.payload.record, record.digest):
        return "code-other-record"
    own = _summary(record.payload, record.digest, summary.public, summary.page, summary.version)
    said = msgspec.structs.replace(summary, object=own.object, payload=b"", signature=b"")
    known = any(key.get("kid") == summary.public["kid"] for key in record.payload.workshop.keys)
    its_own = said == own and _is_whole_or_cut(summary.object, own.object)
    return "code-matches-record" if its_own and known else "code-other-words"


def _is_whole_or_cut(said: str, own: str) -> bool:
    """Where a text is cut is the writer's matter, and may be another place by a later Unicode."""
    beginning = said.removesuffix(ELLIPSIS)
    return said == own or (said != beginning != "" and own.startswith(beginning))
