"""Measuring on a job's photographs: drawn scales of known length; what cannot be measured stops nothing."""

from __future__ import annotations

import csv
from pathlib import Path

import colour_scenes as colours
import numpy as np
import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st
from measuring_jobs import CARD, HEAD, RULER, STRAP, at, coloured, job_of, marks_of, scene, sized_marks

from dossier.cli import program
from dossier.errors import UsageError
from dossier.flows.looking import measure as flow
from dossier.flows.looking import measure_rows as say
from dossier.intake.folder import read_job
from dossier.model.job import Aid, PhotoFacts
from dossier.pictures import measuring
from dossier.words import Catalogue

WORDS = Catalogue()


@pytest.mark.parametrize(
    ("tilt", "scale", "size", "plane"),
    [(0.0, RULER, "100 mm", "not known"), (0.12, CARD, "8.56 cm x 53.98 mm", "corrected")],
    ids=["ruler", "card seen at an angle"],
)
def test_a_drawn_scale_measures_back(
    tmp_path: Path, tilt: float, scale: np.ndarray, size: str, plane: str
) -> None:
    picture, to = scene(tilt)
    folder = job_of(
        tmp_path / "job",
        {"a.jpg": picture},
        sized_marks(to, picture.shape, scale, size),
        {"a.jpg": "received"},
    )
    rows = say.rows(flow.measure(folder, WORDS))
    truth = {"the length": (100, "mm"), "area, the area": (12, "cm²"), "stitch pitch, the pitch": (3, "mm")}
    assert [row.what for row in rows] == list(truth)
    for row in rows:
        value, unit = truth[row.what]
        assert abs(float(row.value) - value) <= float(row.plus_minus)
        assert float(row.plus_minus) < 0.04 * value + 0.1
        assert (row.unit, row.part) == (unit, "1")
        assert "a.jpg" in row.how
        assert size in row.how
        assert plane in row.how
        # The marks keep their decimals, so that a pixel is supposed; twice that is stated (JCGM 100, 6.3.3).
        assert "within 2 pixels" in row.how


@pytest.mark.parametrize("scale", [RULER, CARD], ids=["ruler", "card"])
def test_the_stated_uncertainty_holds_for_a_hand_that_slips(scale: np.ndarray) -> None:
    """400 hands with the deviation that is assumed: 95 % within, give or take (binomial: 92.5 to 97.5)."""
    _, to = scene(0.0 if scale is RULER else 0.12)
    rng, size = np.random.default_rng(7), (2200, 1700)
    within = 0
    for _ in range(400):
        marks = [
            aid(
                "scale", at(scale, to, rng, 2.2), size, lengths=(100.0,) if scale is RULER else (85.6, 53.98)
            ),
            aid("length", at(STRAP, to, rng, 2.2), size),
        ]
        (found,) = measuring.sizes(marks, *size)
        within += abs(found.measured.value - 100) <= found.measured.plus_minus
    assert 0.925 <= within / 400 <= 0.975


def aid(kind: str, points: np.ndarray, size: tuple[int, int], **values: object) -> Aid:
    """As written to whole parts of 1,000, which the deviation of 1 part is for."""
    at_1000 = tuple(float(v) for point in np.round(points / size * 1000) for v in point)
    return Aid(number=kind, kind=kind, at=at_1000, step=1.0, **values)


@pytest.mark.parametrize("language", ["en", "de"])
def test_the_command_proposes_and_writes_over_nothing(tmp_path: Path, language: str) -> None:
    picture, to = scene(0.0)
    folder = job_of(
        tmp_path / "job",
        {"a.jpg": picture},
        sized_marks(to, picture.shape, RULER, "100 mm") + "a.jpg,9,scale,,,,\n",
        {"a.jpg": "received"},
    )
    job = (folder / "job.toml").read_text(encoding="utf-8")
    (folder / "job.toml").write_text(
        job.replace("# language = ", f'language = "{language}" # '), encoding="utf-8"
    )
    done = CliRunner().invoke(program, ["photographs", str(folder), "--measure"])
    assert done.exit_code == 0, done.output
    assert "square-on" in done.output  # the warning
    assert "marks.csv" in done.output  # the faulty row is said
    proposed = folder / say.PROPOSED
    with proposed.open(newline="", encoding="utf-8-sig") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 4  # the example's own and three new ones
    mark = "," if language == "de" else "."
    assert rows[1]["value"].count(mark) == 1
    again = CliRunner().invoke(program, ["photographs", str(folder), "--measure"])
    assert again.exit_code != 0
    assert "already there" in str(again.exception)
    # What the person takes over is read as it was proposed.
    (folder / "marks.csv").write_text(HEAD, encoding="utf-8")
    proposed.rename(folder / "measurements.csv")
    read, findings = read_job(folder)
    assert read is not None
    assert [f for f in findings if f.level == "error"] == []
    assert [row.what for row in read.measurements] == [row["what"] for row in rows]
    assert read.measurements[1].how == rows[1]["how"]


def test_nothing_to_measure_is_said(tmp_path: Path) -> None:
    folder = job_of(tmp_path / "job", {"a.jpg": scene(0.0)[0]}, "", {"a.jpg": "received"})
    done = CliRunner().invoke(program, ["photographs", str(folder), "--measure"])
    assert "nothing is marked to be measured" in done.output
    assert not (folder / say.PROPOSED).exists()
    (folder / "marks.csv").write_text(HEAD + 'a.jpg,1,length,"10,10 60,60",,,\n', encoding="utf-8")
    done = CliRunner().invoke(program, ["photographs", str(folder), "--measure"])
    assert "no scale is marked" in done.output
    assert say.PROPOSED not in done.output  # it is not written


@pytest.mark.parametrize("size", [(2, 2), (60, 40)])
def test_a_scale_on_a_tiny_picture_is_a_reason_not_an_error(size: tuple[int, int]) -> None:
    marks = [
        Aid(number="1", kind="scale", at=(0, 0, 10, 10), lengths=(5.0,)),
        Aid(number="2", kind="length", at=(0, 0, 100, 100)),
    ]
    with pytest.raises(ValueError, match="pixel"):
        measuring.sizes(marks, *size)


PAIRS = st.tuples(st.floats(0, 1000), st.floats(0, 1000))


@given(
    scale=st.one_of(st.lists(PAIRS, min_size=2, max_size=2), st.lists(PAIRS, min_size=4, max_size=4)),
    points=st.lists(PAIRS, min_size=3, max_size=6),
    mm=st.floats(0.001, 100_000),
    size=st.tuples(st.integers(1, 12_000), st.integers(1, 12_000)),
)
@settings(deadline=None, max_examples=150)
def test_any_marks_give_a_number_or_a_reason(
    scale: list[tuple[float, float]],
    points: list[tuple[float, float]],
    mm: float,
    size: tuple[int, int],
) -> None:
    def one(kind: str, at_1000: list[tuple[float, float]], lengths: tuple[float, ...] = ()) -> Aid:
        return Aid(number=kind, kind=kind, at=tuple(v for pair in at_1000 for v in pair), lengths=lengths)

    lengths = (mm,) if len(scale) == 2 else (mm, mm / 2)
    marks = [one("scale", scale, lengths), *(one(kind, points) for kind in ("length", "area", "pitch"))]
    try:
        found = measuring.sizes(marks, *size)
    except ValueError:
        return
    for sized in found:
        assert sized.measured.value >= 0
        value, plus_minus, unit = say.written(sized, WORDS)
        assert float(value) >= 0
        assert float(plus_minus) >= 0
        assert unit in ("mm", "mm²", "cm²", "dm²")


def test_a_camera_tilted_over_two_rulers_is_told(tmp_path: Path) -> None:
    """Seen at 25 degrees (cosine 0.906) one way, the one ruler is foreshortened and the other is not."""
    picture, _ = scene(0.0)
    rows = [
        'a.jpg,1,scale,"20.00,80.00 60.00,80.00",,,100 mm',
        f'a.jpg,2,scale,"10.00,20.00 10.00,{20 + 40 * 2200 / 1700 * 0.906:.2f}",,,100 mm',
        'a.jpg,3,length,"20.00,50.00 60.00,50.00",,strap,',
    ]
    folder = job_of(tmp_path / "job", {"a.jpg": picture}, "\n".join(rows) + "\n", {"a.jpg": "received"})
    taken = flow.measure(folder, WORDS)
    assert taken.photos[0].sizes[0].measured.plane == "oblique"
    assert any("taken at an angle" in line for line in say.lines(taken, WORDS))
    assert "at an angle by both" in say.rows(taken)[0].how


def test_what_the_scale_cannot_measure_stops_nothing_else(tmp_path: Path) -> None:
    """The four corners run together upwards, so that the top of the picture is beyond their horizon."""
    rows = [
        'a.jpg,1,scale,"20,60 60,60 45,40 35,40",,,100 mm x 100 mm',
        'a.jpg,2,length,"20,90 60,90",,strap,',
        'a.jpg,3,length,"40,0 60,0",,handle,',
        'a.jpg,4,area,"20,70 30,80 30,70 20,80",,lining,',
    ]
    folder = job_of(tmp_path / "job", {"a.jpg": scene(0.0)[0]}, "\n".join(rows) + "\n", {"a.jpg": "received"})
    taken = flow.measure(folder, WORDS)
    assert [row.what for row in say.rows(taken)] == ["strap"]
    not_measured = [line for line in say.lines(taken, WORDS) if "not measured" in line]
    assert [line.split()[0] for line in not_measured] == ["3", "4"]


def test_measuring_and_drawing_what_changed_are_runs_of_their_own(tmp_path: Path) -> None:
    """A proposal or a contact sheet asked for with what changed had not been made, without a word."""
    folder = job_of(tmp_path / "job", {"a.jpg": scene(0.0)[0]}, "", {"a.jpg": "received"})
    for asked in (
        ["--measure", "--propose"],
        ["--changes", "drawn", "--propose"],
        ["--changes", "drawn", "--to", "x.jpg"],
    ):
        done = CliRunner().invoke(program, ["photographs", str(folder), *asked])
        assert isinstance(done.exception, UsageError)
    assert sorted(path.name for path in folder.glob("*.proposed.csv")) == []


def test_a_photograph_that_cannot_be_opened_stops_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before, first = coloured(colours.CAMERAS[0], "D50", 0.85, colours.spectra("samples")[0], 1)
    marks = marks_of("b.jpg", first) + marks_of("a.jpg", first)
    folder = job_of(
        tmp_path / "job", {"b.jpg": before, "a.jpg": before}, marks, {"b.jpg": "received", "a.jpg": "done"}
    )
    whole = (folder / "photos" / "a.jpg").read_bytes()
    (folder / "photos" / "a.jpg").write_bytes(whole[: len(whole) // 2])
    taken = flow.measure(folder, WORDS)
    assert [finding.code for finding in taken.findings] == ["photograph-cannot-serve"]
    assert len(say.rows(taken)) == 1
    # Whole when the job was read, and broken or gone when its pixels are wanted.
    (folder / "photos" / "a.jpg").write_bytes(whole)
    pixels = flow._pixels

    def broken(folder: Path, facts: PhotoFacts) -> np.ndarray:
        if facts.file == "a.jpg":
            (folder / "photos" / "a.jpg").unlink(missing_ok=True)
        return pixels(folder, facts)

    monkeypatch.setattr(flow, "_pixels", broken)
    taken = flow.measure(folder, WORDS)
    (found,) = taken.differences
    assert found.why == "unreadable"
    said = say.lines(taken, WORDS)
    assert sum("a.jpg: " in line for line in said) == 2
    assert len(say.rows(taken)) == 1


def test_no_size_is_proposed_on_a_photograph_that_cannot_be_decoded(tmp_path: Path) -> None:
    """Start and end are whole, so that the job is read; without tables it is none (ITU-T T.81, B.2.4.1)."""
    picture, to = scene(0.0)
    marks = sized_marks(to, picture.shape, RULER, "100 mm")
    folder = job_of(tmp_path / "job", {"a.jpg": picture}, marks, {"a.jpg": "received"})
    file = folder / "photos" / "a.jpg"
    file.write_bytes(file.read_bytes().replace(b"\xff\xdb", b"\xff\xfe"))  # its tables are remarks now
    taken = flow.measure(folder, WORDS)
    assert say.rows(taken) == []
    assert sum("a.jpg: " in line for line in say.lines(taken, WORDS)) == 1


def test_scales_beyond_those_that_measure_are_named(tmp_path: Path) -> None:
    """Two of three are used; of two none is left."""
    pixels, to = scene(0.0)
    marks = sized_marks(to, pixels.shape, RULER, "100 mm")
    more = [
        f'a.jpg,{name},scale,"{colours.percent(at(mm, to), pixels.shape)}",,,{size}\n'
        for name, mm, size in (("t", CARD[:2], "85.6 mm"), ("u", CARD[1:3], "53.98 mm"))
    ]
    job = job_of(tmp_path / "job", {"a.jpg": pixels}, marks + "".join(more), {"a.jpg": "received"})
    said = say.lines(flow.measure(job, WORDS), WORDS)
    assert sum("measured by scale s, t; not by u:" in line for line in said) == 1
    (job / "marks.csv").write_text(HEAD + marks + more[0], encoding="utf-8")
    assert not any("not by" in line for line in say.lines(flow.measure(job, WORDS), WORDS))


def test_a_scale_that_contradicts_the_one_that_measures_is_told(tmp_path: Path) -> None:
    """Beside a card's four corners a ruler of 100 mm: once as it is, once said to have 110 mm."""
    pixels, to = scene(0.12)
    marks = sized_marks(to, pixels.shape, CARD, "8.56 cm x 53.98 mm")
    ruler = f'a.jpg,r,scale,"{colours.percent(at(RULER, to), pixels.shape)}",,,'
    job = job_of(tmp_path / "job", {"a.jpg": pixels}, f"{marks}{ruler}100 mm\n", {"a.jpg": "received"})
    assert not flow.measure(job, WORDS).photos[0].contradicting
    (job / "marks.csv").write_text(f"{HEAD}{marks}{ruler}110 mm\n", encoding="utf-8")
    taken = flow.measure(job, WORDS)
    (wrong,) = taken.photos[0].contradicting
    assert wrong.measured.value == pytest.approx(100, abs=wrong.measured.plus_minus)
    said = say.lines(taken, WORDS)
    assert sum("scale r is said to be 110 mm, and by scale s it is" in line for line in said) == 1
