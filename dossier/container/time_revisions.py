"""Time-stamps put into a dossier's PDF in later years: a revision each, in one form, one behind the other.

PAdES baseline B-LTA (ETSI EN 319 142-1 5.4.2, 5.4.3): a document security store with the certificates and
revocation lists of what was signed before, and a document time-stamp over the whole file. Nothing that a page
shows changes: the catalogue gets the store, a field that was drawn beforehand gets its value (CONTAINER.md,
section 7). Not done here: whether a time-stamp holds (`seal.stamp`), asking for one.

Invariant: a revision is read only where writing it again from its parts gives the same bytes.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from dossier.container import layout
from dossier.container.said import WORDS
from dossier.container.scan import Objects
from dossier.container.values import Name, Ref, Value, parse, serialize
from dossier.container.window import Window
from dossier.errors import NotCanonicalError, OutputError
from dossier.model.container import MOST_TIME_PLACES, DocumentTimeStamp, Limits

CONTENTS_BYTES = 16_384
_RANGE_ROOM = 64
_HEAD = b"<< /Type /DocTimeStamp /Filter /Adobe.PPKLite /SubFilter /ETSI.RFC3161\n"
_BETWEEN = b"\n/Contents "
_END = b"\n>>\nendobj\n"
_CONTENTS_AT = len(_HEAD) + _RANGE_ROOM + len(_BETWEEN)
_AFTER_CONTENTS = _CONTENTS_AT + 2 * CONTENTS_BYTES + 2
SLOT = _AFTER_CONTENTS + len(_END)
_MOST_STORE = 1 << 14  # bytes of a store's dictionary: some thousand references
_STREAM = re.compile(rb"<< /Length ([1-9]\d{0,7}) >>")
_CERTIFICATES, _LISTS, _STORE = Name("/Certs"), Name("/CRLs"), Name("/DSS")


class Kept(NamedTuple):
    """What a later reader needs to check what was signed before: in DER, each once."""

    certificates: tuple[bytes, ...] = ()
    lists: tuple[bytes, ...] = ()  # of revoked certificates (RFC 5280 section 5)

    def without(self, others: Kept) -> Kept:
        return Kept(_not_in(self.certificates, others.certificates), _not_in(self.lists, others.lists))

    def __or__(self, other: Kept) -> Kept:
        return Kept(self.certificates + other.certificates, self.lists + other.lists)


class State(NamedTuple):
    """A file as far as it has been read or written: where the next revision begins, and what it builds on."""

    size: int
    objects: int
    xref_at: int
    root: dict[Name, Value]
    trailer: dict[Name, Value]
    fields: tuple[tuple[int, dict[Name, Value]], ...]  # number and entries of those that are free
    stored: tuple[tuple[Ref, ...], tuple[Ref, ...]] = ((), ())  # certificates and lists of all revisions
    kept: Kept = Kept()


class Revision(NamedTuple):
    """The bytes of a revision whose time-stamp is still to come, and where it goes."""

    content: bytes
    slot_at: int  # in the file
    byte_range: tuple[int, int, int, int]
    after: State

    def filled(self, token: bytes, begin: int) -> bytes:
        """The whole bytes, for a file that the revision begins in at `begin`. Raises OutputError."""
        if len(token) > CONTENTS_BYTES:
            raise OutputError(WORDS.say("container.write.token", bytes=len(token), room=CONTENTS_BYTES))
        at = self.slot_at - begin + _CONTENTS_AT + 1
        digits = token.hex().encode().ljust(2 * CONTENTS_BYTES, b"0")
        return self.content[:at] + digits + self.content[at + len(digits) :]


def token(contents: bytes) -> bytes:
    """The DER in a time-stamp's place, given as its digits; all after it must be zeros.

    Raises NotCanonicalError.
    """
    whole = bytes.fromhex(contents.decode("ascii"))
    length = 4 + int.from_bytes(whole[2:4])
    if whole[:2] != b"\x30\x82" or whole[length:].strip(b"\0"):
        raise NotCanonicalError("not a sequence of 256 to 65,535 bytes and zeros")
    return whole[:length]


def state_of(objects: Objects, end: int) -> State:
    """The first revision, which ends at `end`."""
    root = objects.dictionary(1)
    return State(
        size=end,
        objects=objects.count,
        xref_at=objects.xref_at,
        root=root,
        trailer=objects.trailer(),
        fields=tuple(_free_fields(objects, root)),
    )


def added(state: State, kept: Kept) -> Revision:
    """A revision that keeps `kept`, with a blank place for its time-stamp. Raises OutputError."""
    if not state.fields:
        raise OutputError("no field is left for a time-stamp")
    new = kept.without(state.kept)
    store, first = state.objects + 1, state.objects + 2
    middle = first + len(new.certificates)
    last = middle + len(new.lists)
    refs = (
        (*state.stored[0], *map(Ref, range(first, middle))),
        (*state.stored[1], *map(Ref, range(middle, last))),
    )
    number, entries = state.fields[0]
    root = {**state.root, _STORE: Ref(store)}
    objects = [
        (1, layout.whole_object(1, root)),
        (number, layout.whole_object(number, {**entries, Name("/V"): Ref(last)})),
        (store, layout.whole_object(store, _store(refs))),
        *((n, _stream(n, der)) for n, der in enumerate(new.certificates + new.lists, first)),
    ]
    return _put_together(state, objects, last, root, refs, new)


def is_read_back(revision: Revision, state: State, limits: Limits) -> bool:
    """Whether a check with these limits reads a revision behind `state`, or calls it too large."""
    return _read_one(revision.content[: limits.revision_bytes], state) is not None


def read(window: Window, limits: Limits, state: State) -> tuple[list[DocumentTimeStamp], State]:
    """The revisions of this form behind `state`, as far as they go, and where they end."""
    found: list[DocumentTimeStamp] = []
    while state.fields and state.size < window.size:
        one = _read_one(window.read(state.size, limits.revision_bytes), state)
        if one is None:
            break
        found.append(one[0])
        state = one[1]
    return found, state


def _read_one(text: bytes, state: State) -> tuple[DocumentTimeStamp, State] | None:
    try:
        kept = _kept_in(text, state)
        revision = added(state, kept)
    except (NotCanonicalError, OutputError):
        return None
    at = revision.slot_at - state.size + _CONTENTS_AT + 1
    digits = text[at : at + 2 * CONTENTS_BYTES]
    whole = revision.content[:at] + digits + revision.content[at + len(digits) :]
    if text[: len(whole)] != whole or not re.fullmatch(rb"[0-9a-f]*", digits):
        return None
    stamp = DocumentTimeStamp(
        byte_range=revision.byte_range,
        contents=digits,
        certificates=kept.certificates,
        lists=kept.lists,
    )
    return stamp, revision.after


def _kept_in(text: bytes, state: State) -> Kept:
    """The new certificates and lists in the bytes of a revision. Raises NotCanonicalError."""
    store = state.objects + 1
    at = text.find(layout.object_start(store))
    line = text.find(layout.OBJECT_END, at)
    if min(at, line) < 0 or line - at > _MOST_STORE:
        raise NotCanonicalError("no store")
    said = parse(text[at + len(layout.object_start(store)) : line])
    counts = [_new_of(said, key, old) for key, old in zip((_CERTIFICATES, _LISTS), state.stored, strict=True)]
    at = line + len(layout.OBJECT_END)
    streams: list[bytes] = []
    for number in range(store + 1, store + 1 + sum(counts)):
        content, at = _stream_at(text, at, number)
        streams.append(content)
    return Kept(tuple(streams[: counts[0]]), tuple(streams[counts[0] :]))


def _new_of(store: Value, key: Name, old: tuple[Ref, ...]) -> int:
    refs = store.get(key, []) if isinstance(store, dict) else []
    if not isinstance(refs, list) or len(refs) < len(old):
        raise NotCanonicalError("a store that lost something")
    return len(refs) - len(old)


def _stream_at(text: bytes, at: int, number: int) -> tuple[bytes, int]:
    begin = layout.object_start(number)
    said = _STREAM.match(text, at + len(begin))
    if not text.startswith(begin, at) or said is None:
        raise NotCanonicalError("a store of another form")
    start = said.end() + len(layout.STREAM)
    content = text[start : start + int(said[1])]
    return content, start + len(content) + len(layout.stream_end(content[-1:]))


def _free_fields(objects: Objects, root: dict[Name, Value]) -> Iterator[tuple[int, dict[Name, Value]]]:
    """The fields behind the first, which is the signature's; no more than there may be."""
    form = root.get(Name("/AcroForm"))
    form = objects.dictionary(form.number) if isinstance(form, Ref) else form
    fields = form.get(Name("/Fields")) if isinstance(form, dict) else None
    for ref in fields[1 : 1 + MOST_TIME_PLACES] if isinstance(fields, list) else []:
        if isinstance(ref, Ref):
            yield ref.number, objects.dictionary(ref.number)


def _store(refs: tuple[tuple[Ref, ...], tuple[Ref, ...]]) -> Value:
    store: dict[Name, Value] = {Name("/Type"): _STORE}
    for key, listed in zip((_CERTIFICATES, _LISTS), refs, strict=True):
        if listed:
            store[key] = list(listed)
    return store


def _stream(number: int, der: bytes) -> bytes:
    return layout.stream_start(number, {}, len(der)) + der + layout.stream_end(der[-1:])


def _put_together(
    state: State,
    objects: Sequence[tuple[int, bytes]],
    last: int,
    root: dict[Name, Value],
    refs: tuple[tuple[Ref, ...], tuple[Ref, ...]],
    new: Kept,
) -> Revision:
    """The objects, the blank time-stamp as the last of them, the table, and the trailer."""
    offsets, at = [], state.size
    for number, content in objects:
        offsets.append((number, at))
        at += len(content)
    offsets.append((last, at))
    slot_at = at + len(layout.object_start(last))
    xref_at = slot_at + SLOT
    trailer = {
        **state.trailer,
        Name("/ID"): _identifier(state),
        Name("/Prev"): state.xref_at,
        Name("/Size"): last + 1,
    }
    end = _table(offsets) + b"trailer\n" + serialize(trailer) + layout.tail(xref_at)
    size = xref_at + len(end)
    start, behind = slot_at + _CONTENTS_AT, slot_at + _AFTER_CONTENTS
    byte_range = (0, start, behind, size - behind)
    body = b"".join(content for _, content in objects)
    content = body + layout.object_start(last) + _blank(byte_range) + end
    after = State(size, last, xref_at, root, trailer, state.fields[1:], refs, state.kept | new)
    return Revision(content, slot_at, byte_range, after)


def _blank(byte_range: tuple[int, int, int, int]) -> bytes:
    numbers = (b"/ByteRange [%d %d %d %d]" % byte_range).ljust(_RANGE_ROOM)
    return _HEAD + numbers + _BETWEEN + b"<" + b"0" * (2 * CONTENTS_BYTES) + b">" + _END


def _table(offsets: Sequence[tuple[int, int]]) -> bytes:
    """A section for each run of numbers (ISO 32000-1 7.5.4)."""
    runs: list[list[tuple[int, int]]] = []
    for number, offset in sorted(offsets):
        if not runs or runs[-1][-1][0] != number - 1:
            runs.append([])
        runs[-1].append((number, offset))
    parts = [b"xref\n"]
    for run in runs:
        parts.append(b"%d %d\n" % (run[0][0], len(run)))
        parts += [b"%010d 00000 n \n" % offset for _, offset in run]
    return b"".join(parts)


def _identifier(state: State) -> Value:
    """/ID with a second half that is another for each revision (ISO 32000-1 14.4)."""
    both = state.trailer.get(Name("/ID"))
    if not (isinstance(both, list) and len(both) == 2 and isinstance(both[1], bytes)):
        raise OutputError("a file without /ID")
    changed = hashlib.sha256(both[1] + b"%d" % state.size).digest()[:16]
    return [both[0], changed]


def _not_in(wanted: tuple[bytes, ...], known: tuple[bytes, ...]) -> tuple[bytes, ...]:
    there = frozenset(known)
    return tuple(dict.fromkeys(one for one in wanted if one not in there))
