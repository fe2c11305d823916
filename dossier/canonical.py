"""Strict canonical JSON (JCS, RFC 8785) over strings, integers, true and false, lists and objects.

`decode` accepts exactly the bytes that `encode` gives and refuses everything else, so that one value has one
form. Not here: floats and null (the format has none), files, limits on what members mean.
Invariant: `encode(decode(data)) == data` for all bytes that `decode` accepts; size, depth and the number of
arrays and objects are bounded.
"""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from itertools import accumulate
from operator import ne
from typing import Any

import msgspec

from dossier.errors import NotCanonicalError

LARGEST_INTEGER = 2**53 - 1  # RFC 8785 section 3.2.2.3, RFC 7493 section 2.2
MAX_BYTES = 8 * 2**20
MAX_DEPTH = 32
MAX_CONTAINERS = 200_000  # arrays and objects: each takes far more memory than its two bytes

_ENCODER = json.JSONEncoder(
    ensure_ascii=False, check_circular=False, allow_nan=False, separators=(",", ":"), sort_keys=False
)

# For `_is_plainly_canonical`: strings are written as JCS writes them, members sorted by code points.
_SORTED = msgspec.json.Encoder(order="sorted")
_PLAIN = b"[]{}:,-0123456789truefalse"  # all that stands outside strings
_ZEROS = bytes.maketrans(b"123456789", b"000000000")
_LONG = b"0" * 16  # digits of an integer that may be beyond 2**53 - 1
_END_OF_BMP = re.compile(rb"[\xee\xef]")  # what UTF-8 writes U+E000 to U+FFFF with
_NOT_BRACKETS = bytes(set(range(256)) - set(b"[]{}"))
_STEPS = {ord("["): 1, ord("{"): 1, ord("]"): -1, ord("}"): -1}


class Canonical(bytes):
    """Bytes that `decode` found canonical, within its usual bounds: they need not be looked at again.

    `value`: what they were parsed to, for the first who decodes them again; others parse anew. `text`: the
    base64url that they were read from, which is the only one there is of them.
    """

    value: Any = None
    text: str = ""


def read(data: bytes) -> Canonical:
    """`data` with its value at hand for the next `decode`. Raises NotCanonicalError where `decode` does."""
    value = decode(data)
    found = Canonical(data)
    found.value = value
    return found


def encode(value: object, *, max_depth: int = MAX_DEPTH) -> bytes:
    """`value` as canonical UTF-8 bytes (RFC 8785 section 3.2).

    Takes str, int within +-(2**53 - 1), bool, list or tuple, dict with str keys, nested at most `max_depth`
    deep. Raises NotCanonicalError for anything else.
    """
    text = _ENCODER.encode(_ordered(value, max_depth))
    try:
        return text.encode("utf-8")
    except UnicodeEncodeError:
        raise NotCanonicalError("a string holds half of a surrogate pair") from None


def decode(data: bytes, *, max_bytes: int = MAX_BYTES, max_depth: int = MAX_DEPTH) -> Any:
    """The value whose canonical form is `data`. Raises NotCanonicalError for any other bytes."""
    if isinstance(data, Canonical):
        value, data.value = data.value, None
        return _parse(data) if value is None else value
    if len(data) > max_bytes:
        raise NotCanonicalError(f"{len(data)} bytes of JSON, more than the {max_bytes} allowed")
    if data.count(b"[") + data.count(b"{") > MAX_CONTAINERS:
        raise NotCanonicalError(f"more than {MAX_CONTAINERS} arrays and objects")
    value = _parse(data)
    if _is_plainly_canonical(value, data, max_depth):
        return value
    again = encode(value, max_depth=max_depth)
    if again != data:
        raise NotCanonicalError(f"not in canonical form (RFC 8785) at byte {_first_difference(data, again)}")
    return value


def decode_all(texts: Sequence[bytes]) -> list[Any] | None:
    """What `decode` gives for each of `texts`, looked at together; None where they need one look each.

    They are read as the items of one array. That each is written as it stands shows that none of them ends
    in the middle of another one's value.
    """
    joined = b"[" + b",".join(texts) + b"]"
    if len(joined) > MAX_BYTES or joined.count(b"[") + joined.count(b"{") > MAX_CONTAINERS:
        return None
    try:
        values = _parse(joined)
    except NotCanonicalError:
        return None
    if len(values) != len(texts) or any(map(ne, map(_SORTED.encode, values), texts)):
        return None
    return values if _is_plain(joined, MAX_DEPTH + 1) else None


def _is_plainly_canonical(value: Any, data: bytes, max_depth: int) -> bool:
    """Whether `data` is canonical for reasons that are quick to see; False says nothing.

    Code points and UTF-16 units sort alike but for names that begin alike and then differ in a letter of
    U+E000 to U+FFFF and one beyond the basic plane (RFC 8785 section 3.2.3).
    """
    return _SORTED.encode(value) == data and _is_plain(data, max_depth)


def _is_plain(data: bytes, max_depth: int) -> bool:
    """Whether JSON that is written as `_SORTED` writes it is canonical, as far as is quick to see."""
    if not data.isascii() and _END_OF_BMP.search(data):
        return False
    outside = _outside(data)
    return _has_plain_values(outside) and _depth(outside) <= max_depth


def _has_plain_values(outside: bytes) -> bool:
    """Whether true, false and integers of at most 15 digits are all that stands outside of strings."""
    if outside.translate(None, _PLAIN) or _LONG in outside.translate(_ZEROS):
        return False
    return outside.count(b"e") == outside.count(b"true") + outside.count(b"false")  # no exponents


def _outside(data: bytes) -> bytes:
    """JSON that parses, without its strings."""
    if b"\\" in data:
        data = data.replace(b"\\\\", b"").replace(
            b'\\"', b""
        )  # what is left of quotation marks begins and ends
    return b"".join(data.split(b'"')[::2])


def _depth(outside: bytes) -> int:
    """How deep arrays and objects nest, in JSON without its strings."""
    brackets = outside.translate(None, _NOT_BRACKETS)
    return max(accumulate(map(_STEPS.__getitem__, brackets)), default=0)


def _parse(data: bytes) -> Any:
    try:
        return msgspec.json.decode(data)
    except RecursionError:
        raise NotCanonicalError("nested too deeply") from None
    except (msgspec.DecodeError, ValueError) as error:  # ValueError: bytes that are not UTF-8
        raise NotCanonicalError(f"not JSON: {error}") from None


def _ordered(value: object, depth: int) -> object:
    """`value` with its object members in order; refuses what the format has no place for."""
    if value is True or value is False or isinstance(value, str):
        return value
    if isinstance(value, int):
        return _small(value)
    if depth == 0:
        raise NotCanonicalError("nested too deeply")
    if isinstance(value, list | tuple):
        return [_ordered(item, depth - 1) for item in value]
    if isinstance(value, dict):
        return {key: _ordered(value[key], depth - 1) for key in _sorted(value)}
    raise NotCanonicalError(f"{type(value).__name__} has no canonical form here")


def _small(value: int) -> int:
    if abs(value) > LARGEST_INTEGER:
        raise NotCanonicalError("an integer beyond 2**53 - 1")
    return int(value)


def _sorted(members: dict[Any, object]) -> list[str]:
    """Names of members by UTF-16 code units (RFC 8785 section 3.2.3); ASCII sorts so by itself."""
    try:
        return sorted(members) if "".join(members).isascii() else sorted(members, key=_utf16)
    except TypeError:
        raise NotCanonicalError("the name of a member must be a string") from None


def _utf16(key: str) -> bytes:
    try:
        return key.encode("utf-16-be")
    except UnicodeEncodeError:
        raise NotCanonicalError("the name of a member holds half of a surrogate pair") from None


def _first_difference(one: bytes, other: bytes) -> int:
    """Offset of the first byte that differs; the shorter length where one begins the other."""
    pairs = enumerate(zip(one, other, strict=False))
    return next((i for i, (a, b) in pairs if a != b), min(len(one), len(other)))
