"""The result of a check: numbered checks in one documented order, each with three possible answers."""

from __future__ import annotations

from typing import Literal

import msgspec

Verdict = Literal["matches", "does not match", "could not tell", "not applicable"]

# The order is FORMAT.md's; the numbers are stable.
CheckName = Literal[
    "container",
    "attachments",
    "manifest",
    "record signatures",
    "key status",
    "disclosures",
    "pages against record",
    "PDF signature",
    "time-stamps",
    "earlier records",
    "superseded or withdrawn",
    "owner's receipt",  # given only where a receipt is at hand
]
CHECK_NUMBERS: dict[CheckName, int] = {
    "container": 1,
    "attachments": 2,
    "manifest": 3,
    "record signatures": 4,
    "key status": 5,
    "disclosures": 6,
    "pages against record": 7,
    "PDF signature": 8,
    "time-stamps": 9,
    "earlier records": 10,
    "superseded or withdrawn": 11,
    "owner's receipt": 12,
}


class Check(msgspec.Struct, frozen=True, kw_only=True):
    """One answer. `code` is stable and for machines; `text` is a plain sentence; `where` names the place."""

    check: CheckName
    verdict: Verdict
    code: str
    text: str = ""
    where: tuple[str, ...] = ()  # photograph names, record members, page numbers

    @property
    def number(self) -> int:
        return CHECK_NUMBERS[self.check]


# Overall answers, worst first, with their exit codes.
Overall = Literal["unreadable", "altered", "superseded", "not confirmed", "in order"]
EXIT_CODES: dict[Overall, int] = {
    "in order": 0,  # intact, and the signer is one the reader confirmed
    "altered": 1,  # something does not match
    "not confirmed": 2,  # intact, signer not confirmed
    "superseded": 3,  # intact, but a later signed statement replaces or withdraws it
    "unreadable": 4,
}


class Result(msgspec.Struct, frozen=True, kw_only=True):
    file: str
    kind: Literal["dossier", "record", "folder", "code", "statement", "key card", "unknown"]
    overall: Overall
    unsure: bool = False  # something in the file itself could not be told
    checks: tuple[Check, ...]
    trial_key: bool = False
    object: str = ""  # what the record says it is of
    workshop: str = ""
    fingerprint: str = ""
    record: str = ""  # number of the record that was signed, or that the signed words are about
    digest: str = ""  # of that record
    said: tuple[tuple[str, str], ...] = ()  # signed words worth reading aloud: label, text
    not_in_copy: tuple[str, ...] = ()
