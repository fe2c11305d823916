"""Writes a dossier: finished pages and their attachments as one PDF of one revision.

Memory stays flat: attachments go through in pieces, each once, and are hashed on the way, as is the whole for
its signature, while the disk takes what was written before. Written to a file beside the target, flushed,
signed in place by the caller's `sign`, then renamed: a failed run leaves what was there before. Not done
here: making the signature. Same arguments, same bytes, up to what `sign` puts in.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import io
import os
import stat
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from dossier.container.attachment import Attachment, is_safe_name
from dossier.container.body import Body
from dossier.container.layout import (
    EXTENSION,
    HEADER,
    attached_entries,
    date_string,
    object_start,
    stream_end,
    stream_start,
    trailer,
    whole_object,
    xref_table,
)
from dossier.container.values import Name, Ref, Value, text_string
from dossier.durable import flush, move
from dossier.errors import ChangedError, OutputError, UsageError
from dossier.model import signature_slot
from dossier.words import Catalogue

if TYPE_CHECKING:
    from _hashlib import HASH

__all__ = ["Attachment", "write_dossier"]

CHUNK = 1 << 20
_BEHIND = 32 << 20  # bytes that may wait for the disk
WORDS = Catalogue()


def write_dossier(
    target: Path,
    pages_pdf: bytes,
    attachments: Sequence[Attachment],
    sign: Callable[[Path, HASH], None] | None,
) -> None:
    """Write `target` from finished tagged pages (with an unsigned field Signature1) and attachments.

    The pages are in the form of CONTAINER.md, sections 1 and 2, with no attachments of their own.

    `sign` gets the path of the finished file, whose signature slot is still blank, and the SHA-256 of all
    that stands before the slot, and fills it in place; None writes no slot. Raises UsageError for names that
    may not be, OutputError when it cannot be written, ChangedError when an attachment is not
    what it was said to be.
    """
    ordered = _in_order(attachments)
    with _beside(target) as (path, file):
        before = _write(file, Body(pages_pdf), ordered, slot=sign is not None)
        flush(file)
        if sign is not None:
            sign(path, before)


@contextlib.contextmanager
def _beside(target: Path) -> Iterator[tuple[Path, BinaryIO]]:
    """A temporary file in the target's folder that becomes the target when all went well."""
    path = target.parent / f".{target.name}.{os.getpid()}.partial"
    try:
        path.unlink(missing_ok=True)
        with path.open("xb") as file:
            yield path, file
        move(path, target, replace=True)
    except OSError as error:
        why = error.strerror or error
        raise OutputError(WORDS.say("container.write.failed", file=target, why=why)) from error
    finally:
        path.unlink(missing_ok=True)


def _in_order(attachments: Sequence[Attachment]) -> list[Attachment]:
    """Sorted as a names tree asks (ISO 32000-1 7.9.6); refuses names that could mean another file."""
    for attachment in attachments:
        if not is_safe_name(attachment.name):
            raise UsageError(WORDS.say("container.write.name", name=attachment.name))
    ordered = sorted(attachments, key=lambda a: a.name.encode("ascii"))
    if len({a.name.lower() for a in ordered}) != len(ordered):
        raise UsageError(WORDS.say("container.write.twice"))
    return ordered


def _write(file: BinaryIO, body: Body, attachments: list[Attachment], *, slot: bool) -> HASH:
    """The SHA-256 of what stands before the slot."""
    first_spec = body.count + 1
    first_stream = first_spec + len(attachments)
    _join_attachments(body, attachments, first_spec)
    if slot:
        _join_signature(body, first_stream + len(attachments))
    with ThreadPoolExecutor(2) as meanwhile:
        out = _Counted(file, meanwhile)
        out.write(HEADER)
        for whole in body.objects():
            out.write_object(whole)
        for index, attachment in enumerate(attachments):
            out.write_object(_file_spec(first_spec + index, attachment, first_stream + index))
        for index, attachment in enumerate(attachments):
            _copy_in(out, first_stream + index, attachment, meanwhile)
            out.go_behind()
        if slot:
            out.write_object(object_start(len(out.offsets) + 1))
        before = out.digest.copy()
        if slot:
            out.write(signature_slot.blank())
        _finish(out, body)
        out.catch_up()
    return before


def _finish(out: _Counted, body: Body) -> None:
    xref_at = out.position
    out.write(xref_table(out.offsets))
    out.write(trailer(len(out.offsets) + 1, body.info, body.identifier, xref_at))


class _Counted:
    """A file that knows where it is, where each object began, and the digest of it all."""

    def __init__(self, file: BinaryIO, meanwhile: ThreadPoolExecutor) -> None:
        self._file, self._meanwhile = file, meanwhile
        self.position = 0
        self.offsets: list[int] = []
        self.digest = hashlib.sha256()
        self._flushed = 0
        self._flushing: Future[None] | None = None

    def write(self, content: bytes | memoryview) -> None:
        self._file.write(content)
        self.digest.update(content)
        self.position += len(content)

    def write_object(self, content: bytes | memoryview) -> None:
        self.offsets.append(self.position)
        self.write(content)

    def go_behind(self) -> None:
        """Has the disk begin on what was written, so that the last flush has not all of it to wait for."""
        busy = self._flushing is not None and not self._flushing.done()
        if self.position - self._flushed >= _BEHIND and not busy:
            self.catch_up()
            self._flushed = self.position
            self._flushing = self._meanwhile.submit(flush, self._file)

    def catch_up(self) -> None:
        """Raises OSError, which the disk says once only (fsync(2)), so that the last flush would miss it."""
        if self._flushing is not None:
            self._flushing.result()


def _join_attachments(body: Body, attachments: list[Attachment], first_spec: int) -> None:
    """/AF and the names tree of the catalogue (ISO 19005-3 6.8)."""
    if not attachments:
        return
    refs = [Ref(first_spec + index) for index in range(len(attachments))]
    pairs: list[Value] = []
    for attachment, ref in zip(attachments, refs, strict=True):
        pairs += [attachment.name.encode("ascii"), ref]
    names = body.root.setdefault(Name("/Names"), {})
    assert isinstance(names, dict)
    names[Name("/EmbeddedFiles")] = {Name("/Names"): pairs}
    body.root[Name("/AF")] = list(refs)


def _join_signature(body: Body, number: int) -> None:
    body.signature_field()[Name("/V")] = Ref(number)
    body.root[Name("/Extensions")] = EXTENSION


def _file_spec(number: int, attachment: Attachment, stream: int) -> bytes:
    name = attachment.name.encode("ascii")
    return whole_object(
        number,
        {
            Name("/Type"): Name("/Filespec"),
            Name("/F"): name,
            Name("/UF"): name,
            Name("/AFRelationship"): Name("/" + attachment.relationship),
            Name("/Desc"): text_string(attachment.description),
            Name("/EF"): {Name("/F"): Ref(stream), Name("/UF"): Ref(stream)},
        },
    )


def _copy_in(out: _Counted, number: int, attachment: Attachment, meanwhile: ThreadPoolExecutor) -> None:
    """The attachment's bytes, as they are, in pieces; refused when they are not what was said."""
    entries = attached_entries(attachment.media_type, attachment.size, date_string(attachment.created))
    out.write_object(stream_start(number, entries, attachment.size))
    digest, size, last = hashlib.sha256(), 0, b""
    for piece in pieces(attachment.source):
        own = meanwhile.submit(digest.update, piece)
        size += len(piece)
        last = bytes(piece[-1:])
        out.write(piece)
        own.result()
    if size != attachment.size or digest.hexdigest() != attachment.sha256:
        name = attachment.source.name if isinstance(attachment.source, Path) else attachment.name
        said = WORDS.say("container.write.changed", name=name)
        raise ChangedError(said, hint=WORDS.say("container.write.changed_hint"))
    out.write(stream_end(last))


def pieces(source: bytes | Path, most: int = CHUNK) -> Iterator[memoryview]:
    """Each, of at `most` so many bytes, is overwritten by the next.

    Raises ChangedError, and no OSError, which would be one of writing.
    """
    try:
        if isinstance(source, Path) and not stat.S_ISREG(source.stat().st_mode):  # a pipe has no end
            raise OSError(errno.EINVAL, os.strerror(errno.EINVAL))
        with io.BytesIO(source) if isinstance(source, bytes) else source.open("rb", buffering=0) as file:
            buffer = memoryview(bytearray(most))
            while count := file.readinto(buffer):
                yield buffer[:count]
    except OSError as error:
        said = WORDS.say("container.write.unread", file=source, why=error.strerror or error)
        raise ChangedError(said) from None
