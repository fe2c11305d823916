"""A PDF file as text: values, objects, and the file around them (ISO 32000-1, 7.3 and 7.5).

One value has one form: tokens stand one space apart, keys are sorted, a string is literal where it is plain
ASCII and hexadecimal elsewhere. Objects follow each other in order of number, then a classic cross-reference
table: the plainest file for readers to come. Not done here: reading, encryption, object streams, updates.

In a value a dictionary's keys have their slash, a `str` is a text string, and `bytes` are a string of bytes.

Invariant: nothing is beyond the limits of an archivable file (ISO 19005-3, 6.1.13).
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import Any, NamedTuple

HEADER = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"  # the comment: ISO 19005-1, 6.1.2
MOST_BYTES = 32_767  # of a string
MOST_IN_NAME = 127  # bytes
MOST_OBJECTS = 8_388_607
_PLAIN = re.compile(r"[ -~]*")
_SPECIAL = re.compile(r"[()\\]")
_NOT_IN_NAMES = re.compile(r"[^!-~]|[()<>\[\]{}/%#]")

# What PDFDocEncoding has at 18 to 1F and at 80 to A0 (ISO 32000-1, D.2); all else below 100 is Latin-1.
_ODD = {
    0x18: "\u02d8\u02c7\u02c6\u02d9\u02dd\u02db\u02da\u02dc",
    0x80: "\u2022\u2020\u2021\u2026\u2014\u2013\u0192\u2044\u2039\u203a\u2212\u2030\u201e\u201c\u201d\u2018"
    "\u2019\u201a\u2122\ufb01\ufb02\u0141\u0152\u0160\u0178\u017d\u0131\u0142\u0153\u0161\u017e",
    0xA0: "\u20ac",
}
_DOC_CODES = {ord(c): first + n for first, characters in _ODD.items() for n, c in enumerate(characters)}
_LATIN = re.compile(r"[\x00-\x17\x20-\x7e\xa1-\xac\xae-\xff]*")
_MARKS = (b"\xfe\xff", b"\xff\xfe", b"\xef\xbb\xbf")  # a string that begins so is in Unicode


_SAID = 8_000  # letters: two in UTF-16 for each still are a string


class BeyondLimitsError(ValueError):
    """Something is larger than an archivable file may hold; `begins` with these letters, if it is a text."""

    def __init__(self, what: str, begins: str = "") -> None:
        super().__init__(f"{what} is larger than an archivable PDF may hold")
        self.begins = begins


def shortened(text: str) -> str:
    """What is said of something, short enough for a string: for what stands in full on the page."""
    return text if len(text) <= _SAID else f"{text[: _SAID - 1].rstrip()}\u2026"


class Name(str):
    """A name without its slash."""

    __slots__ = ()


class Ref(NamedTuple):
    """A reference to an object; generations are always 0."""

    number: int


def text(value: Any) -> str:
    """The one form of a value. Raises TypeError for what is none."""
    try:
        return _WRITERS[type(value)](value)
    except KeyError:
        raise TypeError(f"no PDF value: {type(value).__name__}") from None


def _dictionary(entries: Mapping[str, Any]) -> str:
    return (
        f"<< {' '.join([f'{key} {text(entries[key])}' for key in sorted(entries)])} >>"
        if entries
        else "<< >>"
    )


def _array(items: Any) -> str:
    return f"[ {' '.join(map(text, items))} ]" if items else "[ ]"


@lru_cache(maxsize=512)
def _name(name: str) -> str:
    if len(name.encode()) > MOST_IN_NAME:
        raise BeyondLimitsError("a name", name[:40])
    return "/" + _NOT_IN_NAMES.sub(lambda found: "".join(f"#{b:02x}" for b in found[0].encode()), name)


def _real(value: float) -> str:
    """At most six decimals; a whole number as one."""
    found = f"{value:.6f}".rstrip("0").rstrip(".")
    return "0" if found == "-0" else found


def _text_string(string: str) -> str:
    """Literal where it is plain, else by PDFDocEncoding where that has it all, else UTF-16 (7.9.2.2)."""
    if _PLAIN.fullmatch(string) and len(string) <= MOST_BYTES:
        return f"({_SPECIAL.sub(_escaped, string)})"
    translated = string if _LATIN.fullmatch(string) else _in_doc_encoding(string)
    found = translated.encode("latin-1") if translated is not None else b""
    if translated is None or found.startswith(_MARKS):
        found = b"\xfe\xff" + string.encode("utf-16-be")
    if len(found) > MOST_BYTES:
        raise BeyondLimitsError("a text", string[:40])
    return _string(found)


def _in_doc_encoding(string: str) -> str | None:
    """`string` with the codes of PDFDocEncoding for characters, or None where it lacks one."""
    rest = string.translate(dict.fromkeys(_DOC_CODES))
    return string.translate(_DOC_CODES) if _LATIN.fullmatch(rest) else None


def _string(string: bytes) -> str:
    if len(string) > MOST_BYTES:
        raise BeyondLimitsError("a string of bytes")
    plain = string.decode("latin-1")
    return f"({_SPECIAL.sub(_escaped, plain)})" if _PLAIN.fullmatch(plain) else f"<{string.hex()}>"


def _escaped(found: re.Match[str]) -> str:
    return "\\" + found[0]


_WRITERS: dict[type, Callable[[Any], str]] = {
    dict: _dictionary,
    list: _array,
    tuple: _array,
    Ref: lambda ref: f"{ref.number} 0 R",
    Name: _name,
    str: _text_string,
    bytes: _string,
    bool: lambda value: "true" if value else "false",
    int: str,
    float: _real,
    type(None): lambda _: "null",
}


class File:
    """Objects 1, 2, 3 ... of a file in the making; the first is its catalogue."""

    def __init__(self) -> None:
        self._objects: list[str | tuple[bytes, ...]] = []

    def reserve(self) -> Ref:
        """For an object that is put later."""
        return Ref(self.reserve_number())

    def reserve_number(self) -> int:
        self._objects.append("")
        return len(self._objects)

    def put(self, ref: Ref, value: Any) -> None:
        self.put_text(ref.number, text(value))

    def put_text(self, number: int, written: str) -> None:
        """An object whose text is made already."""
        self._objects[number - 1] = written

    def add(self, value: Any) -> Ref:
        ref = self.reserve()
        self.put(ref, value)
        return ref

    def stream(self, data: bytes, entries: Mapping[str, Any]) -> Ref:
        """`data` as it is, already in the filters that `entries` name.

        A carriage return at its end would be read as half of the end of line (7.3.8.1; ISO 19005-3, 6.1.7.1):
        such a stream has an end of line of two bytes.
        """
        head = text({**entries, "/Length": len(data)}).encode("ascii") + b"\nstream\n"
        end = b"\r\nendstream" if data.endswith(b"\r") else b"\nendstream"
        self._objects.append((head, data, end))
        return Ref(len(self._objects))

    def whole(self, info: Ref, identifier: bytes) -> bytes:
        """The bytes of the file; `identifier` is that of the document, whatever version of it this is."""
        if len(self._objects) > MOST_OBJECTS:
            raise BeyondLimitsError("the number of objects")
        parts, offsets, at = [HEADER], [], len(HEADER)
        for number, written in enumerate(self._objects, 1):
            made = _object(number, written)
            parts += made
            offsets.append(at)
            at += sum(map(len, made))
        digest = hashlib.sha256()
        for part in parts:
            digest.update(part)
        end = {
            "/ID": [identifier, digest.digest()[:16]],
            "/Info": info,
            "/Root": Ref(1),
            "/Size": len(offsets) + 1,
        }
        parts.append(_table(offsets))
        parts.append(f"trailer\n{text(end)}\nstartxref\n{at}\n%%EOF\n".encode("ascii"))
        return b"".join(parts)


def _object(number: int, written: str | tuple[bytes, ...]) -> tuple[bytes, ...]:
    if isinstance(written, str):
        return (f"{number} 0 obj\n{written}\nendobj\n".encode("ascii"),)
    return (b"%d 0 obj\n" % number, *written, b"\nendobj\n")


def _table(offsets: list[int]) -> bytes:
    """The cross-reference table (7.5.4): 20 bytes an entry."""
    rows = "".join([f"{offset:010} 00000 n \n" for offset in offsets])
    return f"xref\n0 {len(offsets) + 1}\n0000000000 65535 f \n{rows}".encode("ascii")
