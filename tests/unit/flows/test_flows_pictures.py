"""The pictures of a job keep to their budget, whatever the photographs: counted in encoded bytes."""

from __future__ import annotations

import io
import os
from collections.abc import Callable
from pathlib import Path

import msgspec
import numpy as np
import pytest
from PIL import Image

from dossier.errors import JobError
from dossier.flows.compile import MOST_BYTES, _too_large, _without_picture
from dossier.flows.compiling.options import Options
from dossier.flows.compiling.pictures import derive_pictures
from dossier.intake.photographs import read_facts
from dossier.model.job import Job, PhotoFacts, Workshop
from dossier.model.picture import Pictures
from dossier.model.rows import Object, PhotoRow
from dossier.pictures import derive, plan

BUDGET = 700_000
SIZE = (900, 675)


def saved(folder: Path, count: int, *, noise: bool) -> Job:
    """A job of so many photographs, of grain in every pixel, or of one even grey."""
    (folder / "photos").mkdir()
    facts = []
    for n in range(count):
        grain = np.random.default_rng(n).integers(0, 256, (SIZE[1], SIZE[0], 3), np.uint8)
        pixels = grain if noise else np.full_like(grain, 120 + n)
        file = folder / "photos" / f"{n}.jpg"
        Image.fromarray(pixels).save(file, quality=90)
        facts.append(
            PhotoFacts(
                file=file.name, bytes=file.stat().st_size, width=SIZE[0], height=SIZE[1], orientation=1
            )
        )
    return Job(
        number="1",
        workshop=Workshop(name="W"),
        object=Object(type="chair"),
        photo_rows=tuple(PhotoRow(file=f.file, pair="" if n else "a") for n, f in enumerate(facts)),
        photo_facts=tuple(facts),
    )


def total(made: Pictures) -> int:
    return sum(map(len, [*made.jpegs.values(), *made.laid.values()]))


def nothing(_done: int, _total: int) -> None:
    pass


@pytest.fixture
def budget(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(plan, "BUDGET", BUDGET)


def test_pictures_that_are_all_grain_keep_to_the_budget(tmp_path: Path, budget: None) -> None:
    job = saved(tmp_path, 4, noise=True)
    assert plan.step(job) == 0  # by the usual estimate they would fit as they are
    _, made = derive_pictures(tmp_path / "photos", job, nothing)
    assert made.rung > 0
    assert BUDGET / 4 < total(made) <= BUDGET
    assert set(made.jpegs) == {row.file for row in job.photo_rows}
    for row in made.shown:
        with Image.open(io.BytesIO(made.jpegs[row.file])) as picture:
            assert picture.size == (row.shown_width, row.shown_height)


def test_a_picture_that_cannot_be_read_counts_for_nothing(tmp_path: Path, budget: None) -> None:
    job = saved(tmp_path, 4, noise=True)
    file = tmp_path / "photos" / "1.jpg"
    file.write_bytes(b"\0" * file.stat().st_size)
    seen, made = derive_pictures(tmp_path / "photos", job, nothing)
    assert [f.file for f in seen.photo_facts if f.problem] == ["1.jpg"]
    assert total(made) <= BUDGET
    assert len(made.jpegs) == 3


def test_a_picture_that_cannot_be_shown_is_said(tmp_path: Path) -> None:
    """Its header was in order, so that nothing was said of it before it was opened."""
    job = saved(tmp_path, 5, noise=True)
    whole, _ = derive_pictures(tmp_path / "photos", job, nothing)
    assert _without_picture(whole) == ""
    for n in range(1, 5):
        file = tmp_path / "photos" / f"{n}.jpg"
        data = file.read_bytes()
        file.write_bytes((data[: len(data) // 2] + b"\xff\xd9").ljust(len(data), b"\0"))
    said = _without_picture(derive_pictures(tmp_path / "photos", job, nothing)[0])
    assert said.startswith("The pictures of 4 photographs are not in the dossier")
    assert "(1.jpg, 2.jpg, 3.jpg, ...)" in said


def test_one_that_is_written_over_in_place_stops_it_too(tmp_path: Path) -> None:
    """As by a program that turns a photograph or sets its clock: as long as before, and other facts in it."""
    job = saved(tmp_path, 3, noise=True)
    file = tmp_path / "photos" / "1.jpg"
    facts = read_facts(tmp_path / "photos", "UTC")
    job = msgspec.structs.replace(job, photo_facts=facts)
    derive_pictures(tmp_path / "photos", job, nothing)
    before = file.stat()
    file.write_bytes(file.read_bytes().replace(b"JFIF", b"JFXX"))
    os.utime(file, ns=(before.st_atime_ns, before.st_mtime_ns + 1_000_000_000))
    with pytest.raises(JobError, match=r"1\.jpg: this photograph changed while"):
        derive_pictures(tmp_path / "photos", job, nothing)
    os.utime(file, ns=(0, 0))  # a time too, and not none
    with pytest.raises(JobError, match=r"1\.jpg: this photograph changed while"):
        derive_pictures(tmp_path / "photos", job, nothing)


def test_a_pipe_in_the_place_of_one_is_not_waited_for(tmp_path: Path, pipe: Callable[[Path], None]) -> None:
    job = saved(tmp_path, 1, noise=True)
    (tmp_path / "photos" / "0.jpg").unlink()
    pipe(tmp_path / "photos" / "0.jpg")
    with pytest.raises(JobError, match=r"0\.jpg: this photograph changed while"):
        derive_pictures(tmp_path / "photos", job, nothing)


def test_of_one_that_is_removed_meanwhile_it_is_said_what_to_do(tmp_path: Path) -> None:
    job = saved(tmp_path, 2, noise=False)
    (tmp_path / "photos" / "1.jpg").unlink()
    with pytest.raises(JobError, match=r"1\.jpg: this photograph cannot be read: No such file") as told:
        derive_pictures(tmp_path / "photos", job, nothing)
    assert told.value.hint.startswith("compile again")


@pytest.mark.parametrize("change", [lambda data: data + b"more", lambda data: data[:-9], lambda _: b"other"])
def test_a_photograph_that_changes_meanwhile_stops_the_run(
    tmp_path: Path, change: Callable[[bytes], bytes]
) -> None:
    """As in a folder still coming in from a telephone: its size would stand beside another's digest."""
    job = saved(tmp_path, 3, noise=True)
    file = tmp_path / "photos" / "1.jpg"
    file.write_bytes(change(file.read_bytes()))
    with pytest.raises(JobError, match=r"1\.jpg: this photograph changed while"):
        derive_pictures(tmp_path / "photos", job, nothing)


def test_where_there_is_room_it_is_used(tmp_path: Path, budget: None) -> None:
    """Pictures that take less than such pictures usually do are shown larger than the estimate allows."""
    job = saved(tmp_path, 12, noise=False)
    assert plan.step(job) > 0
    _, made = derive_pictures(tmp_path / "photos", job, nothing)
    assert made.rung == 0
    assert total(made) <= BUDGET


def test_what_was_tried_is_not_made_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A few are tried where the estimate is cautious; on the rung that such jobs come to, they are ready."""
    monkeypatch.setattr(plan, "BUDGET", 2 * BUDGET)
    job = saved(tmp_path, 12, noise=False)
    assert plan.step(job) > 0
    read: list[str] = []

    def counted(path: Path, facts: PhotoFacts) -> bytes:
        read.append(path.name)
        return original(path, facts)

    original = derive.read_original
    monkeypatch.setattr(derive, "read_original", counted)
    _, made = derive_pictures(tmp_path / "photos", job, nothing)
    assert made.rung == plan.likely(job)
    assert sorted(read) == sorted(row.file for row in job.photo_rows)
    monkeypatch.setattr(plan, "LIKELY", 2.0)  # far from what they take
    again = derive_pictures(tmp_path / "photos", job, nothing)[1]
    assert again.jpegs == made.jpegs
    assert len(read) > 2 * len(job.photo_rows)


def test_a_pdf_that_is_larger_than_promised_says_so() -> None:
    assert _too_large(MOST_BYTES, Options()) == ""
    assert "has 15.1 MB" in _too_large(MOST_BYTES + 1, Options())
    assert "has 16.0 MB" in _too_large(16_000_000, Options())
    assert _too_large(16_000_000, Options(originals="inside")) == ""
