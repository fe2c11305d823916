"""What is signed beside a record: a workshop's key card, statements about a record, an owner's receipt.

Each kind has a `typ` of its own (FORMAT.md section 16), so that a signature made for one never
serves as another. Days are whole calendar dates in UTC ("2026-11-25"); both ends of a span are inside it.
Invariant: what a key card's renewal may say has no place for keys: a day-to-day key cannot change them.
"""

from __future__ import annotations

from typing import Annotated, Literal, get_args

from msgspec import Meta

from dossier.model.record import DAY_PATTERN, RECORD_PATTERN, Sha256Hex, Signature
from dossier.model.rows import Row

TYP_CARD = "restoration-key-card+jws"
TYP_RENEWAL = "restoration-key-card-renewal+jws"
TYP_HANDOVER = "restoration-recovery-handover+jws"
TYP_STATEMENT = "restoration-statement+jws"
TYP_RECEIPT = "restoration-receipt+jws"

Day = Annotated[str, Meta(pattern=f"^{DAY_PATTERN}$")]
DayOrNone = Annotated[str, Meta(pattern=f"^({DAY_PATTERN})?$")]
RecordId = Annotated[str, Meta(pattern=f"^{RECORD_PATTERN}$")]

KeyState = Literal["in use", "retired", "compromised"]
StatementKind = Literal[
    "correction",
    "supersession",
    "withdrawal",
    "aftercare",
    "lost or stolen",
    "found again",
    "paper receipt",
]
STATEMENT_KINDS: tuple[StatementKind, ...] = get_args(StatementKind)


class CardKey(Row, frozen=True, kw_only=True):
    """One key of a workshop. `since`: the first day it signed; `until`: the last, where it is retired.

    `compromised_from`: the first day on which others may have had it. `marks`: whose key, by staff mark.
    """

    key: dict[str, str]  # public JWK
    state: KeyState
    since: Day
    until: DayOrNone = ""
    compromised_from: DayOrNone = ""
    marks: tuple[str, ...] = ()


class Required(Row, frozen=True, kw_only=True):
    """From a day on a record needs a signature of each of these algorithms."""

    since: Day
    algorithms: tuple[str, ...]


class Person(Row, frozen=True, kw_only=True):
    """Somebody of the workshop, and since and until when."""

    mark: str
    name: str = ""
    since: DayOrNone = ""
    until: DayOrNone = ""


class Closed(Row, frozen=True, kw_only=True):
    """The workshop has closed: since when, and who holds its archive."""

    since: Day
    archive: str


class KeyCard(Row, frozen=True, kw_only=True):
    """A workshop's keys and how to reach it. Signed by the recovery keys and by every key in use."""

    format: str
    number: Annotated[int, Meta(ge=1, le=1_000_000)]  # a later card has a higher one
    issued: Day
    expires: Day
    name: str
    address: str = ""
    telephone: str = ""
    verification_page: str = ""
    recovery: Annotated[tuple[dict[str, str], ...], Meta(min_length=1, max_length=3)]  # public JWKs
    keys: Annotated[tuple[CardKey, ...], Meta(min_length=1, max_length=100)]
    required: tuple[Required, ...] = ()
    people: tuple[Person, ...] = ()
    closed: Closed | None = None


class Renewal(Row, frozen=True, kw_only=True):
    """A later date up to which a card holds, and who works there now. Signed by a key in use."""

    format: str
    card: Sha256Hex  # digest of the card's payload
    number: Annotated[int, Meta(ge=1, le=1_000_000)]
    issued: Day
    expires: Day
    people: tuple[Person, ...] = ()


class Handover(Row, frozen=True, kw_only=True):
    """Recovery keys and those that take their place. Signed by all of both."""

    format: str
    issued: Day
    old: Annotated[tuple[dict[str, str], ...], Meta(min_length=1, max_length=3)]  # public JWKs
    new: Annotated[tuple[dict[str, str], ...], Meta(min_length=1, max_length=3)]


class Signer(Row, frozen=True, kw_only=True):
    """Who signs a statement: a name as they give it, and their public keys."""

    name: str = ""
    keys: Annotated[tuple[dict[str, str], ...], Meta(min_length=1, max_length=4)]


class RecordNamed(Row, frozen=True, kw_only=True):
    """A record by its number and its digest."""

    record: RecordId
    sha256: Sha256Hex


class Scan(Row, frozen=True, kw_only=True):
    """A picture of a signed paper. It shows ink; it is no signature that can be checked."""

    name: str
    bytes: int
    sha256: Sha256Hex
    media_type: str


class Statement(Row, frozen=True, kw_only=True):
    """What a workshop says of one of its records afterwards. The record itself is never edited."""

    format: str
    statement: RecordId
    kind: StatementKind
    iat: int
    about: RecordNamed
    reason: str
    rows: tuple[str, ...] = ()  # rows of the record that a correction speaks of, as "parts/7"
    replaced_by: RecordNamed | None = None  # of a supersession
    scan: Scan | None = None  # of a paper receipt
    workshop: Signer


class Receipt(Row, frozen=True, kw_only=True):
    """An owner's own signature over the digest of a record: "I received this record"."""

    format: str
    receipt: RecordId
    iat: int
    about: RecordNamed
    owner: Signer


class SignedForm(Row, frozen=True, kw_only=True):
    """A signed object as it stands in a file: the payload's bytes and its signatures."""

    payload: bytes
    signatures: tuple[Signature, ...]
