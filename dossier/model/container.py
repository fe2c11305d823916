"""What goes into a dossier's PDF and what is found in one: plain values shared by `container` and `seal`."""

from __future__ import annotations

from typing import Literal

import msgspec

MOST_TIME_PLACES = 9  # fields for time-stamps of later years

# ISO 19005-3 and ISO 32000-2 table 43: how an attachment stands to the document.
Relationship = Literal["Source", "Data", "Alternative", "Supplement", "Unspecified"]


ListChanged = Literal["pages", "catalogue"]


class AttachmentFound(msgspec.Struct, frozen=True, kw_only=True):
    """A file found inside: its bytes stand unfiltered at `offset`."""

    name: str
    media_type: str
    relationship: str
    description: str
    modified: str  # "D:YYYYMMDDhhmmssZ"
    offset: int
    length: int


class SignatureInfo(msgspec.Struct, frozen=True, kw_only=True):
    """A signature dictionary as it stands in the file; nothing here has been verified."""

    byte_range: tuple[int, int, int, int]
    contents: bytes  # the hexadecimal digits between "<" and ">", as they stand
    when: str = ""  # /M as it stands
    name: str = ""
    reason: str = ""
    location: str = ""

    @property
    def ranges(self) -> tuple[tuple[int, int], tuple[int, int]]:
        """(offset, length) of the two signed stretches."""
        a, b, c, d = self.byte_range
        return (a, b), (c, d)


class DocumentTimeStamp(msgspec.Struct, frozen=True, kw_only=True):
    """A time-stamp put in after signing, over all of the file before it; nothing here has been verified."""

    byte_range: tuple[int, int, int, int]
    contents: bytes  # the hexadecimal digits between "<" and ">", as they stand
    certificates: tuple[bytes, ...] = ()  # DER, kept beside it; it covers them
    lists: tuple[bytes, ...] = ()  # DER, of revoked certificates

    @property
    def ranges(self) -> tuple[tuple[int, int], tuple[int, int]]:
        """(offset, length) of the two stretches it is over."""
        a, b, c, d = self.byte_range
        return (a, b), (c, d)


class ContainerFinding(msgspec.Struct, frozen=True, kw_only=True):
    """Something in the file that the format has no place for. `code` is stable."""

    code: str
    text: str
    where: tuple[str, ...] = ()


class Limits(msgspec.Struct, frozen=True, kw_only=True):
    """How much of a file under check is looked at before it is called unreadable."""

    file_bytes: int = 9_999_999_999  # ten digits of an xref entry
    objects: int = 100_000
    object_bytes: int = 1 << 20  # one object without its stream
    structure_bytes: int = 16 << 20  # all objects without their streams
    work_bytes: int = 64 << 20  # the same, counted each time an object is looked at
    stream_bytes: int = 64 << 20  # one page stream, as stored and decoded
    decoded_bytes: int = 512 << 20  # all page streams, decoded
    pages: int = 5_000
    attachments: int = 10_000
    depth: int = 40  # of nested values, and of page and outline trees
    revision_bytes: int = 16 << 20  # one time-stamp put in later, with the lists kept beside it
    tail_bytes: int = 64 << 20  # how far after a signed revision is searched for what was changed


class DossierFile(msgspec.Struct, frozen=True, kw_only=True):
    """A dossier's PDF as a container. `findings` is empty when it is exactly what the format allows."""

    size: int
    pages: int
    attachments: tuple[AttachmentFound, ...] = ()
    signature: SignatureInfo | None = None
    time_stamps: tuple[DocumentTimeStamp, ...] = ()  # put in later, the first first
    findings: tuple[ContainerFinding, ...] = ()
    changed_pages: tuple[int, ...] = ()  # pages that later revisions touch
    changed_names: tuple[str, ...] = ()  # attachments that they touch
    changed_lists: tuple[ListChanged, ...] = ()
    changes_certain: bool = True  # whether they touch nothing else
    revision_end: int = 0  # where the revision that was read ends; `size` when nothing follows it
    is_signed: bool = (
        False  # the signature's stretches are just the revision that was read, maybe not the file
    )

    def attachment(self, name: str) -> AttachmentFound | None:
        return next((a for a in self.attachments if a.name == name), None)


class PageDifferences(msgspec.Struct, frozen=True, kw_only=True):
    """Where two sets of pages differ in decoded content and resources."""

    pages: tuple[int, ...] = ()  # numbers from 1
    counts: tuple[int, int] | None = None  # pages in the file, pages redrawn; None when equal
    others: tuple[str, ...] = ()  # "outline", "structure", "metadata", "output intent", "catalogue"

    def __bool__(self) -> bool:
        return bool(self.pages or self.counts or self.others)
