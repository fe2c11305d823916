"""The one object of a dossier's PDF that is not in canonical form: the signature dictionary.

It has a fixed length, is written blank, and is filled in place, so that signing needs no second revision
and moves no byte. Fixed layout (FORMAT.md, container), between "N 0 obj\\n" and "endobj\\n":

    << /Type /Sig /Filter /Adobe.PPKLite /SubFilter /ETSI.CAdES.detached
    /ByteRange [0 a b c] and spaces up to BYTE_RANGE_ROOM
    /Contents <CONTENTS_BYTES * 2 lower-case hexadecimal digits>
    /M /Name /Reason /Location and spaces up to ENTRIES_ROOM
    >>

ISO 32000-1 12.8.1 (ByteRange excludes exactly the Contents string), ETSI EN 319 142-1 (SubFilter, /M).
"""

from __future__ import annotations

import datetime as dt
import re

from dossier.model.container import SignatureInfo

# Room for the signer's certificate, the signed data and, later, a time-stamp token with its chain.
CONTENTS_BYTES = 16_384
BYTE_RANGE_ROOM = 64
ENTRIES_ROOM = 2_048

_HEAD = b"<< /Type /Sig /Filter /Adobe.PPKLite /SubFilter /ETSI.CAdES.detached\n"
_BETWEEN = b"\n/Contents "
_END = b"\n>>\nendobj\n"
_CONTENTS_LENGTH = 2 * CONTENTS_BYTES + 2
CONTENTS_AT = len(_HEAD) + BYTE_RANGE_ROOM + len(_BETWEEN)
AFTER_CONTENTS = CONTENTS_AT + _CONTENTS_LENGTH
LENGTH = AFTER_CONTENTS + 1 + ENTRIES_ROOM + len(_END)

_NUMBER = rb"(0|-?[1-9]\d{0,17})"
_BYTE_RANGE = re.compile(rb"/ByteRange \[" + rb" ".join([_NUMBER] * 4) + rb"\] *")
_TEXT = rb"(\((?:[^()\\\x00-\x1f\x7f-\xff]|\\[()\\])*\)|<feff(?:[0-9a-f]{4})*>)"
_SAID = [rb"(?: /%s " % key + _TEXT + rb")?" for key in (b"Name", b"Reason", b"Location")]
_ENTRIES = re.compile(rb"/M \((D:\d{14}Z)\)" + b"".join(_SAID) + rb" *")


def blank() -> bytes:
    """The dictionary before signing: zeros and spaces."""
    return _join(b" " * BYTE_RANGE_ROOM, b"0" * (2 * CONTENTS_BYTES), b" " * ENTRIES_ROOM)


def byte_range(slot_at: int, file_size: int) -> tuple[int, int, int, int]:
    """The ByteRange of a slot that starts at `slot_at`: all of the file but the Contents string."""
    start, after = slot_at + CONTENTS_AT, slot_at + AFTER_CONTENTS
    return 0, start, after, file_size - after


def filled(byte_range: tuple[int, int, int, int], entries: bytes, contents: bytes = b"") -> bytes:
    """The dictionary with `entries` (see `entries`) and the CMS bytes `contents`, zero padded.

    Raises ValueError when one of them does not fit its room.
    """
    numbers = b"/ByteRange [%d %d %d %d]" % byte_range
    digits = contents.hex().encode()
    return _join(
        _room(numbers, BYTE_RANGE_ROOM),
        _room(digits, 2 * CONTENTS_BYTES, b"0"),
        _room(entries, ENTRIES_ROOM),
    )


def entries(when: dt.datetime, name: str = "", reason: str = "", location: str = "") -> bytes:
    """/M and the texts that are said, in their fixed order."""
    parts = [b"/M (" + when.astimezone(dt.UTC).strftime("D:%Y%m%d%H%M%SZ").encode() + b")"]
    for key, text in ((b"/Name ", name), (b"/Reason ", reason), (b"/Location ", location)):
        if text:
            parts.append(key + _text_string(text))
    return b" ".join(parts)


def read(slot: bytes) -> SignatureInfo | None:
    """What a filled slot says, or None when it is not laid out exactly as above."""
    at = len(_HEAD)
    numbers = _BYTE_RANGE.fullmatch(slot[at : at + BYTE_RANGE_ROOM])
    said = _ENTRIES.fullmatch(slot[AFTER_CONTENTS + 1 : AFTER_CONTENTS + 1 + ENTRIES_ROOM])
    digits = slot[CONTENTS_AT + 1 : AFTER_CONTENTS - 1]
    if numbers is None or said is None or slot != _join(numbers[0], digits, said[0]):
        return None
    a, b, c, d = (int(n) for n in numbers.groups())
    texts = [_plain_text(found) for found in said.groups()[1:]]
    return SignatureInfo(
        byte_range=(a, b, c, d),
        contents=digits,
        when=said[1].decode(),
        name=texts[0],
        reason=texts[1],
        location=texts[2],
    )


def _join(numbers: bytes, digits: bytes, said: bytes) -> bytes:
    return _HEAD + numbers + _BETWEEN + b"<" + digits + b">\n" + said + _END


def _room(content: bytes, room: int, fill: bytes = b" ") -> bytes:
    if len(content) > room:
        raise ValueError(f"{len(content)} bytes do not fit a room of {room}")
    return content.ljust(room, fill)


def _text_string(text: str) -> bytes:
    if all(" " <= c <= "~" for c in text):
        return b"(" + re.sub(rb"([()\\])", rb"\\\1", text.encode()) + b")"
    return b"<feff" + text.encode("utf-16-be").hex().encode() + b">"


def _plain_text(found: bytes | None) -> str:
    if found is None:
        return ""
    if found.startswith(b"("):
        return re.sub(rb"\\([()\\])", rb"\1", found[1:-1]).decode("ascii")
    return bytes.fromhex(found[5:-1].decode()).decode("utf-16-be", errors="replace")
