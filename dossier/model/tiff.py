"""The directories of a TIFF file, of which a DNG and most cameras' raw files are one: what stands in them.

By TIFF 6.0 section 2 (directories), BigTIFF as DNG 1.7 allows it, and EXIF 2.32, 4.6 (who took it and when).

Not done here: pixels, what a directory means. Pure: bytes are asked for through `read`. Invariants: at most
32 directories, each looked at once, so that one in a circle ends; of any value at most 4 kB, of each tag the
first; what lies outside the file is as good as not there; nothing is raised for any bytes but by `listed` and
`unnamed`.
"""

from __future__ import annotations

import math
import struct
from collections.abc import Callable, Iterator

import msgspec

Read = Callable[[int, int], bytes]  # offset and number of bytes; fewer come back where the file ends
Value = int | bytes | tuple[int, ...] | tuple[float, ...]
Directory = dict[int, Value]

VERSION = 0xC612  # DNGVersion
SERIAL = 0xC62F  # CameraSerialNumber of a DNG
XMP = 700
KIND, WIDTH, HEIGHT, COMPRESSION, MEANING = 254, 256, 257, 259, 262
_SUB, _EXIF, _GPS, _SHARED = 330, 0x8769, 0x8825, 0xA005
_RATIONAL = 5
# Where the data of one strip, one tile, or (6.0, section 22) one JPEG stream stand: offset and byte count.
PLACES = ((273, 279), (324, 325), (513, 514))
# What is read of a directory: the above, and what says who took it and when (EXIF 2.32, 4.6).
_READ = {
    *(VERSION, SERIAL, XMP, _SUB, _EXIF, _GPS, KIND, WIDTH, HEIGHT, COMPRESSION, MEANING),
    *(tag for pair in PLACES for tag in pair),
    *(0x010F, 0x0110, 0x0112, 0x0131, 0x882A, 0x9003, 0x9011, 0x9291, 0xA431, 2, 4, 7, 0x1D),
}

_MOST_DIRECTORIES = 32
_MOST_ENTRIES = 4096
_MOST_BYTES = 4096
# Bytes of a value of each type (TIFF 6.0, section 2, and 16 to 18 of BigTIFF).
_SIZES = {
    **dict.fromkeys((1, 2, 6, 7), 1),
    **dict.fromkeys((3, 8), 2),
    **dict.fromkeys((4, 9, 11, 13), 4),
    **dict.fromkeys((5, 10, 12, 16, 17, 18), 8),
}
_READ_HERE = {1, 2, 3, 4, 5, 7, 13, 16, 18}
_WHOLE = {1: "B", 3: "H", 4: "I", 13: "I", 16: "Q", 18: "Q"}


class Said(msgspec.Struct, frozen=True, kw_only=True):
    """The directories that say when and by what it was taken."""

    root: Directory
    exif: Directory
    gps: Directory


class Listed(msgspec.Struct, frozen=True, kw_only=True):
    """Which tags stand in the directories; `following`: whether one comes after the first.

    `shared`: the directory that says by which rules files are exchanged (EXIF 2.32, 4.6.3).
    """

    root: frozenset[int]
    exif: frozenset[int]
    gps: frozenset[int]
    shared: frozenset[int]
    following: bool


class _Walked(msgspec.Struct, frozen=True):
    """A directory as it stands: where, tag and bytes of each entry, where the next one is."""

    place: int = 0
    parts: tuple[tuple[int, bytes], ...] = ()
    following: int = 0

    @property
    def tags(self) -> frozenset[int]:
        return frozenset(tag for tag, _ in self.parts)


class Form(msgspec.Struct, frozen=True):
    order: str
    big: bool

    def whole(self, data: bytes, letter: str) -> int:
        return int(struct.unpack(self.order + letter, data)[0])


def reader(data: bytes) -> Read:
    return lambda offset, count: data[offset : offset + count]


def said(read: Read, size: int) -> Said:
    """Of a TIFF of `size` bytes; empty directories for what is none."""
    form = form_of(read(0, 8))
    if form is None:
        return Said(root={}, exif={}, gps={})
    first, _ = _directory(read, size, form, start(read, form))
    return Said(
        root=first,
        exif=_below(read, size, form, first, _EXIF),
        gps=_below(read, size, form, first, _GPS),
    )


def listed(read: Read, size: int) -> Listed:
    """Of a TIFF of `size` bytes. Raises ValueError where a directory cannot be read to its end."""
    root, exif, gps, shared = _walk(read, size)[1]
    return Listed(
        root=root.tags, exif=exif.tags, gps=gps.tags, shared=shared.tags, following=root.following > 0
    )


def unnamed(data: bytes) -> bytes:
    """A block with zeros for all that its head and the directories of `listed` name. Raises ValueError."""
    form, walked = _walk(reader(data), len(data))
    wide, entry, field = (8, 20, 8) if form.big else (2, 12, 4)
    rest = bytearray(data)
    spans = [(0, 16 if form.big else 8)]
    for one in walked:
        spans.append((one.place, wide + entry * len(one.parts) + field))
        far = ((part, length) for _, part in one.parts if (length := claims(form, part)))
        spans += [(form.whole(part[-field:], "Q" if form.big else "I"), length) for part, length in far]
    for place, length in spans:
        rest[place : place + length] = bytes(len(rest[place : place + length]))
    return bytes(rest)


def claims(form: Form, part: bytes) -> int:
    """Bytes that an entry says stand elsewhere in the file."""
    if len(part) < (20 if form.big else 12):
        return 0
    count = form.whole(part[4:12], "Q") if form.big else form.whole(part[4:8], "I")
    length = count * _SIZES.get(form.whole(part[2:4], "H"), 0)
    return length if length > (8 if form.big else 4) else 0


def _walk(read: Read, size: int) -> tuple[Form, tuple[_Walked, ...]]:
    """The first directory and those that `Listed` has besides, as they stand. Raises ValueError."""
    form = form_of(read(0, 8))
    if form is None:
        raise ValueError
    root = _walked(read, size, form, start(read, form))
    exif, gps = (_pointed(read, size, form, root, tag) for tag in (_EXIF, _GPS))
    shared = (_pointed(read, size, form, one, _SHARED) for one in (root, exif))
    return form, (root, exif, gps, max(shared, key=lambda one: one.place))


def _pointed(read: Read, size: int, form: Form, above: _Walked, tag: int) -> _Walked:
    parts = [part for one, part in above.parts if one == tag]
    if not parts:
        return _Walked()
    places = _numbers(_entry(read, size, form, parts[0]))
    if len(parts) > 1 or len(places) != 1:  # readers would take different ones
        raise ValueError
    return _walked(read, size, form, places[0])


def _walked(read: Read, size: int, form: Form, place: int) -> _Walked:
    found = _entries(read, size, form, place)
    if found is None:
        raise ValueError
    parts, following = found
    return _Walked(place, tuple((form.whole(part[:2], "H"), part) for part in parts), following)


def directories(read: Read, size: int) -> list[Directory]:
    """The first directory of a TIFF of `size` bytes, those after it and those below; [] for what is none."""
    form = form_of(read(0, 8))
    if form is None:
        return []
    first, following = _directory(read, size, form, start(read, form))
    return [first, *_others(read, size, form, first, following)]


def form_of(head: bytes) -> Form | None:
    """Byte order and width by the first 8 bytes; None where this is no TIFF."""
    order = {b"II": "<", b"MM": ">"}.get(head[:2])
    if order is None or len(head) < 8:
        return None
    version = struct.unpack(order + "H", head[2:4])[0]
    return Form(order, version == 43) if version in {42, 43} else None


def start(read: Read, form: Form) -> int:
    """Where the first directory stands; 0 where it is not said."""
    head = read(8, 8) if form.big else read(4, 4)
    return form.whole(head, "Q" if form.big else "I") if len(head) == (8 if form.big else 4) else 0


def _below(read: Read, size: int, form: Form, root: Directory, tag: int) -> Directory:
    places = _numbers(root.get(tag))
    return _directory(read, size, form, places[0])[0] if places else {}


def _others(read: Read, size: int, form: Form, first: Directory, following: int) -> Iterator[Directory]:
    """Every directory after and below the first, each once."""
    waiting = [*_numbers(first.get(_SUB)), following]
    seen: set[int] = set()
    while waiting and len(seen) < _MOST_DIRECTORIES:
        place = waiting.pop(0)
        if place in seen or not place:
            continue
        seen.add(place)
        directory, following = _directory(read, size, form, place)
        waiting += [*_numbers(directory.get(_SUB)), following][:_MOST_DIRECTORIES]
        yield directory


def _directory(read: Read, size: int, form: Form, place: int) -> tuple[Directory, int]:
    """The entries at `place` that can be read, and where the next directory stands (0: nowhere)."""
    parts, following = _entries(read, size, form, place) or ([], 0)
    wanted = {tag: part for part in reversed(parts) if (tag := form.whole(part[:2], "H")) in _READ}
    read_here = {tag: _entry(read, size, form, part) for tag, part in wanted.items()}
    return {tag: value for tag, value in read_here.items() if value is not None}, following


def _entries(read: Read, size: int, form: Form, place: int) -> tuple[list[bytes], int] | None:
    """The bytes of each entry at `place`, and where the next directory stands; None where there is none."""
    letter, wide, entry = ("Q", 8, 20) if form.big else ("H", 2, 12)
    if not 0 < place < size or len(head := read(place, wide)) < wide:
        return None
    count = form.whole(head, letter)
    if count > _MOST_ENTRIES:
        return None
    body = read(place + wide, count * entry + 8)
    parts = [body[at : at + entry] for at in range(0, len(body) - entry + 1, entry)][:count]
    end = body[count * entry :][: 8 if form.big else 4]
    following = form.whole(end, "Q" if form.big else "I") if len(end) == (8 if form.big else 4) else 0
    return parts, following


def _entry(read: Read, size: int, form: Form, part: bytes) -> Value | None:
    kind = form.whole(part[2:4], "H")
    field = part[12:] if form.big else part[8:]
    count = form.whole(part[4:12], "Q") if form.big else form.whole(part[4:8], "I")
    length = count * _SIZES[kind] if kind in _READ_HERE else 0
    if not 0 < length <= size:
        return None
    length = min(length, _MOST_BYTES)
    place = form.whole(field, "Q" if form.big else "I")
    data = field[:length] if length <= len(field) else read(place, length)
    return _value(form, kind, data) if len(data) == length else None


def _value(form: Form, kind: int, data: bytes) -> Value:
    if kind == _RATIONAL:
        pairs = struct.iter_unpack(form.order + "II", data[: len(data) // 8 * 8])
        return tuple(above / below if below else math.nan for above, below in pairs)
    if kind not in _WHOLE or (kind == 1 and len(data) > 1):
        return data
    count = len(data) // _SIZES[kind]
    numbers = struct.unpack(f"{form.order}{count}{_WHOLE[kind]}", data)
    return int(numbers[0]) if count == 1 else numbers


def _numbers(value: Value | None) -> tuple[int, ...]:
    if isinstance(value, tuple):
        return tuple(one for one in value[:_MOST_DIRECTORIES] if isinstance(one, int))
    return (value,) if isinstance(value, int) else ()
