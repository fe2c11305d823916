"""The record before sealing: neutral names, nothing private in the clear, and what the standards ask for."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import msgspec
import pytest
from counting import calls_again
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier import canonical
from dossier.account.payload import build
from dossier.model.job import Aid, Job
from dossier.model.picture import Shown
from dossier.model.plain import from_plain, to_plain
from dossier.model.record import Payload, Unsealed, WorkshopId
from dossier.model.rows import Measurement
from dossier.words import Catalogue

Change = Callable[[dict[str, Any]], Job]
RECORD = "urn:uuid:6f0c2c1e-0000-4000-8000-000000000001"


def built(job: Job, without: frozenset[str] = frozenset()) -> Unsealed:
    pictures = [
        Shown(file=row.file, sha256=f"{n:064x}", bytes=1000 + n, shown_sha256=f"{n:064x}", shown_width=800)
        for n, row in enumerate(job.photo_rows)
        if row.file not in without
    ]
    workshop = WorkshopId(name=job.workshop.name)
    return build(
        job, Catalogue("en"), workshop=workshop, pictures=pictures, iat=1_780_000_000, record_id=RECORD
    )


def clear(unsealed: Unsealed) -> str:
    return canonical.encode(to_plain(unsealed.payload)).decode()


def test_photographs_have_neutral_names_in_the_order_of_the_job(job_with: Change) -> None:
    change = {"/photo_facts/1/media_type": "image/heic", "/photo_facts/2/media_type": "image/tiff"}
    job = job_with(change | {"/marks/1/photograph": "b.jpg"})
    record = built(job)
    names = [photo.name for photo in record.payload.photographs]
    assert names[:4] == ["photo-001.jpg", "photo-002.heic", "photo-003.tif", "photo-004.jpg"]
    assert [details.name for details in record.photo_details] == names
    assert [details.file for details in record.photo_details] == [row.file for row in job.photo_rows]
    assert record.payload.know_it_by[0].photograph == "photo-002.heic"
    assert record.payload.marks[0].photograph == "photo-003.tif"
    assert record.apart.private_marks[0].photograph == "photo-002.heic"
    assert record.photo_details[1].places[0].part == "2"


def test_the_number_of_a_private_photograph_says_nothing_of_its_name(job_with: Change) -> None:
    """FORMAT.md section 6: behind all others, by their digests, whatever their names and places."""
    job = job_with({"/photo_rows/0/private": True, "/photo_rows/2/private": True})
    rows = job.photo_rows
    for first, second in (("1", "2"), ("2", "1")):
        pictures = [
            Shown(file=row.file, sha256=digest * 64, bytes=1, shown_sha256="3" * 64, shown_width=800)
            for row, digest in zip(rows, (first, "3", second, "3", "3", "3"), strict=True)
        ]
        workshop = WorkshopId(name=job.workshop.name)
        made = build(job, Catalogue("en"), workshop=workshop, pictures=pictures, iat=0, record_id=RECORD)
        order = [rows[n].file for n in (1, 3, 4, 5, *((0, 2) if first == "1" else (2, 0)))]
        assert [details.file for details in made.photo_details] == order
        assert [photo.name for photo in made.payload.photographs] == [d.name for d in made.photo_details]
        assert made.payload.know_it_by[0].photograph == "photo-001.jpg"


def test_sides_come_from_stages(job_with: Change) -> None:
    record = built(job_with({"/photo_rows/2/stage": None}))
    assert [photo.side for photo in record.payload.photographs] == [
        "before", "before", None, "before", "during", "after",
    ]  # fmt: skip


def test_a_photograph_without_bytes_is_not_in_the_record_and_that_is_said(job_with: Change) -> None:
    record = built(job_with({}), without=frozenset({"b.jpg"}))
    assert len(record.payload.photographs) == len(record.photo_details) == 5
    assert record.payload.know_it_by[0].photograph == ""
    assert (
        record.payload.gaps[-1].text
        == "One photograph of the job could not be read and is not in this record."
    )


def test_only_those_who_did_something_are_named(job_with: Change) -> None:
    record = built(job_with({}))
    assert [person.mark for person in record.payload.people] == ["AL"]
    assert [firm.mark for firm in record.payload.firms] == ["GX"]


def test_the_whole_job_leaves_no_gap(job_with: Change) -> None:
    assert built(job_with({})).payload.gaps == ()


def test_the_same_job_gives_the_same_record(job_with: Change) -> None:
    assert built(job_with({})) == built(job_with({}))


def test_the_payload_reads_back_equal(job_with: Change) -> None:
    payload = built(job_with({})).payload
    assert from_plain(Payload, json.loads(canonical.encode(to_plain(payload)))) == payload


# Every member of a job that a copy may leave out, or that no copy holds.
PRIVATE = [
    *(f"/{who}/{member}" for who in ("owner", "brought_by", "payer", "received_by")
      for member in ("name", "address", "telephone", "email")),
    *(f"/agreement_details/0/{member}" for member in ("what", "how", "by", "price")),
    *(f"/values/0/{member}" for member in ("low", "high", "currency", "date", "by", "basis")),
    *(f"/marks/1/{member}" for member in ("text", "kind", "where")),
    "/notes/1/title",
    "/notes/1/text",
    "/price",
    "/inputs/0/0",
    "/inputs/0/2",
    "/photo_rows/1/caption",
    *(f"/photo_facts/1/{member}" for member in ("taken_zone", "camera", "body_digest")),
    "/photo_facts/1/software",
    "/photo_facts/1/profile",
    "/photo_places/b.jpg/0/note",
    "/workshop/key",
    "/workshop/certificate",
    "/workshop/people/1/name",
]  # fmt: skip


def planted(pointers: list[str]) -> dict[str, str]:
    return {pointer: f"secret{n:03d}q" for n, pointer in enumerate(pointers)}


def renamed(job: Job) -> Job:
    """Every photograph under a telling name."""

    def rename(row: Any, name: str) -> Any:
        old = getattr(row, name)
        return msgspec.structs.replace(row, **{name: f"secret-{old}" if old else ""})

    return msgspec.structs.replace(
        job,
        photo_rows=tuple(rename(row, "file") for row in job.photo_rows),
        photo_facts=tuple(rename(row, "file") for row in job.photo_facts),
        photo_places={f"secret-{file}": places for file, places in job.photo_places.items()},
        marks=tuple(rename(row, "photograph") for row in job.marks),
        know_it_by=tuple(rename(row, "photograph") for row in job.know_it_by),
    )


def test_nothing_private_stands_in_the_clear(job_with: Change) -> None:
    record = built(renamed(job_with(planted(PRIVATE))))
    assert "secret" not in clear(record)
    kept_apart = json.dumps(to_plain(record.apart)) + json.dumps([to_plain(d) for d in record.photo_details])
    gone = {"/workshop/key", "/workshop/certificate", "/workshop/people/1/name"}
    for pointer, word in planted(PRIVATE).items():
        assert (word in kept_apart) == (pointer not in gone), pointer


def test_nothing_private_stands_in_the_clear_where_the_job_has_gaps(job_with: Change) -> None:
    """Gaps and sentences are made of a job with most things missing: photographs, times, agreements."""
    change = planted(PRIVATE) | {
        f"/parts/{n}/{member}": "" for n in range(8) for member in ("why", "told_by")
    }
    change |= {f"/photo_rows/{n}/stage": None for n in range(6)}  # type: ignore[misc]
    change |= {"/work/0/agreed_on": "A9", "/photo_facts/0/has_position": True}  # type: ignore[dict-item]
    record = built(renamed(job_with(change)), without=frozenset({"secret-c.jpg"}))
    assert record.payload.gaps
    assert "secret" not in clear(record)


def test_times_of_photographs_stand_apart(job_with: Change) -> None:
    """Everything computed from a photograph is in its one disclosure; a wrong order is said without times."""
    record = built(job_with({"/photo_facts/5/taken": "2026-03-01T09:17:31+01:00"}))
    assert "09:17:31" not in clear(record)
    assert [gap.code for gap in record.payload.gaps] == ["pair-order"]


@settings(deadline=None, max_examples=50)
@given(
    text=st.text(max_size=60),
    where=st.sampled_from(["why", "how", "part", "old_piece", "told_by", "made_by"]),
)
def test_any_typed_text_is_carried(base: dict[str, Any], text: str, where: str) -> None:
    job = from_plain(Job, base)
    if where == "how":
        work = tuple(msgspec.structs.replace(row, how=text) for row in job.work)
        record = built(msgspec.structs.replace(job, work=work))
        assert all(row.how == text for row in record.payload.work)
    else:
        parts = tuple(msgspec.structs.replace(part, **{where: text}) for part in job.parts)
        record = built(msgspec.structs.replace(job, parts=parts))
        assert all(getattr(part, where) == text for part in record.payload.parts)


# Required contents -> path in the payload that holds it ("a/0/b": first of a list). Sources: AIC Commentaries
# 24 and 27; AIC Guideline 23 (from memory); ECCO Code of Ethics 2003, articles 8-10; EN 16095:2012 (scope
# read, fields from memory); Object ID 1.1-1.11 and its recommended extras.
CONTENTS = [
    ("AIC 24: purpose", "looked_at/reason"),
    ("AIC 24: documentor", "looked_at/by"),
    ("AIC 24: date", "dates/received"),
    ("AIC 24: number of the object", "object/inventory_number"),
    ("AIC 24: owner", "apart:owner/0/name"),
    ("AIC 24: maker and origin", "object/maker/what"),
    ("AIC 24: measurements", "measurements/0/value"),
    ("AIC 24: marks", "marks/0/text"),
    ("AIC 24: every component labelled", "parts/0/number"),
    ("AIC 27: dated log", "work/0/date"),
    ("AIC 27: names of those who did it", "people/0/name"),
    ("AIC 27: outside firms", "firms/0/name"),
    ("AIC 27: what was done", "work/0/done"),
    ("AIC 27: variations from the plan", "advised/0/why_not"),
    ("AIC 27: materials added", "parts/1/new_material"),
    ("AIC 27: products", "work/4/product"),
    ("AIC 27: batch", "work/4/batch"),
    ("AIC 27: materials removed", "parts/1/old_piece"),
    ("AIC 27: pictures of what will be hidden", "photographs/4/side"),
    ("AIC 27: what is hidden", "work/7/covered"),
    ("AIC 27: pictures of the final state", "photographs/5/stage"),
    ("AIC 23: compensation can be told", "parts/1/told_by"),
    ("AIC 23: compensation can be undone", "parts/1/undone_by"),
    ("ECCO 8: why it was necessary", "parts/1/why"),
    ("ECCO 9: as reversible as possible", "parts/1/undone_by"),
    ("ECCO 10: written record", "disclosure/0/text"),
    ("ECCO 10: pictorial record", "photographs/0/sha256"),
    ("ECCO 10: plan agreed", "agreements/0/answer"),
    ("EN 16095: identity", "object/title"),
    ("EN 16095: reason", "looked_at/reason"),
    ("EN 16095: examiner", "looked_at/by"),
    ("EN 16095: date", "dates/looked_at"),
    ("EN 16095: conditions of inspection", "looked_at/light"),
    ("EN 16095: how", "looked_at/how/0"),
    ("EN 16095: what could not be seen", "looked_at/could_not_see/0"),
    ("EN 16095: condition", "condition"),
    ("EN 16095: condition of parts", "parts/0/condition"),
    ("EN 16095: recommendations", "handover/care/0"),
    ("Object ID 1.1 photographs", "photographs/0/name"),
    ("Object ID 1.2 type", "object/type"),
    ("Object ID 1.3 measurements", "measurements/0/unit"),
    ("Object ID 1.4 materials and techniques", "object/materials/0"),
    ("Object ID 1.5 inscriptions and markings", "marks/0/where"),
    ("Object ID 1.6 date or period", "object/made/what"),
    ("Object ID 1.7 maker", "object/maker/known_from"),
    ("Object ID 1.8 subject", "object/subject"),
    ("Object ID 1.9 title", "object/title"),
    ("Object ID 1.10 distinguishing features", "know_it_by/0/what"),
    ("Object ID 1.11 description", "object/description"),
    ("Object ID extra: inventory number", "object/inventory_number"),
    ("Object ID extra: related written material", "object/related_papers/0"),
    ("Object ID extra: place of origin", "object/place/what"),
    ("Object ID extra: related objects", "object/related_objects/0"),
    ("Object ID extra: date documented", "dates/looked_at"),
]


@pytest.mark.parametrize(("content", "path"), CONTENTS)
def test_required_contents_have_a_place(content: str, path: str, job_with: Change) -> None:
    """The value a person typed is found at its path, for a job that says everything."""
    record = built(
        job_with({"/object/related_papers": ["a bill of 1902"], "/object/related_objects": ["its case"]})
    )
    apart, _, rest = path.rpartition(":")
    found: Any = to_plain(record.apart if apart else record.payload)
    for step in rest.split("/"):
        found = found[int(step)] if isinstance(found, list) else found[step]
    assert found, content


def test_four_times_the_job_costs_about_four_times_as_much(job_with: Change) -> None:
    def large(count: int) -> Job:
        parts = [{"number": str(n), "part": f"stud {n}", "came_as": "original"} for n in range(count)]
        work = [
            {"number": n, "done": "cleaned", "parts": [str(n)], "date": "2026-03-10"} for n in range(count)
        ]
        return job_with({"/parts": parts, "/work": work})

    few, many = large(200), large(800)
    assert calls_again(lambda: built(many)) < 5 * calls_again(lambda: built(few))


def test_a_measurement_names_its_photograph_as_the_record_does(job_with: Change) -> None:
    """Its own name stands in a disclosure that a copy may leave out, so it must not stand here."""
    own = job_with({}).photo_rows[1].file
    how = f"CIEDE2000 (1:1:1) on {own}; residual mean 1.2"
    job = msgspec.structs.replace(
        job_with({}), measurements=(Measurement(what="colour difference", value="1.8", how=how),)
    )
    record = built(job)
    assert record.payload.measurements[0].how == "CIEDE2000 (1:1:1) on photo-002.jpg; residual mean 1.2"
    assert own not in clear(record)


def test_aids_for_measuring_change_no_record(job_with: Change) -> None:
    job = job_with({})
    aid = Aid(number="9", kind="scale", at=(1.5, 2, 3, 4), lengths=(100.0,), note="the owner's own ruler")
    aided = msgspec.structs.replace(job, photo_aids={row.file: (aid,) for row in job.photo_rows})
    assert built(aided) == built(job)
