"""A dossier under check: its PDF read once, each part hashed once, for all the checks that look at it.

Not done here: any check.
"""

from __future__ import annotations

from pathlib import Path

from dossier.container.hashing import hash_many
from dossier.container.read import bytes_of, read_dossier
from dossier.errors import DossierError, UnreadableError
from dossier.flows import dossier_files as files
from dossier.model.container import AttachmentFound, DossierFile
from dossier.words import Catalogue

SMALL = 64 << 20  # bytes of the record's files; the others are far smaller


class Dossier:
    """One dossier under check: what the container holds, read once."""

    def __init__(self, path: Path, words: Catalogue) -> None:
        self.path = path
        self.words = words
        self.file: DossierFile = read_dossier(path)
        self.by_name: dict[str, AttachmentFound] = {a.name: a for a in self.file.attachments}
        self._hash()

    def _hash(self) -> None:
        """The digest the PDF's signature covers and that of each photograph inside, on two threads."""
        inside = self.photographs()
        signature = self.file.signature
        # Other stretches may be anything; they are a finding already.
        covered = [signature.ranges] if signature and self.file.is_signed else []
        times = [stamp.ranges for stamp in self.file.time_stamps]
        stretches = [*covered, *times, *([(a.offset, a.length)] for a in inside)]
        digests = iter(hash_many(self.path, stretches))
        self.signed_digest = next(digests) if covered else b""
        self.time_stamps = [(stamp, next(digests)) for stamp in self.file.time_stamps]
        self.digests = {a.name: d.hex() for a, d in zip(inside, digests, strict=True)}

    def photographs(self) -> list[AttachmentFound]:
        return [a for a in self.file.attachments if files.PHOTOGRAPH_NAME.fullmatch(a.name)]

    def bytes_of(self, name: str) -> bytes:
        """A small attachment's bytes. Raises UnreadableError when it is not there or far too large."""
        found = self.by_name.get(name)
        if found is None or found.length > SMALL:
            raise UnreadableError(name, code="attachment-missing" if found is None else "too-large")
        return bytes_of(self.path, found)

    def drawn(self) -> files.Drawn | None:
        """How the pages were drawn, as the file says; None where that cannot be read."""
        try:
            return files.drawn_from(self.bytes_of(files.PAGES))
        except (DossierError, ValueError):
            return None

    @property
    def is_by_holder(self) -> bool:
        """Whether the file says that a holder of the record made it; its pages are then drawn again."""
        drawn = self.drawn()
        return drawn is not None and drawn.by_holder
