"""Findings and errors of the container, put into words. The codes are stable (FORMAT.md)."""

from __future__ import annotations

from dossier.errors import UnreadableError
from dossier.model.container import ContainerFinding
from dossier.words import Catalogue

WORDS = Catalogue()

# The file cannot be read as a dossier at all.
UNREADABLE = (
    "no-file",
    "not-pdf",
    "bytes-before",
    "truncated",
    "encrypted",
    "not-a-dossier",
    "too-large",
    "stream-too-large",
)
# Something in the file that the format has no place for.
FINDINGS = (
    "header",
    "xref",
    "trailer",
    "bytes-after-end",
    "later-revision",
    "object",
    "catalogue",
    "page-tree",
    "outline",
    "script",
    "action",
    "annotation",
    "optional-content",
    "form",
    "active-content",
    "attached-elsewhere",
    "attachment-list",
    "attachment-name",
    "attachment-twice",
    "attachment-stray",
    "object-unused",
    "signature-field",
    "signature-dictionary",
    "second-signature",
    "byte-range",
)


def unreadable(code: str) -> UnreadableError:
    return UnreadableError(WORDS.say(f"container.unreadable.{code}"), code=code)


def finding(code: str, *where: str) -> ContainerFinding:
    """`where` as plain text, whatever kind of text it was: a name of the PDF goes into no JSON."""
    places = tuple(map(str, where))
    return ContainerFinding(code=code, text=WORDS.say(f"container.finding.{code}"), where=places)
