"""The codes of a time-stamp's check (FORMAT.md section 8, check 9) and the error that carries one."""

from __future__ import annotations

from functools import partial

from dossier.errors import UnreadableError
from dossier.model.result import CheckName
from dossier.seal.codes import Codes, answer_of

TIME: CheckName = "time-stamps"
MATCHES = "time-stamp-matches"
NOT_CONFIRMED = "time-stamp-authority-not-confirmed"
RAN_OUT = "time-stamp-ran-out"
NOT_READ = "time-stamp-not-read"
OTHER_WAY = "time-stamp-algorithm"
AHEAD = "time-stamp-dated-ahead"

CODES: Codes = {
    MATCHES: (TIME, "matches"),
    NOT_CONFIRMED: (TIME, "could not tell"),
    RAN_OUT: (TIME, "could not tell"),
    NOT_READ: (TIME, "could not tell"),
    AHEAD: (TIME, "could not tell"),
    "time-stamp-before-signing": (TIME, "could not tell"),
    OTHER_WAY: (TIME, "could not tell"),
    "time-stamp-of-whole": (TIME, "could not tell"),
    "time-stamp-keeps-many": (TIME, "could not tell"),
    "time-stamp-shape": (TIME, "does not match"),
    "time-stamp-other": (TIME, "does not match"),
    "time-stamp-wrong": (TIME, "does not match"),
    "time-stamp-certificate": (TIME, "does not match"),
    "time-stamp-purpose": (TIME, "does not match"),
    "time-stamp-not-valid-then": (TIME, "does not match"),
    "time-stamp-keeps-others": (TIME, "does not match"),
    "evidence-shape": (TIME, "does not match"),
    "evidence-other": (TIME, "does not match"),
}

answer = partial(answer_of, CODES, "stamp.code")


class StampError(UnreadableError):
    """A time-stamp that does not hold; `code` says in which way."""

    def __init__(self, code: str, message: str = "") -> None:
        super().__init__(message or code, code=code)
