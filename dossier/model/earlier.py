"""An earlier record as the flow opened and checked it, handed to the account.

Not here: reading and checking it. Invariant: `payload` is what the workshop of that record signed.
"""

from __future__ import annotations

import msgspec

from dossier.model.record import Payload
from dossier.model.words import Checked


class EarlierOpened(msgspec.Struct, frozen=True, kw_only=True):
    payload: Payload
    sha256: str  # digest of the record (SHA-256 of the payload's bytes, hex)
    checked: Checked
    path: str = ""  # as typed in the job
