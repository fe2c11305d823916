"""Photographs: the files that are there, matched with what `photos.csv` says of them.

Order: by capture time (put right where the camera's clock was wrong), then by name; a photograph without a
time stands last. One that cannot serve is a finding and is left out. Not done here: reading a file, pixels,
places (`marklist`).
"""

from __future__ import annotations

import contextlib
import datetime as dt
import re
import unicodedata
from collections.abc import Mapping
from pathlib import Path, PurePosixPath
from typing import Any

import msgspec

from dossier.intake import camera_clock
from dossier.intake.entries import Entry, Read, read_all
from dossier.intake.partlist import Register
from dossier.intake.report import Long, Report
from dossier.intake.rows import Where, place_row, several_parts
from dossier.intake.schema import TABLES
from dossier.intake.stages import stage_by_date
from dossier.model.finding import At
from dossier.model.job import PhotoFacts
from dossier.model.rows import Dates, PhotoRow

PHOTOS_FOLDER = "photos"
_NO_TIME = float("inf")


def photos_of(job: Path) -> Path:
    """The photographs folder of a job folder, whatever its case; where there is none, where it would be."""
    with contextlib.suppress(OSError):
        names = sorted(path.name for path in job.iterdir() if path.name.casefold() == PHOTOS_FOLDER)
        if names and PHOTOS_FOLDER not in names:
            return job / names[0]
    return job / PHOTOS_FOLDER


class Album:
    """The photographs that can serve, in order, found by the name somebody typed."""

    def __init__(self, facts: list[PhotoFacts], report: Report, zone: dt.tzinfo) -> None:
        self._report, self._zone = report, zone
        self.whole = report.whole_folder(PHOTOS_FOLDER)  # else nothing is said of one that is not there
        self.facts = sorted((fact for fact in facts if not fact.problem), key=_order)
        serving = {fact.file: "" if fact.problem else fact.file for fact in facts}
        self._files = {_name(file): found for file, found in serving.items()}  # "" for one that cannot serve
        by_case = sorted(serving.items(), key=lambda item: item[1] != "")  # one that serves goes before
        self._any_case = {_key(file): found for file, found in by_case}
        pictures = {_stem(fact.file): fact.file for fact in self.facts}
        for fact in facts:
            if fact.problem:
                _say_left_out(fact, pictures.get(_stem(fact.file), ""), report)

    def put_right(self, clocks: Mapping[str, str]) -> None:
        """The times of these files by how wrong their camera's clock was, and the order by the new times."""
        corrected = (
            camera_clock.put_right(fact, clocks[fact.file], self._zone) if clocks.get(fact.file) else fact
            for fact in self.facts
        )
        self.facts = sorted(corrected, key=_order)

    def find(self, read: Read, name: str) -> str:
        """The file that `read` names; "" when there is none (said) or it cannot serve (said already)."""
        typed = read.text(name)
        if not typed:
            return ""
        key = _key(typed)
        found = self._files.get(_name(typed), self._any_case.get(key))
        if found is None and self.whole:
            alike = [name for name in self._any_case if _figures(name) == _figures(key)]
            near = self._any_case.get(self._report.nearest(key, alike), "")
            self._report.say("unknown-photograph", read.place(name), nearest=near, typed=typed)
        return found or ""


def _say_left_out(fact: PhotoFacts, picture: str, report: Report) -> None:
    """What a camera lays beside a `picture` of the same name is no gap where that serves."""
    at = At(file=f"{PHOTOS_FOLDER}/{fact.file}")
    if fact.besides and picture:
        report.say("photograph-beside", at, file=fact.file, picture=picture)
        return
    code = "photograph-not-opened" if fact.unopened else "photograph-cannot-serve"
    report.say(code, at, file=fact.file, why=Long(fact.problem))


def _name(typed: str) -> str:
    """A photograph's name whatever its slashes and Unicode form; it goes first, as case tells two apart."""
    name = unicodedata.normalize("NFC", typed.strip().replace("\\", "/")).removeprefix("./")
    return name[len(PHOTOS_FOLDER) + 1 :] if name.casefold().startswith(f"{PHOTOS_FOLDER}/") else name


def _key(typed: str) -> str:
    """The name as it is compared where no other is the same: whatever its case as well."""
    return _name(typed).casefold()


def _stem(file: str) -> str:
    return str(PurePosixPath(file).with_suffix("")).casefold()


def _figures(name: str) -> list[int]:
    """A camera counts its photographs: one with another number is another photograph."""
    return [int(one) for one in re.findall(r"[0-9]{1,18}", name)]


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
    album.put_right({file: values["clock"] for file, values in typed.items() if values.get("clock")})
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


def with_photographs(reads: list[Read], album: Album) -> list[Read]:
    """Rows whose `photograph` is the file's own name; one that is not there becomes blank."""
    return [
        msgspec.structs.replace(read, values=read.values | {"photograph": album.find(read, "photograph")})
        for read in reads
    ]
