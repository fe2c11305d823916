"""How a dossier's file is laid out: the fixed bytes around the objects (FORMAT.md, container).

    header; objects in order of number, nothing between them; xref table; trailer; startxref; %%EOF

One revision, classic cross-reference table (ISO 32000-1 7.5.4), no object streams. Attachments' streams
are unfiltered. Writer and reader share this module, so that they cannot drift apart.
"""

from __future__ import annotations

import datetime as dt
import re

from dossier.container.values import Name, Ref, Value, serialize

HEADER = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"  # the comment: ISO 19005-1 6.1.2
ROOT = 1  # number of the catalogue
OBJECT_END = b"\nendobj\n"
STREAM = b"\nstream\n"
STREAM_END = b"\nendstream" + OBJECT_END
CARRIAGE_RETURN = b"\r"
XREF_FREE = b"0000000000 65535 f \n"
ENTRY_LENGTH = 20
FIELD_NAME = "Signature1"
TIME_FIELD_NAME = "TimeStamp%d"  # from 1
# ISO 32000-1 7.12: the developer extension that PAdES signatures in a PDF 1.7 file declare.
EXTENSION: Value = {Name("/ESIC"): {Name("/BaseVersion"): Name("/1.7"), Name("/ExtensionLevel"): 1}}

_ATTACHED = re.compile(
    rb"<< /Length (0|[1-9]\d{0,9}) /Params << /ModDate \((D:\d{14}Z)\) /Size (0|[1-9]\d{0,9}) >> "
    rb"/Subtype (/[!-~]+) /Type /EmbeddedFile >>"
)
_TAIL = re.compile(rb"startxref\n([1-9]\d{0,9})\n%%EOF\n")


def object_start(number: int) -> bytes:
    return b"%d 0 obj\n" % number


def whole_object(number: int, value: Value) -> bytes:
    """An object that is no stream."""
    return object_start(number) + serialize(value) + OBJECT_END


def stream_start(number: int, entries: dict[Name, Value], length: int) -> bytes:
    """What stands before a stream's bytes; `stream_end` stands after them."""
    return object_start(number) + serialize({**entries, Name("/Length"): length}) + STREAM


def stream_end(last: bytes) -> bytes:
    """What stands after a stream whose last byte is `last` (or none).

    A carriage return at the end of the bytes would be read as half of the end of line, and the stream as one
    byte shorter than its /Length (ISO 32000-1 7.3.8.1, ISO 19005-3 6.1.7.1): such a stream has an end of line
    of two bytes.
    """
    return CARRIAGE_RETURN + STREAM_END if last == CARRIAGE_RETURN else STREAM_END


def date_string(when: dt.datetime) -> str:
    """A moment as the one form of date that stands in a dossier (ISO 32000-1 7.9.4)."""
    return when.astimezone(dt.UTC).strftime("D:%Y%m%d%H%M%SZ")


def attached_entries(media_type: str, size: int, modified: str) -> dict[Name, Value]:
    """The dictionary of an attachment's stream (ISO 32000-1 tables 45 and 46). `modified`: "D:...Z"."""
    return {
        Name("/Type"): Name("/EmbeddedFile"),
        Name("/Subtype"): Name("/" + media_type),
        Name("/Params"): {Name("/ModDate"): modified.encode("ascii"), Name("/Size"): size},
    }


def read_attached(text: bytes) -> tuple[int, str] | None:
    """Length and date of an attachment's dictionary, or None when it is not one."""
    found = _ATTACHED.fullmatch(text)
    if found is None or found[1] != found[3]:
        return None
    return int(found[1]), found[2].decode("ascii")


def xref_table(offsets: list[int]) -> bytes:
    """The table for objects 1, 2, 3 ... at `offsets`."""
    head = b"xref\n0 %d\n" % (len(offsets) + 1)
    return head + XREF_FREE + b"".join(b"%010d 00000 n \n" % offset for offset in offsets)


def xref_length(count: int) -> int:
    """The length of the table for `count` objects."""
    return len(b"xref\n0 %d\n" % (count + 1)) + ENTRY_LENGTH * (count + 1)


def trailer(size: int, info: int, identifier: Value, xref_at: int) -> bytes:
    """All that stands after the table. `info` 0: none."""
    entries: dict[Name, Value] = {
        Name("/Size"): size,
        Name("/Root"): Ref(ROOT),
        Name("/ID"): identifier,
    }
    if info:
        entries[Name("/Info")] = Ref(info)
    return b"trailer\n" + serialize(entries) + tail(xref_at)


def tail(xref_at: int) -> bytes:
    return b"\nstartxref\n%d\n%%%%EOF\n" % xref_at


def read_tail(last: bytes) -> int | None:
    """The offset said by startxref in the last bytes of a file, or None when they are not a tail."""
    at = last.rfind(b"startxref\n")
    found = _TAIL.fullmatch(last, at) if at >= 0 else None
    return int(found[1]) if found else None
