"""Every text of a job that goes into every copy, with the row it stands in.

Not here: what the copies for others leave out: contacts, agreement details, prices, values, private marks and
notes, private photographs. Of any other photograph its file name, caption and notes go along.
Invariant: walks all members of the public rows, so that a new member of a row is searched too.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

import msgspec

from dossier.model.job import Job
from dossier.model.rows import PhotoRow

_WHOLE = ("object", "looked_at", "handover")
_LISTS = (
    *("know_it_by", "history", "earlier_records", "measurements", "advised"),
    *("plating", "calculations", "protected"),
)
_NUMBERED = ("agreements", "parts", "work")
# Members that name a file or another row, and words of a closed list: no free text.
_NOT_TEXT = frozenset(
    {"photograph", "parts", "part_of", "agreed_on", "record", "sha256", "known_from", "done"}
)


class PublicText(NamedTuple):
    key: str  # the cell, as in Job.where
    text: str
    place: str = ""  # what it stands in, where the key does not say it


def public_texts(job: Job) -> Iterator[PublicText]:
    yield PublicText("job/number", job.number)
    yield PublicText("job/condition", job.condition)
    for name in _WHOLE:
        yield from _of_row(f"job/{name}", getattr(job, name))
    for name in _LISTS:
        for place, row in enumerate(getattr(job, name), 1):
            yield from _of_row(f"{name}/{place}", row)
    for name in _NUMBERED:
        for row in getattr(job, name):
            yield from _of_row(f"{name}/{row.number}", row)
    yield from _unless_private(job)
    for photo in job.photo_rows:
        yield PublicText(f"photos/{photo.file}.pair", photo.pair)
        if not photo.private:
            yield from _beside(job, photo)


def _beside(job: Job, photo: PhotoRow) -> Iterator[PublicText]:
    """What a photograph's own disclosure says in words; underscores part the words of a file's name."""
    key = f"photos/{photo.file}"
    yield PublicText(f"{key}.file", photo.file.replace("_", " "), "photo_file")
    yield PublicText(f"{key}.caption", photo.caption, "photo_words")
    for place in job.photo_places.get(photo.file, ()):
        yield PublicText(key, place.note, "photo_words")


def _unless_private(job: Job) -> Iterator[PublicText]:
    for place, mark in enumerate(job.marks, 1):
        if not mark.private:
            yield from _of_row(f"inscriptions/{place}", mark)
    for place, note in enumerate(job.notes, 1):
        if not note.private:
            yield from _of_row(f"notes/{place}", note)


def _of_row(key: str, row: msgspec.Struct) -> Iterator[PublicText]:
    for name in row.__struct_fields__:
        if name not in _NOT_TEXT:
            yield from _of_value(f"{key}.{name}", getattr(row, name))


def _of_value(key: str, value: Any) -> Iterator[PublicText]:
    if isinstance(value, str):
        yield PublicText(key, value)
    elif isinstance(value, tuple):
        for item in value:
            yield from _of_value(key, item)
    elif isinstance(value, msgspec.Struct):
        yield from _of_row(key, value)
