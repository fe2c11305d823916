"""Statements about a record, and an owner's receipt: made, and read with their signatures checked.

A record is never edited; what a workshop learns or decides afterwards it says in a signed statement of its
own kind (FORMAT.md section 17). Not done here: whether the signer may speak about the record, and what
follows (`verifying.statements`). Invariants: a statement holds only when every key it names has signed it;
text of a hostile file is bounded by the file's own bound.
"""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Sequence

import msgspec

from dossier.errors import UnreadableError
from dossier.model.record import FORMAT_VERSION, LAST_SECOND, moment
from dossier.model.statements import (
    TYP_RECEIPT,
    TYP_STATEMENT,
    Receipt,
    RecordNamed,
    Scan,
    SignedForm,
    Statement,
    StatementKind,
)
from dossier.model.statements import Signer as Who
from dossier.seal import signed
from dossier.seal.keys import Signer

LONGEST_REASON = 4000  # characters
ID_BYTES = 16


class Wanted(msgspec.Struct, frozen=True, kw_only=True):
    """What a statement shall say."""

    kind: StatementKind
    about: RecordNamed
    reason: str
    rows: tuple[str, ...] = ()
    replaced_by: RecordNamed | None = None
    scan: Scan | None = None


class Read(msgspec.Struct, frozen=True):
    """A statement or receipt at hand. `faults`: codes of what does not hold; `kids`: whose signature does."""

    value: Statement | Receipt
    form: SignedForm
    faults: tuple[str, ...]

    @property
    def kids(self) -> tuple[str, ...]:
        return () if self.faults else tuple(key["kid"] for key in _who(self.value).keys)

    @property
    def algorithms(self) -> tuple[str, ...]:
        """Of `kids`, in their order."""
        return () if self.faults else tuple(key["alg"] for key in _who(self.value).keys)

    @property
    def said_on(self) -> dt.date:
        """The day it bears, by its signer's own clock."""
        return moment(self.value.iat).date()


def state(wanted: Wanted, name: str, signers: Sequence[Signer], *, iat: int, chance: bytes) -> bytes:
    """The file of a statement. `chance`: 16 random bytes for its number. Raises UnreadableError."""
    value = Statement(
        format=FORMAT_VERSION,
        statement=_number(chance),
        iat=iat,
        workshop=_named(name, signers),
        **msgspec.structs.asdict(wanted),
    )
    return _own_check(signed.write(signed.sign(value, signers, TYP_STATEMENT)))


def acknowledge(about: RecordNamed, name: str, signer: Signer, *, iat: int, chance: bytes) -> bytes:
    """The file of an owner's receipt over the digest of a record. `chance`: 16 random bytes."""
    value = Receipt(
        format=FORMAT_VERSION, receipt=_number(chance), iat=iat, about=about, owner=_named(name, [signer])
    )
    return _own_check(signed.write(signed.sign(value, [signer], TYP_RECEIPT)))


def looks_like(data: bytes) -> bool:
    """Whether a file is laid out as a statement or receipt; in a record's JSON form a header comes first."""
    return data.startswith(b'{"payload":') and b'"signatures":[{"protected":' in data


def read(data: bytes) -> Read | None:
    """A statement or receipt, None where the file is another signed object. Raises UnreadableError."""
    form = signed.read(data)
    typ = signed.typ_of(form)
    if typ not in (TYP_STATEMENT, TYP_RECEIPT):
        return None
    value = signed.value_of(Statement, form) if typ == TYP_STATEMENT else signed.value_of(Receipt, form)
    if not _fits(value):
        raise UnreadableError("", code="signed-shape")
    return Read(value, form, signed.faults(form, _who(value).keys, typ))


def _fits(value: Statement | Receipt) -> bool:
    """Whether what goes with the kind is there, and nothing that belongs to another kind."""
    if not 0 <= value.iat <= LAST_SECOND:
        return False
    if isinstance(value, Receipt):
        return True
    goes = (
        bool(value.replaced_by) == (value.kind == "supersession")
        and bool(value.scan) == (value.kind == "paper receipt")
        and (not value.rows or value.kind == "correction")
    )
    return goes and value.reason.strip() != "" and len(value.reason) <= LONGEST_REASON


def _who(value: Statement | Receipt) -> Who:
    return value.workshop if isinstance(value, Statement) else value.owner


def _named(name: str, signers: Sequence[Signer]) -> Who:
    return Who(name=name, keys=tuple(signer.public for signer in signers))


def _number(chance: bytes) -> str:
    """A random number (RFC 9562 section 5.4) from 16 random bytes."""
    return uuid.UUID(bytes=chance[:ID_BYTES], version=4).urn


def _own_check(data: bytes) -> bytes:
    made = read(data)
    if made is None or made.faults:
        raise UnreadableError("", code="signed-shape")
    return data
