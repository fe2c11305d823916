"""Photographs: the files that are there, matched with what `photos.csv` and `marks.csv` say of them.

Order: by capture time, then by name; a photograph without a time stands last. One that cannot serve is a
finding and is left out. Not done here: reading a file, looking at pixels.
"""

from __future__ import annotations

import datetime as dt
import unicodedata
from typing import Any

import msgspec

from dossier.intake.entries import Entry, Read, read_all
from dossier.intake.partlist import Register
from dossier.intake.report import Long, Report
from dossier.intake.rows import Where, one_part, place_row, several_parts
from dossier.intake.schema import TABLES
from dossier.intake.stages import stage_by_date
from dossier.model.finding import At
from dossier.model.job import PhotoFacts
from dossier.model.rows import Dates, PhotoPlace, PhotoRow

PHOTOS_FOLDER = "photos"
_POINTS = {"point": (1, 1), "box": (2, 2), "outline": (3, 500)}  # fewest and most pairs
_NO_TIME = float("inf")


class Album:
    """The photographs that can serve, in order, found by the name somebody typed."""

    def __init__(self, facts: list[PhotoFacts], report: Report) -> None:
        self._report = report
        self.broken = {_key(fact.file) for fact in facts if fact.problem}
        self.facts = sorted((fact for fact in facts if not fact.problem), key=_order)
        self._files = {_key(fact.file): fact.file for fact in self.facts}
        for fact in facts:
            if fact.problem:
                at = At(file=f"{PHOTOS_FOLDER}/{fact.file}")
                report.say("photograph-cannot-serve", at, file=fact.file, why=Long(fact.problem))

    def find(self, read: Read, name: str) -> str:
        """The file that `read` names; "" when there is none (said) or it cannot serve (said already)."""
        typed = read.text(name)
        key = _key(typed)
        if not typed or key in self.broken:
            return ""
        if key not in self._files:
            near = self._files.get(self._report.nearest(key, self._files), "")
            self._report.say("unknown-photograph", read.place(name), nearest=near, typed=typed)
        return self._files.get(key, "")


def _key(typed: str) -> str:
    """A photograph's name as it is compared: whatever its case, slashes and Unicode form."""
    name = unicodedata.normalize("NFC", typed.strip().replace("\\", "/")).casefold()
    return name.removeprefix("./").removeprefix(f"{PHOTOS_FOLDER}/")


def _order(fact: PhotoFacts) -> tuple[float, str]:
    return _instant(fact.taken), fact.file


def _instant(taken: str) -> float:
    try:
        when = dt.datetime.fromisoformat(taken)
        return (when if when.tzinfo else when.replace(tzinfo=dt.UTC)).timestamp()
    except (ValueError, OverflowError):
        return _NO_TIME


def read_photo_rows(
    entries: list[Entry], album: Album, register: Register, dates: Dates, report: Report, where: Where
) -> tuple[PhotoRow, ...]:
    """One row for each photograph of the album, in its order, with or without a line in `photos.csv`."""
    typed: dict[str, dict[str, Any]] = {}
    for read in read_all(TABLES["photos"], entries, report):
        if read.whole and (file := album.find(read, "file")):
            _add(typed, file, read, register, report, where)
    _say_covers(typed, report, where)
    rows = []
    for fact in album.facts:
        where.setdefault(f"photos/{fact.file}", At(file=f"{PHOTOS_FOLDER}/{fact.file}"))
        values = typed.get(fact.file, {})
        stage = values.get("stage") or stage_by_date(fact.taken, dates)
        rows.append(PhotoRow(**values | {"file": fact.file, "stage": stage}))
    return tuple(rows)


def _add(
    typed: dict[str, dict[str, Any]], file: str, read: Read, register: Register, report: Report, where: Where
) -> None:
    key = f"photos/{file}"
    if file in typed:
        report.say("photograph-twice", read.place("file"), file=file, first=str(where[key]))
        return
    place_row(key, read, where)
    typed[file] = read.values | several_parts(read, register, report)


def _say_covers(typed: dict[str, dict[str, Any]], report: Report, where: Where) -> None:
    covers = [file for file, values in typed.items() if values.get("cover")]
    for file in covers[1:]:
        report.say("two-covers", where[f"photos/{file}"], first=covers[0])
        typed[file]["cover"] = False


def read_places(
    entries: list[Entry], album: Album, register: Register, report: Report, where: Where
) -> dict[str, tuple[PhotoPlace, ...]]:
    """The numbered places on each photograph, in the order of the file."""
    places: dict[str, list[PhotoPlace]] = {}
    seen: dict[tuple[str, str], At] = {}
    for read in read_all(TABLES["marks"], entries, report):
        if read.whole and (file := album.find(read, "file")) and _points_fit(read, report):
            number = read.text("number")
            if (file, number.casefold()) in seen:
                first = str(seen[file, number.casefold()])
                report.say("number-twice", read.place("number"), typed=number, first=first)
                continue
            seen[file, number.casefold()] = read.place("number")
            place_row(f"places/{file}/{number}", read, where)
            places.setdefault(file, []).append(_place(read, register, report))
    return {file: tuple(found) for file, found in places.items()}


def _points_fit(read: Read, report: Report) -> bool:
    """One pair for a point, two for a box, three or more for an outline; a box has a size."""
    at = read.values["at"]
    fewest, most = _POINTS[read.values["place"]]
    fits = fewest <= len(at) // 2 <= most
    if read.values["place"] == "box" and fits:
        fits = at[0] != at[2] and at[1] != at[3]
    if not fits:
        report.say("place-wrong", read.place("at"), typed=f"{read.values['place']}, {len(at) // 2}")
    return fits


def _place(read: Read, register: Register, report: Report) -> PhotoPlace:
    values = read.values | one_part(read, register, report)
    values = {name: value for name, value in values.items() if name not in ("file", "place")}
    return PhotoPlace(kind=read.values["place"], **values)


def with_photographs(reads: list[Read], album: Album) -> list[Read]:
    """Rows whose `photograph` is the file's own name; one that is not there becomes blank."""
    return [
        msgspec.structs.replace(read, values=read.values | {"photograph": album.find(read, "photograph")})
        for read in reads
    ]
