"""The files a dossier consists of: their names, kinds and how they stand to the pages (FORMAT.md, container).

Shared by the flow that writes a dossier and the flow that checks one. Pure.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Annotated, Literal

import msgspec

from dossier import canonical
from dossier.model.container import MOST_TIME_PLACES, Relationship
from dossier.model.plain import from_plain, to_plain
from dossier.model.record import NAME_PATTERN, OpenRecord
from dossier.model.rows import Row
from dossier.model.words import CopyKind
from dossier.words import Catalogue

DOSSIER = "dossier.pdf"
DRAFT = "draft.pdf"
RECORD = "record.json"
COMPACT = "record.sd-jwt"
MANIFEST = "manifest.sha256"
CERTIFICATE = "certificate.pem"
PAGES = "pages.json"
HOW_TO = "how-to-check.txt"
STAMP = "record.tsr"
MAX_RECORD = 64 << 20  # bytes of one record's file
SHEET = "sheet.pdf"
SHEET_TEXT = "sheet.txt"
SHEET_LINKED = "sheet.jsonld"
CARD = "card.pdf"
KEY_CARD = "key-card.json"  # what the workshop says of its keys; signed by itself
EVIDENCE = "record-evidence.json"  # of an archive; laid beside later
PHOTOGRAPHS = "photographs"

PHOTOGRAPH_NAME = re.compile(NAME_PATTERN)


# Name, version and way of drawing (which the first ones did not say): no room for words.
PROGRAM_FORM = r"^[a-z-]{1,20} [0-9.]{1,20}(, pages [0-9]{1,6})?\Z"


class Kind(msgspec.Struct, frozen=True):
    """How a file stands to the pages (ISO 19005-3 annex E), and its media type."""

    relationship: Relationship
    media_type: str


# Every dossier has these attached, those of `OPTIONAL` where they were made; `Source` is what the pages are
# drawn from.
ATTACHED: dict[str, Kind] = {
    RECORD: Kind("Source", "application/json"),
    COMPACT: Kind("Alternative", "application/sd-jwt"),
    MANIFEST: Kind("Data", "text/plain"),
    CERTIFICATE: Kind("Supplement", "application/x-pem-file"),
    PAGES: Kind("Supplement", "application/json"),
    HOW_TO: Kind("Supplement", "text/plain"),
    STAMP: Kind("Supplement", "application/timestamp-reply"),  # RFC 3161 section 3.4
}
OPTIONAL = frozenset({STAMP})
PHOTOGRAPH_RELATIONSHIP: Relationship = "Source"
# Beside the PDF in a dossier folder.
BESIDE = (RECORD, COMPACT, CERTIFICATE, HOW_TO, STAMP)
IN_FOLDER = frozenset({DOSSIER, DRAFT, SHEET, SHEET_TEXT, SHEET_LINKED, CARD, KEY_CARD, PHOTOGRAPHS, *BESIDE})
# File managers leave these wherever a folder is looked at or copied; they are nobody's files.
_SYSTEM_FILES = frozenset({".ds_store", "thumbs.db", "desktop.ini"})
_COMES_FROM = ":zone.identifier"  # where Windows had a file from, written out as one of its own


def described(name: str, words: Catalogue) -> str:
    """What a viewer shows beside an attachment."""
    if name in ATTACHED:
        return words.say(f"compile.attached.{name.replace('.', '_').replace('-', '_')}")
    return words.say("compile.attached.photograph", name=name)


def is_system_file(name: str) -> bool:
    lower = name.casefold()
    return lower in _SYSTEM_FILES or lower.endswith(_COMES_FROM) or name.startswith("._")


def manifest(record: OpenRecord) -> bytes:
    """The hashes of the photographs of this copy, in the form `sha256sum -c` reads."""
    return listing((p.name, p.sha256) for p in record.payload.photographs if p.name in record.photo_details)


def listing(files: Iterable[tuple[str, str]]) -> bytes:
    """Lines of digest, two spaces and name, sorted by name (GNU coreutils manual, sha256sum)."""
    return "".join(f"{digest}  {name}\n" for name, digest in sorted(files)).encode("ascii")


class Drawn(Row, frozen=True, kw_only=True):
    """`pages.json`: how the pages were drawn, so that a check can draw them again. It proves nothing."""

    program: Annotated[str, msgspec.Meta(pattern=PROGRAM_FORM)]  # what drew them, and the number of its way
    copy: CopyKind
    language: str
    paper: Literal["A4", "Letter"]
    originals: Literal["beside", "inside", "none"]
    code: str = ""  # the text of the printed code
    time_places: Annotated[int, msgspec.Meta(ge=0, le=MOST_TIME_PLACES)] = 0  # fields for later time-stamps
    by_holder: bool = False  # made of another copy, without the workshop's key


def drawn_bytes(drawn: Drawn) -> bytes:
    plain = to_plain(drawn)
    if not drawn.time_places:  # as before there were any: a dossier of that time is what it was
        plain.pop("time_places", None)
    return canonical.encode(plain)


def drawn_from(data: bytes) -> Drawn:
    """Raises NotCanonicalError or ValueError where `data` is not what `drawn_bytes` gives."""
    drawn = from_plain(Drawn, canonical.decode(data))
    if drawn_bytes(drawn) != data:
        raise ValueError("holds more than it may")
    return drawn
