"""PDF values in one canonical text: one value, one form (FORMAT.md, container).

Tokens stand one space apart; dictionary keys are sorted by their bytes and never repeated, no value of a
dictionary is null; strings are literal when all their bytes are printable ASCII, else lower-case
hexadecimal; names escape only what ISO 32000-1 7.3.5 asks, in lower case; no comments.

Here a name is a `Name` with its slash, a string is bytes, a real is a Decimal. Streams are not values:
`layout` puts them together. Invariant: `parse(text)` either raises or `serialize(parse(text)) == text`.
"""

from __future__ import annotations

import re
from decimal import Decimal
from itertools import pairwise
from typing import NamedTuple, TypeAlias

from dossier.errors import NotCanonicalError


class Name(str):
    """A PDF name with its slash, its bytes as Latin-1."""

    __slots__ = ()


class Ref(NamedTuple):
    """A reference to an object; generations are always 0."""

    number: int


Value: TypeAlias = "bool | int | Decimal | Name | bytes | Ref | list[Value] | dict[Name, Value] | None"

MAX_DEPTH = 40
_DELIMITERS = frozenset(b"()<>[]{}/%#")
_TOKEN = re.compile(
    rb"""<<|>>|\[|\]|R|true|false|null
    |/(?:[!-"$&'*-.0-;=?-Z\\^-z|~]|\#[0-9a-f]{2})*
    |\((?:[ -'*-\[\]-~]|\\[()\\])*\)
    |<(?:[0-9a-f]{2})+>
    |-?(?:0|[1-9][0-9]{0,17})(?:\.[0-9]{1,18})?""",
    re.VERBOSE,
)
_PRINTABLE = re.compile(rb"[ -~]*")
_NAMES: dict[str, bytes] = {}
_WORDS: dict[bytes, bool | None] = {b"true": True, b"false": False, b"null": None}


def serialize(value: Value) -> bytes:
    """The canonical text of `value`."""
    out: list[bytes] = []
    _write(value, out)
    return b" ".join(out)


def parse(text: bytes) -> Value:
    """The value whose canonical text is exactly `text`. Raises NotCanonicalError."""
    tokens = _TOKEN.findall(text)
    if b" ".join(tokens) != text:
        raise NotCanonicalError("not one canonical value")
    return _build(tokens)


def name_text(name: str) -> bytes:
    """A name as it is written."""
    known = _NAMES.get(name)
    if known is None:
        known = b"/" + b"".join(_name_byte(b) for b in name[1:].encode("latin-1"))
        if len(_NAMES) < 4096 and len(name) < 40:  # bounded: names repeat
            _NAMES[name] = known
    return known


def string_text(string: bytes) -> bytes:
    """A string as it is written."""
    if _PRINTABLE.fullmatch(string):
        return b"(" + re.sub(rb"([()\\])", rb"\\\1", string) + b")"
    return b"<" + string.hex().encode() + b">"


def text_of(string: bytes) -> str:
    """A text string (ISO 32000-1 7.9.2.2) as text; bytes outside ASCII and UTF-16 become "?"."""
    if string.startswith(b"\xfe\xff"):
        return string[2:].decode("utf-16-be", errors="replace")
    return string.decode("ascii", errors="replace").replace("\ufffd", "?")


def text_string(text: str) -> bytes:
    """Text as a text string: ASCII where it can be, else UTF-16 with its mark."""
    if text.isascii() and text.isprintable():
        return text.encode("ascii")
    return b"\xfe\xff" + text.encode("utf-16-be")


def _name_byte(byte: int) -> bytes:
    if 0x21 <= byte <= 0x7E and byte not in _DELIMITERS:
        return bytes((byte,))
    return b"#%02x" % byte


def _write(value: Value, out: list[bytes]) -> None:
    if isinstance(value, dict):
        out.append(b"<<")
        for key in sorted(value):
            out.append(name_text(key))
            _write(value[key], out)
        out.append(b">>")
    elif isinstance(value, list):
        out.append(b"[")
        for item in value:
            _write(item, out)
        out.append(b"]")
    else:
        out.append(b"%d 0 R" % value.number if isinstance(value, Ref) else _atom_text(value))


def _atom_text(value: bool | int | Decimal | Name | bytes | None) -> bytes:
    if isinstance(value, Name):
        return name_text(value)
    if isinstance(value, bytes):
        return string_text(value)
    if isinstance(value, Decimal):
        return _real_text(value)
    if value is None:
        return b"null"
    if isinstance(value, bool):
        return b"true" if value else b"false"
    return b"%d" % value


def _real_text(value: Decimal) -> bytes:
    text = format(value, "f")
    return (text if "." in text else text + ".0").encode("ascii")


def _build(tokens: list[bytes]) -> Value:
    """One value from its tokens, without recursion."""
    stack: list[tuple[bytes, list[Value]]] = []
    items: list[Value] = []
    for token in tokens:
        if token in {b"<<", b"["}:
            stack.append((token, items))
            items = []
            if len(stack) > MAX_DEPTH:
                raise NotCanonicalError(f"nested deeper than {MAX_DEPTH}")
        elif token in {b">>", b"]"}:
            opened, outer = stack.pop() if stack else (b"", [])
            outer.append(_closed(opened, token, items))
            items = outer
        elif token == b"R":
            _take_ref(items)
        else:
            items.append(_atom(token))
    if stack or len(items) != 1:
        raise NotCanonicalError("not exactly one value")
    return items[0]


def _closed(opened: bytes, token: bytes, items: list[Value]) -> Value:
    if opened == b"[" and token == b"]":
        return items
    if opened != b"<<" or token != b">>" or len(items) % 2:
        raise NotCanonicalError("brackets do not match")
    keys, values = items[::2], items[1::2]
    names = [key for key in keys if isinstance(key, Name)]
    if len(names) != len(keys) or any(a >= b for a, b in pairwise(names)):
        raise NotCanonicalError("dictionary keys are not sorted names")
    if None in values:
        raise NotCanonicalError("null in a dictionary")
    return dict(zip(names, values, strict=True))


def _take_ref(items: list[Value]) -> None:
    generation = items.pop() if items else None
    number = items.pop() if items else None
    if type(number) is not int or type(generation) is not int or generation != 0 or number < 1:
        raise NotCanonicalError("not a reference")
    items.append(Ref(number))


_ATOMS: dict[bytes, Value] = {}


def _atom(token: bytes) -> Value:
    known = _ATOMS.get(token)
    if known is not None:
        return known
    value = _read_atom(token)
    if len(_ATOMS) < 4096 and len(token) < 40:  # bounded: names and small numbers repeat
        _ATOMS[token] = value
    return value


def _read_atom(token: bytes) -> Value:
    head = token[:1]
    value: bool | int | Decimal | Name | bytes | None
    if head == b"/":
        value = Name(re.sub(rb"#(..)", _unescape, token).decode("latin-1"))
    elif head == b"(":
        value = re.sub(rb"\\(.)", rb"\1", token[1:-1])
    elif head == b"<":
        value = bytes.fromhex(token[1:-1].decode("ascii"))
    elif token in _WORDS:
        return _WORDS[token]
    else:
        value = Decimal(token.decode()) if b"." in token else int(token)
    if _atom_text(value) != token:
        raise NotCanonicalError(f"not in canonical form: {token[:40]!r}")
    return value


def _unescape(match: re.Match[bytes]) -> bytes:
    return bytes.fromhex(match[1].decode("ascii"))
