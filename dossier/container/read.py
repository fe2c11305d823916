"""Reads a dossier's PDF that anyone may have made, strictly: only the form that `write` gives is in order.

What is off is a finding; what cannot be read at all raises UnreadableError with a code (`said`). Nothing is
decoded, no attachment is read, no byte is written: time and memory stay bounded whatever the file holds.
Not done here: whether the signature holds (`seal.pdf`), whether attachments have the digests the record says.

The first revision is what is read. Behind it only time-stamps of the one form may stand
(`time_revisions`), which change nothing that is shown; other bytes are never interpreted, and that they are
there is a finding, with the pages whose objects they change (`later`).
"""

from __future__ import annotations

import re
from array import array
from collections.abc import Iterable, Iterator
from pathlib import Path

import msgspec

from dossier.container import later, layout, time_revisions
from dossier.container.graph import Document
from dossier.container.layout import ROOT
from dossier.container.rules import look_over
from dossier.container.said import finding, unreadable
from dossier.container.scan import Objects, by_table, by_walking, value_of
from dossier.container.structure import (
    Look,
    covers,
    look_at_annotations,
    look_at_attachments,
    look_at_catalogue,
    look_at_outline,
    look_at_pages,
    look_at_signature,
    look_for_strays,
    look_for_unused,
)
from dossier.container.values import Name, Ref, Value, parse
from dossier.container.window import Window, opened
from dossier.errors import NotCanonicalError
from dossier.model.container import (
    AttachmentFound,
    ContainerFinding,
    DocumentTimeStamp,
    DossierFile,
    Limits,
    ListChanged,
)

DEFAULT_LIMITS = Limits()
_TRAILER_ROOM = 4096
_REFERS = re.compile(
    rb" ([1-9]\d{0,9}) 0 R"
)  # in strings too: all strings but those of attachments are compared


def read_dossier(path: Path, limits: Limits = DEFAULT_LIMITS) -> DossierFile:
    """The container at `path`: attachments, signature, findings. Raises UnreadableError."""
    with opened(path, limits) as window:
        objects, sight = _first_revision(window, limits)
        signed_end, end_findings = _look_at_end(objects)
        stamps, last = _time_stamps(objects, signed_end)
        end = last.size
        look = Look(objects)
        look_at_catalogue(look)
        pages = look_at_pages(look)
        look_at_outline(look)
        look_at_annotations(look, pages)
        attachments = look_at_attachments(look)
        look_for_strays(look, sight.attaching, sight.associating)
        look_for_unused(look, sight.refers)
        changed = later.look(objects, end, (objects.xref_at, last.xref_at))
        touched = changed.numbers
        signature = look_at_signature(look, signed_end if stamps else window.size)
        return DossierFile(
            size=window.size,
            pages=len(pages),
            attachments=attachments,
            signature=signature,
            time_stamps=stamps,
            findings=(
                *end_findings,
                *_what_follows(window, end, limits),
                *_located(objects, sight.broken),
                *look.findings,
            ),
            changed_pages=_changed_pages(objects, touched),
            changed_names=tuple(
                dict.fromkeys(look.attached[n] for n in sorted(touched) if n in look.attached)
            ),
            changed_lists=_changed_lists(look, touched),
            changes_certain=changed.certain,
            revision_end=end,
            is_signed=signature is not None and covers(signature, objects.xref_at, signed_end),
        )


def bytes_of(path: Path, found: AttachmentFound) -> bytes:
    """What an attachment of the file at `path` holds; its length is the caller's to bound. Raises OSError."""
    with path.open("rb") as file:
        file.seek(found.offset)
        return file.read(found.length)


def page_digests(path: Path, limits: Limits = DEFAULT_LIMITS) -> list[str]:
    """SHA-256 (hex) over each page's decoded content and resources. Raises UnreadableError."""
    with opened(path, limits) as window:
        return Document(objects_of(window, limits)).page_digests()


def objects_of(window: Window, limits: Limits) -> Objects:
    """The objects that `read_dossier` reads, without looking at what they hold. Raises UnreadableError."""
    _refuse_other_files(window, limits)
    listed = by_table(window, limits)
    if listed is not None and listed.fill_the_file():
        return listed
    objects = by_walking(window, limits) or listed
    if objects is None:
        raise unreadable("not-a-dossier")
    return objects


def revision_end(objects: Objects) -> int:
    """Where the revision that `objects` are of ends."""
    return _look_at_end(objects)[0]


def _first_revision(window: Window, limits: Limits) -> tuple[Objects, Sight]:
    """The first revision's objects by the table, or by walking where that finds more of them whole."""
    _refuse_other_files(window, limits)
    listed = by_table(window, limits)
    sight = _look_at_objects(listed) if listed else Sight()
    if listed is None or sight.broken.get("object"):
        walked = by_walking(window, limits)
        if walked is not None:
            return walked, _look_at_objects(walked)
        if listed is None:
            raise unreadable("encrypted" if _says_encrypted(window) else "not-a-dossier")
    return listed, sight


def _refuse_other_files(window: Window, limits: Limits) -> None:
    start = window.read(0, 1024)
    if not start.startswith(b"%PDF-"):
        raise unreadable("bytes-before" if b"%PDF-" in start else "not-pdf")
    last = window.read(max(0, window.size - 1024), 1024)
    if b"%%EOF" not in last and by_walking(window, limits) is None:
        raise unreadable("truncated")


def _says_encrypted(window: Window) -> bool:
    return b"/Encrypt" in window.read(max(0, window.size - _TRAILER_ROOM), _TRAILER_ROOM)


def _look_at_end(objects: Objects) -> tuple[int, list[ContainerFinding]]:
    """Where the revision ends, and whether table and trailer are the ones that belong to the objects."""
    window = objects.window
    findings: list[ContainerFinding] = []
    if window.read(0, len(layout.HEADER)) != layout.HEADER:
        findings.append(finding("header"))
    table = layout.xref_table(list(objects.offsets))
    after = objects.xref_at + len(table)
    if window.read(objects.xref_at, len(table)) != table:
        findings.append(finding("xref"))
    text = window.read(after, _TRAILER_ROOM)
    if b"/Encrypt" in text:
        raise unreadable("encrypted")
    length = _trailer_length(text, objects)
    if length is None:
        if findings and findings[0].code == "header":  # neither its beginning nor its end is a dossier's
            raise unreadable("not-a-dossier")
        findings.append(finding("trailer"))
        found = text.find(b"%%EOF\n")
        length = found + 6 if found >= 0 else window.size - after
    return after + length, findings


def _time_stamps(objects: Objects, end: int) -> tuple[tuple[DocumentTimeStamp, ...], time_revisions.State]:
    """Those behind a revision that ends at `end`, and the file as far as the last of them."""
    first = time_revisions.state_of(objects, end)
    stamps, state = time_revisions.read(objects.window, objects.limits, first)
    return tuple(stamps), state


def _trailer_length(text: bytes, objects: Objects) -> int | None:
    """The length of the trailer at the start of `text`, or None when it is not exactly what is written."""
    end = text.find(b"\nstartxref\n")
    try:
        entries = parse(text[len(b"trailer\n") : end])
    except NotCanonicalError:
        return None
    info = entries.get(Name("/Info")) if isinstance(entries, dict) else None
    identifier = entries.get(Name("/ID")) if isinstance(entries, dict) else None
    if not _is_identifier(identifier):
        return None
    number = info.number if isinstance(info, Ref) else 0
    wanted = layout.trailer(objects.count + 1, number, identifier, objects.xref_at)
    return len(wanted) if text.startswith(wanted) else None


def _is_identifier(value: Value) -> bool:
    """Two strings of 16 bytes, which have no room for words."""
    return isinstance(value, list) and len(value) == 2 and all(map(_is_half, value))


def _is_half(value: Value) -> bool:
    return isinstance(value, bytes) and len(value) == 16


def _what_follows(window: Window, end: int, limits: Limits) -> Iterator[ContainerFinding]:
    if end < window.size:
        last = max(end, window.size - _TRAILER_ROOM)  # where readers look for the way in
        both = (window.read(end, limits.tail_bytes), window.read(last, _TRAILER_ROOM))
        yield finding("later-revision" if any(map(later.is_revision, both)) else "bytes-after-end")


class Sight(msgspec.Struct):
    """What was seen in passing over all objects, as their numbers; `broken` by the code of what is off."""

    attaching: list[int] = msgspec.field(default_factory=list)
    associating: list[int] = msgspec.field(default_factory=list)
    refers: list[array[int]] = msgspec.field(default_factory=list)  # of each object, from 1
    broken: dict[str, list[int]] = msgspec.field(default_factory=dict)
    text_bytes: int = 0


def _look_at_objects(objects: Objects) -> Sight:
    """Every object once, in order."""
    sight = Sight()
    for number in range(1, objects.count + 1):
        sight.refers.append(array("Q"))
        for code in _look_at_object(objects, number, sight):
            sight.broken.setdefault(code, []).append(number)
        if sight.text_bytes > objects.limits.structure_bytes:
            raise unreadable("too-large")
    return sight


def _look_at_object(objects: Objects, number: int, sight: Sight) -> Iterable[str]:
    try:
        piece = objects.piece(number)
        value = value_of(piece)
    except NotCanonicalError:
        return ["object"]
    if piece.is_slot:
        return [] if number == objects.count else ["second-signature"]
    sight.text_bytes += len(piece.text)
    sight.refers[-1].extend(map(int, _REFERS.findall(piece.text)))
    seen = look_over(value)
    if seen.attaches:
        sight.attaching.append(number)
    if seen.associates:
        sight.associating.append(number)
    return sorted(seen.codes)


def _located(objects: Objects, broken: dict[str, list[int]]) -> list[ContainerFinding]:
    if not broken:
        return []
    places = _places(objects, {number for numbers in broken.values() for number in numbers})
    return [
        finding(code, *dict.fromkeys(places[number] for number in numbers[:20]))
        for code, numbers in broken.items()
    ]


def _places(objects: Objects, numbers: set[int]) -> dict[int, str]:
    """What a person would call each object: the page it belongs to, or its number."""
    places = {number: f"object {number}" for number in numbers}
    document = Document(objects)
    for page in range(len(document.pages), 0, -1):
        for number in document.reached(page) & numbers:
            places[number] = f"page {page}"
    if ROOT in places:
        places[ROOT] = "catalogue"
    return places


def _changed_pages(objects: Objects, touched: frozenset[int]) -> tuple[int, ...]:
    """The pages that hold one of them."""
    if not touched:
        return ()
    document = Document(objects)
    return tuple(page for page in range(1, len(document.pages) + 1) if document.reached(page) & touched)


def _changed_lists(look: Look, touched: frozenset[int]) -> tuple[ListChanged, ...]:
    """Whether the list of pages is one of them, and the catalogue, which leads to all others."""
    pages = look.root.get(Name("/Pages"))
    numbers: dict[ListChanged, int] = {
        "pages": pages.number if isinstance(pages, Ref) else 0,
        "catalogue": ROOT,
    }
    return tuple(name for name, number in numbers.items() if number in touched)
