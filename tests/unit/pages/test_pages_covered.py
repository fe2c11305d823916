"""The page of what is now covered: which photographs it gives for work, and what was not said."""

from __future__ import annotations

import datetime as dt
from typing import Any

import msgspec
import pytest

from dossier.account.parts import parts_now
from dossier.model.record import OpenRecord, Payload, PhotoDetails, Photograph, WorkshopId
from dossier.model.rows import Object, Part, PhotoPlace, Work
from dossier.model.words import CameAs, Done, Stage
from dossier.pages.options import PageOptions
from dossier.pages.photographs import Shot, Shots
from dossier.pages.sections import covered, new_removed
from dossier.pages.setting import Setting

PARTS = (
    Part(number="1", part="case"),
    Part(number="2", part="pins", part_of="1", pieces=3),
    Part(number="2a", part="pins, left", part_of="2", pieces=1),
    Part(number="2b", part="pins, right", part_of="2", pieces=2),
)  # 2 is a heading
OPTIONS = PageOptions(created=dt.datetime(2026, 3, 28, tzinfo=dt.UTC))
OLD: tuple[str, Stage, str] = ("photo-001.jpg", "opened", "2026-03-01T10:00:00")
NEW: tuple[str, Stage, str] = ("photo-002.jpg", "working", "2026-03-12T10:00:00")


def record(work: tuple[Work, ...], shots: list[tuple[str, Stage, str]], parts: tuple[str, ...]) -> OpenRecord:
    photographs = tuple(
        Photograph(name=name, bytes=1, sha256="0" * 64, media_type="image/jpeg", stage=stage, parts=parts)
        for name, stage, _ in shots
    )
    payload = Payload(
        format="1.0", sd_alg="sha-256", iat=0, record="urn:uuid:0", job="1", language="en", for_whom="other",
        workshop=WorkshopId(name="W"), object=Object(type="chair"), work=work, parts=PARTS,
        parts_now=parts_now(PARTS, work), photographs=photographs,
    )  # fmt: skip
    told = {name: PhotoDetails(name=name, file=name, taken=taken) for name, _, taken in shots}
    return OpenRecord(payload=payload, digest="0" * 64, photo_details=told)


def row(part: str, done: Done = "replaced", **more: Any) -> Work:
    return Work(
        **{"number": 1, "date": "2026-03-12", "parts": (part,), "done": done, "covered": "yes", **more}
    )


def names(shots: tuple[Shot, ...]) -> list[str]:
    return [shot.name for shot in shots]


@pytest.mark.parametrize(
    ("named", "worked_on", "found"),
    [
        ("2a", "2a", [NEW[0]]),
        ("2", "2a", [NEW[0]]),  # a heading is its parts
        ("1", "2a", []),  # another part, in which it is
        ("2b", "2a", []),
    ],
)
def test_a_photograph_from_before_the_work_is_not_given(named: str, worked_on: str, found: list[str]) -> None:
    work = row(worked_on)
    opened = record((work,), [OLD, NEW], (named,))
    shots = Shots(opened, {OLD[0]: b"jpeg", NEW[0]: b"jpeg"})
    assert names(shots.of_covered(work)) == names(shots.covered) == found


def test_a_place_marked_on_it_names_a_part_too() -> None:
    work = row("2a")
    opened = record((work,), [NEW], ())
    place = PhotoPlace(number="1", kind="point", at=(1, 1), part="2a")
    told = {NEW[0]: PhotoDetails(name=NEW[0], file=NEW[0], taken=NEW[2], places=(place,))}
    shots = Shots(
        OpenRecord(payload=opened.payload, digest=opened.digest, photo_details=told), {NEW[0]: b"jpeg"}
    )
    assert names(shots.of_covered(work)) == [NEW[0]]


def test_only_work_that_can_be_covered_is_counted_where_it_is_not_said() -> None:
    done: tuple[Done, ...] = ("left as found", "not examined", "cleaned")
    rows = tuple(row("2a", one, number=n, covered="not said") for n, one in enumerate(done, 1))
    setting = Setting(record(rows, [], ()), {}, OPTIONS)
    assert covered.empty(setting)[1:] == ["For 1 line of work it is not said whether it was covered."]
    none = Setting(record(rows[:2], [], ()), {}, OPTIONS)
    assert len(covered.empty(none)) == 1


@pytest.mark.parametrize(
    ("named", "came_as", "now", "found"),
    [
        ("2", "original", (), ["1", "2", "3"]),  # a heading is its parts
        ("2a", "original", (), ["1", "2", "3"]),
        ("1", "original", (), []),
        ("2b", "original", (), []),
        ("2", "missing", (), ["2", "3"]),
        ("2a", "missing", (), ["1", "2", "3"]),  # of its place: somebody named it there
        ("2", "original", ("taken away",), ["1", "2"]),
        ("2a", "original", ("taken away",), ["1", "2", "3"]),
    ],
)
def test_a_part_is_on_photographs_of_its_heading(
    named: str, came_as: CameAs, now: tuple[str, ...], found: list[str]
) -> None:
    """But where it was not there: before the work one that was missing, after it one taken away."""
    taken: list[tuple[str, Stage, str]] = [("1", "received", ""), ("2", "working", ""), ("3", "done", "")]
    shots = Shots(record((row("2a"),), taken, (named,)), {})
    part = msgspec.structs.replace(PARTS[2], came_as=came_as)
    assert names(shots.of_part(part, now)) == found


def test_a_picture_of_the_part_itself_stands_before_one_of_its_heading() -> None:
    taken: list[tuple[str, Stage, str]] = [("1", "received", ""), ("2", "received", ""), ("3", "done", "")]
    opened = record((row("2a"),), taken, ("2",))
    own = msgspec.structs.replace(opened.payload.photographs[1], parts=("2a",))
    photographs = (opened.payload.photographs[0], own, opened.payload.photographs[2])
    payload = msgspec.structs.replace(opened.payload, photographs=photographs)
    shots = Shots(msgspec.structs.replace(opened, payload=payload), dict.fromkeys("123", b"jpeg"))
    views = new_removed.closest(shots.of_part(PARTS[2], ()), "2a")
    assert [shot.name for shot, _ in views] == ["2", "3"]
