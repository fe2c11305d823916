"""`marks.csv`: the numbered places on each photograph, and the aids for measuring: scales, targets, lengths.

Places go on the map and into the record, in whole parts of 1,000 as ever. Aids stay in the job: nothing draws
or exports them, and they keep every decimal that was written, with how finely that was. Not done here:
measuring, looking at pixels.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal
from typing import Any, TypeVar

import msgspec

from dossier.intake import pairs
from dossier.intake.entries import Entry, Read, read_all
from dossier.intake.partlist import Register
from dossier.intake.photolist import Album
from dossier.intake.report import Report
from dossier.intake.rows import Where, one_part, place_row
from dossier.intake.schema import TABLES, plain_word
from dossier.intake.values import plain_text
from dossier.model.aids import TARGET_MADE, TargetMade
from dossier.model.finding import At
from dossier.model.job import Aid
from dossier.model.rows import PhotoPlace
from dossier.model.words import PLACE_KINDS
from dossier.trade.units import UNITS, Quantity
from dossier.trade.written import find

T = TypeVar("T")
_MOST = 500  # pairs
_POINTS = {  # how many pairs each kind takes
    "point": (1,),
    "box": (2,),
    "outline": range(3, _MOST + 1),
    "scale": (2, 4),
    "target": (4,),
    "grey card": (2,),
    "length": range(2, _MOST + 1),
    "area": range(3, _MOST + 1),
    "pitch": range(2, _MOST + 1),
    "colour": (1, 2),
}
_LONGEST = 100_000  # mm of a scale
_LESS_THAN_NOTHING = re.compile(r"(?<!\d)\s*[-\u2212\u2013]\s*\d")  # not the joint of 2-1/2
_COARSEST = Decimal(10)  # parts of 1,000: whole percent


class Context(msgspec.Struct, frozen=True, kw_only=True):
    """What rows may refer to, the job's language, and when the workshop's colour target was made."""

    register: Register
    language: str
    target: TargetMade | None = None


class Marks(msgspec.Struct, frozen=True):
    """By photograph, in the order of the file."""

    places: dict[str, tuple[PhotoPlace, ...]]
    aids: dict[str, tuple[Aid, ...]]


def read_marks(entries: list[Entry], album: Album, context: Context, report: Report, where: Where) -> Marks:
    """The places and aids of every photograph; a number stands once on a photograph, whatever it is of."""
    places: dict[str, list[PhotoPlace]] = {}
    aids: dict[str, list[Aid]] = {}
    seen: dict[tuple[str, str], At] = {}
    typed = [plain_text(entry.cells["at"].raw) or "" if "at" in entry.cells else "" for entry in entries]
    reads = read_all(TABLES["marks"], entries, report)
    in_pairs = _in_pairs(reads, typed)
    for read, text in zip(reads, typed, strict=True):
        if not read.whole or not (file := album.find(read, "file")):
            continue
        if not _clear(read, text, report, in_pairs=in_pairs) or not _points_fit(read, report):
            continue
        number = read.text("number")
        if (file, number.casefold()) in seen:
            first = str(seen[file, number.casefold()])
            report.say("number-twice", read.place("number"), typed=number, first=first)
            continue
        seen[file, number.casefold()] = read.place("number")
        place_row(f"places/{file}/{number}", read, where)
        if read.values["place"] in PLACE_KINDS:
            _say_no_size(read, report)
            places.setdefault(file, []).append(_place(read, context, report))
        elif aid := _aid(read, context, report):
            aids.setdefault(file, []).append(aid)
    return Marks(_as_tuples(places), _as_tuples(aids))


def _as_tuples(rows: dict[str, list[T]]) -> dict[str, tuple[T, ...]]:
    return {file: tuple(found) for file, found in rows.items()}


def _readings(read: Read, text: str) -> tuple[bool, bool]:
    """Whether the count of points fits where commas part pairs, and where they are decimal commas."""
    takes, at = _POINTS.get(read.text("place"), ()), read.values.get("at", ())
    return len(at) // 2 in takes, len(pairs.with_commas(text)) // 2 in takes


def _in_pairs(reads: list[Read], typed: list[str]) -> bool:
    """Whether lines that can be read in one way alone have pairs with commas, and none has decimal commas."""
    sure = False
    for read, text in zip(reads, typed, strict=True):
        as_pairs, as_decimals = _readings(read, text)
        if (as_decimals and not as_pairs and pairs.finely(text)) or (";" in text and "," in text):
            return False
        sure = sure or (as_pairs and not as_decimals and "," in text)
    return sure


def _clear(read: Read, text: str, report: Report, *, in_pairs: bool) -> bool:
    """Whether it is clear what the commas part: by the count of points, or by the other lines."""
    as_pairs, as_decimals = _readings(read, text)
    if not as_decimals or (as_pairs and in_pairs and not pairs.finely(text)):
        return True
    if not as_pairs and pairs.finely(text):
        report.say("place-commas", read.place("at"), typed=text)
    else:
        joined, apart = pairs.joined(text), pairs.told_apart(text)
        report.say("place-unclear", read.place("at"), typed=text, joined=joined, apart=apart)
    return False


def _points_fit(read: Read, report: Report) -> bool:
    """As many pairs as the kind takes; a box has a size; no two neighbours of a line are one point."""
    kind, at = read.values["place"], read.values["at"]
    count, fits = len(at) // 2, True
    if count not in _POINTS[kind]:
        report.say("points-wrong", read.place("at"), typed=read.text("number"), kind=kind, n=count)
        return False
    if count == 2 and kind in ("box", "grey card", "colour"):
        x0, y0, x1, y1 = _whole(at) if kind == "box" else at
        fits = x0 != x1 and y0 != y1
    elif kind in ("scale", "length", "pitch"):
        fits = all(at[n : n + 2] != at[n + 2 : n + 4] for n in range(0, len(at) - 2, 2))
    if not fits:
        report.say("place-flat", read.place("at"), typed=read.text("number"), kind=kind)
    return fits


def _whole(at: Sequence[Decimal]) -> tuple[int, ...]:
    """Whole parts of 1,000, halves to even: what a record holds."""
    return tuple(int(figure.to_integral_value()) for figure in at)


def _place(read: Read, context: Context, report: Report) -> PhotoPlace:
    values = read.values | one_part(read, context.register, report)
    values = {name: value for name, value in values.items() if name not in ("file", "place", "size")}
    return PhotoPlace(kind=read.values["place"], **values | {"at": _whole(values["at"])})


def _say_no_size(read: Read, report: Report) -> None:
    if size := read.text("size"):
        report.say("size-wrong", read.place("size"), typed=size, kind=read.values["place"])


def _aid(read: Read, context: Context, report: Report) -> Aid | None:
    """The aid; None where it could measure nothing (then it has been said)."""
    kind, at = read.values["place"], read.values["at"]
    if kind in ("scale", "target") and len(at) == 8 and not _goes_round(at, either_way=kind == "scale"):
        report.say("corners-crossed", read.place("at"), typed=read.text("number"), kind=kind)
        return None
    if kind == "colour" and not read.text("note"):
        report.say("missing-value", read.place("note"), names="note", out="")
        return None
    size = _size(read, context, report)
    if size is None:
        return None
    part = one_part(read, context.register, report).get("part", "")
    return Aid(
        number=read.text("number"),
        kind=kind,
        at=tuple(map(float, at)),
        step=float(min(_written_to(figure) for figure in at)),
        size=read.text("size"),
        part=part,
        note=read.text("note"),
        **size,
    )


def _written_to(figure: Decimal) -> Decimal:
    """One in the last place that was written; whole percent are ten parts of 1,000."""
    exponent = figure.as_tuple().exponent
    assert isinstance(exponent, int)  # a decimal number read from digits
    return min(Decimal(1).scaleb(exponent), _COARSEST)


def _size(read: Read, context: Context, report: Report) -> dict[str, Any] | None:
    """What the size says: {} for kinds that take none; None where it is missing or wrong (said)."""
    kind, typed = read.values["place"], read.text("size")
    if kind not in ("scale", "target"):
        _say_no_size(read, report)
        return {}
    if kind == "target" and not typed and context.target:
        return {"made": context.target}
    if not typed:
        report.say("size-missing", read.place("place"), typed=read.text("number"), kind=kind)
        return None
    found = _made(typed) if kind == "target" else _lengths(read, context.language)
    if not found:
        report.say("size-wrong", read.place("size"), typed=typed, kind=kind)
    return found


def _made(typed: str) -> dict[str, Any] | None:
    words = {plain_word(word): word for word in TARGET_MADE}
    return {"made": words[plain_word(typed)]} if plain_word(typed) in words else None


def _lengths(read: Read, language: str) -> dict[str, Any] | None:
    """Each side in mm: "100 mm", "100 x 60 mm", "10 cm x 60 mm". A range, a minus, an unclear unit: None."""
    if _LESS_THAN_NOTHING.search(read.text("size")):
        return None
    found = find(read.text("size"), language=language)
    if not found or not all(isinstance(one, Quantity) and one.dimension == "length" for one in found):
        return None
    quantities = [one for one in found if isinstance(one, Quantity)]
    spans = [(one, span) for one in quantities for span in one.spans]
    if any(low != high for _, (low, high) in spans):
        return None
    lengths = tuple(float(UNITS[one.unit].base(amount)) for one, (amount, _) in spans)
    fits = len(lengths) == len(read.values["at"]) // 4 and all(0 < mm <= _LONGEST for mm in lengths)
    return {"lengths": lengths} if fits else None


def _goes_round(at: Sequence[Decimal], *, either_way: bool) -> bool:
    """Four corners one after the other around a convex shape: every turn the same way.

    A colour target's row of six runs clockwise from dark brown: the other way round, the corners are in the
    wrong order or the photograph is mirrored.
    """
    corners = [(at[n], at[n + 1]) for n in range(0, 8, 2)]
    turns = [_turn(corners[place - 2], corners[place - 1], corners[place]) for place in range(len(corners))]
    return all(turn > 0 for turn in turns) or (either_way and all(turn < 0 for turn in turns))


def _turn(a: tuple[Decimal, Decimal], b: tuple[Decimal, Decimal], c: tuple[Decimal, Decimal]) -> Decimal:
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
