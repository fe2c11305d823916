"""The one root of what can go wrong. Each subclass is one sentence and has an exit code.

Findings about a job or a file under check are data (`model.finding`, `model.result`), never exceptions:
an exception here means "could not do it".
"""

from __future__ import annotations


class DossierError(Exception):
    """Something could not be done; the message says what happened and in which file."""

    exit_code = 70

    def __init__(self, message: str, *, hint: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint


class UsageError(DossierError):
    """The command was asked for something it cannot do as asked."""

    exit_code = 64


class JobError(DossierError):
    """The job folder has errors that must be mended before it can be compiled."""

    exit_code = 65


class ChangedError(DossierError):
    """What a run was made from is not there as it was when the run began; nothing was written."""

    exit_code = 65


class PictureError(DossierError):
    """A photograph could not be read as a picture."""

    exit_code = 65


class UnreadableError(DossierError):
    """A file given to a check could not be read as what it claims to be."""

    exit_code = 4

    def __init__(self, message: str, *, code: str = "unreadable", hint: str = "") -> None:
        super().__init__(message, hint=hint)
        self.code = code


class TooMuchError(DossierError):
    """Pages would take more to lay out than was allowed for."""


class NotCanonicalError(UnreadableError):
    """Signed bytes are not in the one form the format allows."""

    def __init__(self, message: str, *, hint: str = "") -> None:
        super().__init__(message, code="not-canonical", hint=hint)


class KeyFileError(DossierError):
    """A key or certificate file could not be used."""

    exit_code = 66


class OutputError(DossierError):
    """An output could not be written; what was there before is untouched."""

    exit_code = 73


class ArchiveError(DossierError):
    """The archive could not be read or added to."""

    exit_code = 74
