"""Photographs of the day on which the work ended: from during it or after it, which no date tells."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import picture_scenes as scenes
from click.testing import CliRunner
from PIL import Image

from dossier.cli import program
from dossier.intake.template import new_job

DATES = '[dates]\nreceived = "2026-03-02"\nbegun = "2026-03-10"\ndone = "2026-03-20"\n'


def proposed(tmp_path: Path, taken: tuple[tuple[str, np.ndarray, str], ...]) -> tuple[str, Path]:
    """What is said of a job with these photographs (name, pixels, day of March), and its folder."""
    folder = tmp_path / "one"
    new_job(folder)
    text = (folder / "job.toml").read_text("utf-8")
    start = text.index("[dates]")
    (folder / "job.toml").write_text(
        text[:start] + DATES + text[text.index("\n[", start) :], encoding="utf-8"
    )
    (folder / "photos").mkdir(exist_ok=True)
    for name, pixels, day in taken:
        exif = Image.Exif()
        exif.get_ifd(0x8769)[0x9003] = f"2026:03:{day} 17:00:00"
        Image.fromarray(pixels).save(folder / "photos" / f"{name}.jpg", exif=exif.tobytes(), quality=90)
    (folder / "photos.csv").unlink()
    result = CliRunner().invoke(program, ["photographs", str(folder), "--propose"], standalone_mode=False)
    return result.output, folder


def test_of_a_day_that_the_dates_leave_open_photographs_are_there(tmp_path: Path) -> None:
    """That none of them make a pair is no reason to say that none is from before, and to ask for a date."""
    views = [scenes.covering(scenes.photograph(name), (800, 600)) for name in ("coffee", "astronaut")]
    said, _ = proposed(tmp_path, (("b", views[0], "10"), ("a", views[1], "20")))
    assert "no pair is proposed: that needs photographs from before and from after" in said


def test_of_days_outside_the_job_it_is_said_why_there_is_no_stage(tmp_path: Path) -> None:
    """A clock that is years or days slow had left its photographs without a stage, and no word of why."""
    plain = np.full((60, 80, 3), 90, np.uint8)
    said, _ = proposed(tmp_path, (("b", plain, "01"), ("c", plain[::2], "01"), ("d", plain[:, ::2], "02")))
    told = said.split("b.jpg and 1 more have no stage", 1)[1].splitlines()[0]
    assert "2026-03-01" in told
    assert "how wrong in the column clock" in told


def test_what_was_taken_on_the_day_it_was_done_may_stand_in_a_pair(tmp_path: Path) -> None:
    """The pair is sure by what it shows, and no more than likely by its day. What may be from during the work
    gives way to what is from before it, though it looks more like it does after ("h", half done).
    """
    view = scenes.covering(scenes.photograph("coffee"), (800, 600))
    worked = view.copy()
    worked[100:400, 100:500] = scenes.covering(scenes.photograph("astronaut"), (400, 300))
    taken = ("b", view, "02"), ("h", worked, "10"), ("w", view[:, ::-1], "12"), ("a", worked[8:, 8:], "20")
    said, folder = proposed(tmp_path, taken)
    assert "1 pair proposed (sure: 0)" in said
    assert "of 1 photograph in these pairs the dates leave open" in said
    rows = dict(line.split(",", 1) for line in (folder / "photos.csv").read_text("utf-8-sig").splitlines())
    assert [rows[name].split(",")[:3] for name in ("b.jpg", "h.jpg", "w.jpg", "a.jpg")] == [
        ["received", "", "1"],
        ["", "", ""],
        ["working", "", ""],
        ["done", "", "1"],
    ]


def test_what_was_taken_before_the_object_came_may_be_of_another_job(tmp_path: Path) -> None:
    """The job before it on the same telephone: its days have no stage here, and it had been no hint."""
    own, other = (scenes.covering(scenes.photograph(name), (800, 600)) for name in ("coffee", "gravel"))
    taken = [(f"s{n}", other[n:, 9 * n :], "01") for n in range(3)]
    taken += [(f"b{n}", own[n:, 9 * n :], ("03", "22")[n // 3]) for n in range(5)]
    said, _ = proposed(tmp_path, tuple(taken))
    assert "s0.jpg to s2.jpg, 3 photographs of one sitting, show nothing that any other" in said
