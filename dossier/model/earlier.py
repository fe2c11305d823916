"""An earlier record as the flow opened and checked it, handed to the account.

Not here: reading and checking it. Invariant: `payload` is what the workshop of that record signed.
"""

from __future__ import annotations

import msgspec

from dossier.model.record import Payload
from dossier.model.statements import StatementKind
from dossier.model.words import Checked


class SaidLater(msgspec.Struct, frozen=True, kw_only=True):
    """What its workshop said of an earlier record later, as people read it."""

    kind: StatementKind
    date: str
    reason: str
    rows: str = ""  # what a correction is about: "part 9, mark 1"


class EarlierOpened(msgspec.Struct, frozen=True, kw_only=True):
    payload: Payload
    sha256: str  # digest of the record (SHA-256 of the payload's bytes, hex)
    checked: Checked
    path: str = ""  # as typed in the job
    later: tuple[SaidLater, ...] = ()
