"""What a heading's row says of new work stands on the page: told by its parts, else in its own place."""

from __future__ import annotations

import datetime as dt
from typing import Any

import msgspec
import pytest

from dossier.account.parts import parts_now
from dossier.model.record import OpenRecord, Payload, WorkshopId
from dossier.model.rows import Object, Part, Work
from dossier.pages.options import PageOptions
from dossier.pages.sections import new_removed
from dossier.pages.setting import Setting

PAPERS = Part(number="21", part="wallpapers", pieces=2)
HALL = Part(number="22", part="of the hall", part_of="21", came_as="original")
KITCHEN = Part(number="24", part="of the kitchen", part_of="21", came_as="original", why="in shreds")


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({}, ["24"]),
        ({"why": "in shreds"}, ["24"]),  # its part says so too
        ({"undone_by": "damp blotters", "old_piece": "in an envelope"}, ["21", "24"]),
    ],
)
def test_what_a_heading_says_is_told_once(
    typed: dict[str, Any], told: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """One paper alone was replaced, so that the words on all of them are not taken for its own."""
    parts = (msgspec.structs.replace(PAPERS, **typed), HALL, KITCHEN)
    work = (Work(number=1, parts=("24",), done="replaced"),)
    payload = Payload(
        format="1.0",
        sd_alg="sha-256",
        iat=0,
        record="urn:uuid:0",
        job="1",
        language="en",
        for_whom="other",
        workshop=WorkshopId(name="W"),
        object=Object(type="house"),
        work=work,
        parts=parts,
        parts_now=parts_now(parts, work),
    )
    options = PageOptions(created=dt.datetime(2026, 3, 28, tzinfo=dt.UTC))
    s = Setting(OpenRecord(payload=payload, digest="0" * 64), {}, options)
    places = new_removed.told(s)
    assert [part.number for part, _ in places] == told
    if told[0] == "21":
        assert places[0][1] == set(typed)
    rows = dict(new_removed._rows(s, parts[0]))
    assert all(rows[name] == text for name, text in typed.items())
    assert new_removed._owed(s, parts[0]) == ()
