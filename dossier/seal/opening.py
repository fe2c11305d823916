"""Opening a sealed record: each disclosure to its place, by the steps of RFC 9901 section 7.1 made stricter.

The letters at the steps are those of FORMAT.md section 8, check 6. Not done here: signatures.
Invariants: a digest stands only in the arrays of `apart` and in a photograph's `details`; a disclosure holds
one value without further digests; what does not fit its type is refused.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Iterator, Sequence
from itertools import repeat
from typing import Any, NamedTuple, get_args, get_type_hints

import msgspec

from dossier import canonical
from dossier.errors import NotCanonicalError
from dossier.model.plain import from_plain
from dossier.model.record import (
    FORMAT_PATTERN,
    LAST_SECOND,
    NAME_PATTERN,
    RECORD_PATTERN,
    Apart,
    Missing,
    OpenApart,
    OpenRecord,
    Payload,
    PhotoDetails,
    Sealed,
)
from dossier.model.words import LEFT_OUT, CopyKind
from dossier.seal import base64url
from dossier.seal.algorithms import ALGORITHMS
from dossier.seal.codes import Problem

SALT_BYTES = 16
PHOTOGRAPH = "photograph"  # the kind of a photograph's disclosure; the others are members of Apart

Path = tuple[str | int, ...]  # names of members and indices, from the top
Marked = tuple[Path, str, dict[str, Any]]

_FORMAT = re.compile(FORMAT_PATTERN)
_RECORD = re.compile(RECORD_PATTERN)
_NAME = re.compile(NAME_PATTERN)
# Libraries act upon these (RFC 7519 section 4.1, RFC 7800 section 3.1): readers would differ on one record.
_ACTED_UPON = ("aud", "cnf", "exp", "nbf")
_MARKS = ("...", "_sd", "_sd_alg")
# In canonical JSON a member's name is written in one way, and a string cannot hold it: its quotation marks
# are escaped there.
_MARK_NAMES = tuple(f'"{mark}":'.encode() for mark in _MARKS)
_SALT = re.compile(
    r"[A-Za-z0-9_-]{21}[AQgw]"
)  # base64url of 16 bytes: four bits of the last letter are spare
_DIGEST = re.compile(r"[A-Za-z0-9_-]{43}")
_APART = frozenset(LEFT_OUT) - {PHOTOGRAPH}
_TYPES: dict[str, Any] = {
    **{name: get_args(hint)[0] for name, hint in get_type_hints(OpenApart).items() if name in LEFT_OUT},
    PHOTOGRAPH: PhotoDetails,
}


class Place(NamedTuple):
    """Where a digest stands: `apart.<kind>[at]`, or the details of photograph number `at` from 0."""

    kind: str
    at: int

    def __str__(self) -> str:
        return f"photographs[{self.at}]" if self.kind == PHOTOGRAPH else f"apart.{self.kind}[{self.at}]"


class Disclosed(NamedTuple):
    """One disclosure with its place and its value, as plain JSON; whether that holds a further digest."""

    disclosure: str
    place: Place
    value: Any
    nested: bool = False


class Opening(msgspec.Struct):
    """What came of opening a record. `record` is None as soon as there is one problem."""

    problems: list[Problem] = msgspec.field(default_factory=list)
    disclosed: list[Disclosed] = msgspec.field(default_factory=list)
    plain: dict[str, Any] = msgspec.field(default_factory=dict)  # the payload, as plain JSON
    places: dict[str, Place] = msgspec.field(default_factory=dict)  # by digest
    values: dict[Place, Any] = msgspec.field(default_factory=dict)  # what the disclosures say
    record: OpenRecord | None = None

    def opened_as(self, disclosed: Iterable[Disclosed], copy: CopyKind) -> OpenRecord | None:
        """The record with these alone of its disclosures, as another copy has it."""
        if self.record is None:
            return None
        values = {one.place: self.values[one.place] for one in disclosed}
        return _record(self.record.payload, self.record.digest, values, self.places, copy)


def disclosure_of(salt: bytes, value: object) -> str:
    """The disclosure of an array element (RFC 9901 section 4.2.2), of canonical JSON."""
    return base64url.encode(canonical.encode([base64url.encode(salt), value]))


def digest_of(disclosure: str) -> str:
    """RFC 9901 section 4.2.3: SHA-256 over the ASCII of the base64url text, base64url."""
    return base64url.encode(hashlib.sha256(disclosure.encode("ascii")).digest())


def open_sealed(sealed: Sealed, copy: CopyKind = "workshop") -> Opening:
    """Open every disclosure of `sealed`; all problems, or the record."""
    plain = canonical.decode(sealed.payload)
    opening = Opening(plain=plain)
    opening.problems += _version_problems(plain)  # a, b
    places = _places(_all_marked(plain, sealed.payload), opening.problems)  # c, d, e
    _match(sealed.disclosures, places, opening)  # f, g, h, i
    values = _typed(opening)  # j, k
    opening.places, opening.values = places, values
    payload = _payload(plain, opening.problems)  # l
    if payload is not None and not opening.problems:
        opening.problems += _detail_problems(payload, values)  # m
    if payload is not None and not opening.problems:
        opening.record = _record(payload, hashlib.sha256(sealed.payload).hexdigest(), values, places, copy)
    return opening


def _version_problems(plain: Any) -> Iterator[Problem]:
    if not isinstance(plain.get("format"), str) or not _FORMAT.fullmatch(plain["format"]):
        yield Problem("format-unknown", "format")
    if plain.get("_sd_alg") != "sha-256":
        yield Problem("sd-alg", "_sd_alg")


def _places(found: Iterable[Marked], problems: list[Problem]) -> dict[str, Place]:
    """Each digest with its place, in the order of the payload's bytes."""
    places: dict[str, Place] = {}
    for path, key, marked in found:
        place, member = _place(path), marked[key]
        if key != "...":
            problems.append(Problem("sd-in-object", _dotted(path)))
        elif place is None or len(marked) != 1 or not _is_digest(member):
            problems.append(Problem("digest-place", _dotted(path)))
        elif member in places:
            problems.append(Problem("digest-twice", str(place)))
        else:
            places[member] = place
    return places


def _is_digest(member: Any) -> bool:
    return isinstance(member, str) and _DIGEST.fullmatch(member) is not None


def _all_marked(plain: dict[str, Any], payload: bytes) -> list[Marked]:
    """`_marked` of the payload; without a search where its bytes have no such member but in the arrays."""
    usual = [*_in_apart(plain), *_in_photographs(plain)]
    counts = [payload.count(name) for name in _MARK_NAMES]
    return usual if counts == [len(usual), 0, int("_sd_alg" in plain)] else _marked(plain)


def _in_apart(plain: dict[str, Any]) -> Iterator[Marked]:
    apart = plain.get("apart")
    for kind, items in apart.items() if isinstance(apart, dict) else ():
        for index, item in enumerate(items if isinstance(items, list) else ()):
            if isinstance(item, dict) and "..." in item:
                yield ("apart", kind, index), "...", item


def _in_photographs(plain: dict[str, Any]) -> Iterator[Marked]:
    photographs = plain.get("photographs")
    for index, one in enumerate(photographs if isinstance(photographs, list) else ()):
        details = one.get("details") if isinstance(one, dict) else None
        first = details[0] if isinstance(details, list) and details else None
        if isinstance(first, dict) and "..." in first:
            yield ("photographs", index, "details", 0), "...", first


def _marked(value: Any, path: Path = ()) -> list[Marked]:
    """Every object with a member `...`, `_sd` or (below the top) `_sd_alg`: its path, that name, itself."""
    found: list[Marked] = []
    _mark(value, path, found)
    return found


def _mark(value: Any, path: Path, found: list[Marked]) -> None:
    """Only arrays and objects come here; the names of members are in the order of the bytes."""
    if isinstance(value, dict):
        found += [(path, key, value) for key in _MARKS if key in value and (path or key != "_sd_alg")]
        items: Iterable[tuple[str | int, Any]] = value.items()
    else:
        items = enumerate(value)
    for step, item in items:
        if item.__class__ is dict or item.__class__ is list:
            _mark(item, (*path, step), found)


def _place(path: Path) -> Place | None:
    if len(path) == 4 and path[0] == "photographs" and path[2:] == ("details", 0):
        return Place(PHOTOGRAPH, path[1]) if isinstance(path[1], int) else None
    if len(path) == 3 and path[0] == "apart" and path[1] in _APART and isinstance(path[2], int):
        return Place(str(path[1]), path[2])
    return None


def _dotted(path: Path) -> str:
    text = "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in path)
    return text.lstrip(".")


def _match(disclosures: tuple[str, ...], places: dict[str, Place], opening: Opening) -> None:
    """Each disclosure to its digest, in the digests' order, each once."""
    order = {digest: n for n, digest in enumerate(places)}
    last, seen = -1, set[str]()
    for number, (disclosure, parsed) in enumerate(zip(disclosures, _parsed(disclosures), strict=True), 1):
        digest = digest_of(disclosure)
        code = _fault(digest, order, seen, last)
        if code or parsed is None:
            opening.problems.append(Problem(code or "disclosure-shape", f"disclosure {number}"))
            continue
        seen.add(digest)
        last = order[digest]
        value, nested = parsed
        opening.disclosed.append(Disclosed(disclosure, places[digest], value, nested))


def _fault(digest: str, order: dict[str, int], seen: set[str], last: int) -> str:
    if digest in seen:
        return "disclosure-twice"
    if digest not in order:
        return "disclosure-unreferenced"
    return "disclosure-order" if order[digest] < last else ""


def _parsed(disclosures: Sequence[str]) -> Iterable[tuple[Any, bool] | None]:
    """`_parse` of each, all at once where nothing is amiss."""
    try:
        texts = list(map(base64url.decode, disclosures))
    except NotCanonicalError:
        return map(_parse, disclosures)
    values = canonical.decode_all(texts)
    if values is None:
        return map(_parse, disclosures)
    nested = map(_holds_mark, texts) if _holds_mark(b",".join(texts)) else repeat(False)
    return map(_salted, values, nested)


def _parse(disclosure: str) -> tuple[Any, bool] | None:
    try:
        text = base64url.decode(disclosure)
        return _salted(canonical.decode(text), _holds_mark(text))
    except NotCanonicalError:
        return None


def _holds_mark(text: bytes) -> bool:
    """Whether canonical JSON has a member that stands for a digest."""
    return any(name in text for name in _MARK_NAMES)


def _salted(parsed: Any, nested: bool) -> tuple[Any, bool] | None:
    """The value of `[salt, value]` and whether a digest is in it; None where it is anything else."""
    if not isinstance(parsed, list) or len(parsed) != 2 or not isinstance(parsed[0], str):
        return None
    if not _SALT.fullmatch(parsed[0]):
        return None
    return parsed[1], nested


def _typed(opening: Opening) -> dict[Place, Any]:
    """The disclosed values as values of the model."""
    values: dict[Place, Any] = {}
    for one in opening.disclosed:
        if one.nested:
            opening.problems.append(Problem("disclosure-nested", str(one.place)))
            continue
        try:
            values[one.place] = from_plain(_TYPES[one.place.kind], one.value)
        except ValueError:
            opening.problems.append(Problem("disclosure-type", str(one.place)))
    return values


def _payload(plain: Any, problems: list[Problem]) -> Payload | None:
    try:
        payload = from_plain(Payload, plain)
    except ValueError as error:
        problems.append(Problem("payload-shape", str(error)))
        return None
    problems += _shape_problems(payload)
    problems += (Problem("payload-shape", name) for name in _ACTED_UPON if name in plain)
    return payload


def _shape_problems(payload: Payload) -> Iterator[Problem]:
    if not _RECORD.fullmatch(payload.record):
        yield Problem("payload-shape", "record")
    if not 0 <= payload.iat <= LAST_SECOND:
        yield Problem("payload-shape", "iat")
    if not payload.workshop.keys:
        yield Problem("payload-shape", "workshop.keys")
    if not payload.workshop.signatures or not set(payload.workshop.signatures) <= set(ALGORITHMS):
        yield Problem("payload-shape", "workshop.signatures")
    names = set[str]()
    for index, photograph in enumerate(payload.photographs):
        if not _NAME.fullmatch(photograph.name) or photograph.name in names:
            yield Problem("photograph-name", f"photographs[{index}]")
        if len(photograph.details) != 1:
            yield Problem("photograph-details", f"photographs[{index}]")
        names.add(photograph.name)


def _detail_problems(payload: Payload, values: dict[Place, Any]) -> Iterator[Problem]:
    for place, value in values.items():
        if place.kind == PHOTOGRAPH and value.name != payload.photographs[place.at].name:
            yield Problem("photograph-details", str(place))


def _record(
    payload: Payload, digest: str, values: dict[Place, Any], places: dict[str, Place], copy: CopyKind
) -> OpenRecord:
    said: dict[str, list[Any]] = {kind: [] for kind in (*Apart.__struct_fields__, PHOTOGRAPH)}
    for place, value in values.items():
        said[place.kind].append(value)
    details = {one.name: one for one in said.pop(PHOTOGRAPH)}
    left = [place.kind for place in places.values() if place not in values]
    missing = tuple(Missing(kind=kind, count=left.count(kind)) for kind in LEFT_OUT if kind in left)
    return OpenRecord(
        payload=payload,
        digest=digest,
        apart=OpenApart(**{kind: tuple(some) for kind, some in said.items()}),
        photo_details=details,
        missing=missing,
        copy=copy,
    )
