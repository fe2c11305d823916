"""Measuring on a job's photographs: drawn scales of known length, and targets of measured spectra."""

from __future__ import annotations

import csv
import itertools
from pathlib import Path

import colour_scenes as colours
import cv2
import msgspec
import numpy as np
import picture_scenes as scenes
import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.cli import program
from dossier.errors import UsageError
from dossier.flows.looking import measure as flow
from dossier.flows.looking import measure_rows as say
from dossier.intake.folder import read_job
from dossier.intake.template import new_job
from dossier.model.job import Aid, PhotoFacts
from dossier.pictures import difference, measuring, target
from dossier.words import Catalogue

WORDS = Catalogue()
HEAD = "file,number,place,at,part,note,size\n"
MM = 4.0  # px a mm of the flat scene
RULER = np.array([[40.0, 170.0], [140.0, 170.0]])  # mm: 100 mm
CARD = np.array(
    [[150.0, 20.0], [235.6, 20.0], [235.6, 73.98], [150.0, 73.98]]
)  # 85.60 x 53.98 mm (ISO/IEC 7810)
STRAP = np.array([[30.0, 40.0], [110.0, 100.0]])  # 100 mm: 80, 60, 100
PATCH = np.array([[60.0, 90.0], [100.0, 90.0], [100.0, 120.0], [60.0, 120.0]])  # 1,200 mm2
SEAM = np.array([[30.0 + 3.0 * n, 150.0] for n in range(11)])  # 3 mm


def scene(tilt: float) -> tuple[np.ndarray, np.ndarray]:
    """A public photograph as a flat thing of 250 x 187.5 mm with a ruler drawn on, seen at an angle."""
    flat = scenes.covering(scenes.photograph("rockery"), (1000, 750)).copy()
    for start, end in itertools.pairwise(np.linspace(*RULER, 11) * MM):
        (x, y), right = start.astype(int).tolist(), int(end[0])
        cv2.rectangle(flat, (x, y), (right, y + 18), (250, 250, 245), -1)
        cv2.line(flat, (x, y), (x, y + 18), (10, 10, 10), 2)
    ends = np.array([[0, 0], [1000, 0], [1000, 750], [0, 750]], np.float32)
    shift = np.array([[tilt, 0], [-tilt, 0], [0, 0], [0, 0]], np.float32) * 1000
    to = cv2.getPerspectiveTransform(ends, np.array(ends * 2 + 100 + shift, np.float32))
    return cv2.warpPerspective(flat, to, (2200, 1700), borderValue=(60, 60, 60)), to


def at(
    mm: np.ndarray, to: np.ndarray, rng: np.random.Generator | None = None, off: float = 0.0
) -> np.ndarray:
    """Where points of the thing are seen; placed by a hand that is `off` by so many pixels."""
    points = cv2.perspectiveTransform((mm * MM)[None], to)[0]
    return points if rng is None else points + rng.normal(0, off, points.shape)


def job_of(folder: Path, pictures: dict[str, np.ndarray], marks: str, stages: dict[str, str]) -> Path:
    new_job(folder)
    photos = folder / "photos"
    photos.mkdir(exist_ok=True)
    for name, pixels in pictures.items():
        assert cv2.imwrite(str(photos / name), pixels[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, 95])
    lines = [f"{name},{stage}" for name, stage in stages.items()]
    (folder / "photos.csv").write_text("\n".join(["file,stage", *lines]) + "\n", encoding="utf-8")
    (folder / "marks.csv").write_text(HEAD + marks, encoding="utf-8")
    return folder


def sized_marks(to: np.ndarray, shape: tuple[int, ...], scale: np.ndarray, size: str) -> str:
    wanted = {"length": STRAP, "area": PATCH, "pitch": SEAM}
    rows = [f'a.jpg,s,scale,"{colours.percent(at(scale, to), shape)}",,,{size}']
    rows += [
        f'a.jpg,{kind},{kind},"{colours.percent(at(mm, to), shape)}",1,the {kind},'
        for kind, mm in wanted.items()
    ]
    return "\n".join(rows) + "\n"


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


def coloured(camera: str, lamp: str, exposure: float, place: np.ndarray, seed: int) -> tuple[np.ndarray, str]:
    """A public photograph with the target and a patch of a material; the target's corners as written."""
    ground = scenes.covering(scenes.photograph("coffee"), (1500, 1100)).copy()
    patches = colours.srgb(colours.seen(colours.spectra("ISO 17321-1"), camera, lamp, exposure))
    corners = np.array([[180, 120], [900, 160], [870, 640], [150, 600]])
    picture, block = colours.laid_into(ground, colours.chart(patches), corners)
    picture[750:950, 300:600] = colours.srgb(colours.seen(place, camera, lamp, exposure))
    return colours.grained(picture, seed), colours.percent(block, picture.shape)


def marks_of(file: str, corners: str, made: str = "before November 2014") -> str:
    return (
        f'{file},t,target,"{corners}",,,{made}\n'
        f'{file},1,colour,"{colours.percent(np.array([[320, 770], [580, 930]]), (1100, 1500))}",1,Thread,\n'
    )


@pytest.mark.parametrize(("old", "new"), [(0, 0), (0, 1), (12, 12), (8, 3)])
def test_a_colour_before_and_after_in_another_light(tmp_path: Path, old: int, new: int) -> None:
    """CIE test samples under daylight, then under an incandescent lamp: within what is said."""
    spectra = colours.spectra("samples")
    before, first = coloured(colours.CAMERAS[0], "D50", 0.85, spectra[old], 1)
    after, last = coloured(colours.CAMERAS[0], "A", 0.7, spectra[new], 2)
    folder = job_of(
        tmp_path / "job",
        {"b.jpg": before, "a.jpg": after},
        marks_of("b.jpg", first) + marks_of("a.jpg", last).replace("Thread", "thread"),
        {"b.jpg": "received", "a.jpg": "done"},
    )
    taken = flow.measure(folder, WORDS)
    truth = float(difference.ciede2000(*colours.lab_d50(spectra[[old, new]])))
    (found,) = taken.differences
    assert found.why == ""
    assert abs(found.value - truth) <= found.plus_minus
    assert found.plus_minus < 8
    row = say.rows(taken)[-1]
    assert (row.unit, row.value) == ("dE00", f"{found.value:.1f}")
    for word in ("CIEDE2000 (1:1:1)", "b.jpg", "a.jpg", "residual", "ISO 19264-1:2021"):
        assert word in row.how


@pytest.mark.parametrize("camera", colours.CAMERAS, ids=range(len(colours.CAMERAS)))
def test_the_uncertainty_of_a_difference_holds(camera: str) -> None:
    """Every two of the fourteen samples, under three pairs of lamps: 95 % of the true differences within."""
    spectra = colours.spectra("samples")
    truth = colours.lab_d50(spectra)
    lamps = [("D50", "A"), ("D65", "D50"), ("A", "D65")]
    within = []
    for one, other in lamps:
        labs, squares = zip(*(measured(camera, lamp) for lamp in (one, other)), strict=True)
        for i, j in itertools.product(range(len(spectra)), repeat=2):
            seen = float(difference.ciede2000(labs[0][i], labs[1][j]))
            off = abs(seen - float(difference.ciede2000(truth[i], truth[j])))
            within.append(off <= measuring.COVERAGE * sum(squares) ** 0.5)
    assert np.mean(within) >= 0.95


def measured(camera: str, lamp: str) -> tuple[np.ndarray, float]:
    fit = target.fit(colours.seen(colours.spectra("ISO 17321-1"), camera, lamp), "before November 2014")
    assert fit.left_out_square is not None
    return fit.lab(colours.seen(colours.spectra("samples"), camera, lamp)), fit.left_out_square


def test_without_a_reference_no_difference_is_given_and_why(tmp_path: Path) -> None:
    spectra = colours.spectra("samples")
    before, first = coloured(colours.CAMERAS[0], "D50", 0.85, spectra[0], 1)
    after, last = coloured(colours.CAMERAS[0], "D50", 0.85, spectra[1], 2)
    plain = marks_of("a.jpg", last).splitlines()[1]
    grey = f'a.jpg,g,grey card,"{colours.percent(np.array([[300, 520], [320, 540]]), after.shape)}",,,\n'
    wrong = '"5,5 20,5 20,15 5,15"'
    swapped = marks_of("a.jpg", last).replace(f'"{last}"', wrong)
    given = marks_of("b.jpg", first)
    covered = after.copy()
    covered[:700, :1000] = (120, 110, 90)
    stages = {"b.jpg": "received", "a.jpg": "done"}
    cases = {
        "no_reference": given + plain,
        "grey_card": given + plain + "\n" + grey,
        "not_good_enough": given + swapped,
        "one_side": given,
        "several": given + marks_of("a.jpg", last) + plain.replace(",1,colour", ",2,colour"),
    }
    for number, (why, marks) in enumerate(cases.items()):
        shown = covered if why in ("no_reference", "grey_card") else after
        folder = job_of(tmp_path / str(number), {"b.jpg": before, "a.jpg": shown}, marks, stages)
        taken = flow.measure(folder, WORDS)
        assert [one.why for one in taken.differences] == [why]
        assert not any(row.unit == "dE00" for row in say.rows(taken))
        (line,) = [line for line in say.lines(taken, WORDS) if line.startswith("  colour difference")]
        assert WORDS.say(f"measuring.why.{why}", **taken.differences[0].fields) in line


def test_a_burnt_out_place_has_no_colour(tmp_path: Path) -> None:
    before, first = coloured(colours.CAMERAS[0], "D50", 0.85, colours.spectra("samples")[0], 1)
    before[750:950, 300:600] = 255
    folder = job_of(tmp_path / "job", {"b.jpg": before}, marks_of("b.jpg", first), {"b.jpg": "received"})
    taken = flow.measure(folder, WORDS)
    assert taken.photos[0].colours[0].lab is None
    assert say.rows(taken) == []


def test_a_place_brighter_than_white_is_not_in_the_light_of_the_target(tmp_path: Path) -> None:
    """The target has a seventh of the light that falls on a pale sample (CIE 13.3, the first: L* 61)."""
    before, first = coloured(colours.CAMERAS[0], "D50", 0.85, colours.spectra("samples")[0], 1)
    light = difference.linear(before[:700]) / 7
    before[:700] = colours.srgb(light)
    folder = job_of(tmp_path / "job", {"b.jpg": before}, marks_of("b.jpg", first), {"b.jpg": "received"})
    taken = flow.measure(folder, WORDS)
    assert taken.photos[0].reference is not None
    assert taken.photos[0].reference.no_difference is None  # the target itself is well met
    assert taken.photos[0].colours[0].lab is None
    assert say.rows(taken) == []


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


@pytest.mark.parametrize("size", [(2, 2), (60, 40)])
def test_a_scale_on_a_tiny_picture_is_a_reason_not_an_error(size: tuple[int, int]) -> None:
    marks = [
        Aid(number="1", kind="scale", at=(0, 0, 10, 10), lengths=(5.0,)),
        Aid(number="2", kind="length", at=(0, 0, 100, 100)),
    ]
    with pytest.raises(ValueError, match="pixel"):
        measuring.sizes(marks, *size)


@pytest.mark.parametrize("said", [True, False], ids=["said once for all", "not said"])
def test_a_target_without_corners_is_found(tmp_path: Path, said: bool) -> None:
    """As good as with its corners marked; but which target it is, somebody must say."""
    before, first = coloured(colours.CAMERAS[0], "D50", 0.85, colours.spectra("samples")[0], 1)
    after, last = coloured(colours.CAMERAS[0], "A", 0.7, colours.spectra("samples")[1], 2)
    unmarked = "".join(
        row + "\n"
        for file, where in (("b.jpg", first), ("a.jpg", last))
        for row in marks_of(file, where).splitlines()[1:]
    )
    pictures, stages = {"b.jpg": before, "a.jpg": after}, {"b.jpg": "received", "a.jpg": "done"}
    folder = job_of(tmp_path / "job", pictures, unmarked, stages)
    if not said:
        (found,) = flow.measure(folder, WORDS).differences
        assert found.why == "made_not_said"
        return
    (shop,) = tmp_path.rglob("workshop.toml")
    text = shop.read_text(encoding="utf-8")
    shop.write_text('colour_target = "before November 2014"\n' + text, encoding="utf-8")
    (found,) = flow.measure(folder, WORDS).differences
    marked = marks_of("b.jpg", first) + marks_of("a.jpg", last)
    (folder / "marks.csv").write_text(HEAD + marked, encoding="utf-8")
    taken = flow.measure(folder, WORDS)
    assert found.value == pytest.approx(taken.differences[0].value, abs=0.15)
    assert found.plus_minus == pytest.approx(taken.differences[0].plus_minus, rel=0.1)


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
    assert "taken at an angle" in say.rows(taken)[0].how


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


def test_measuring_is_a_run_of_its_own(tmp_path: Path) -> None:
    folder = job_of(tmp_path / "job", {"a.jpg": scene(0.0)[0]}, "", {"a.jpg": "received"})
    done = CliRunner().invoke(program, ["photographs", str(folder), "--measure", "--propose"])
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


@pytest.mark.parametrize("made", list(target.VALUES))
@pytest.mark.parametrize("real", list(target.VALUES))
def test_a_target_written_as_of_the_other_generation_is_told(tmp_path: Path, real: str, made: str) -> None:
    """Values as published, by way of colour-science; a camera whose channels mix a little."""
    mixing = np.array([[0.6, 0.3, 0.1], [0.2, 0.7, 0.1], [0.1, 0.2, 0.7]])
    values = colours.srgb(colours.signals_of(target.VALUES[real]) @ mixing.T * 0.9)
    ground = scenes.covering(scenes.photograph("coffee"), (1500, 1100)).copy()
    corners = np.array([[180, 120], [900, 160], [870, 640], [150, 600]])
    picture, block = colours.laid_into(ground, colours.chart(values), corners)
    where = colours.percent(block, picture.shape)
    twice = marks_of("b.jpg", where, made) + f'b.jpg,u,target,"{where}",,,{made}\n'
    folder = job_of(tmp_path / "job", {"b.jpg": picture}, twice, {"b.jpg": "received"})
    taken = flow.measure(folder, WORDS)
    by = taken.photos[0].reference
    assert by is not None
    assert by.generation == ("told" if real == made else "other")
    assert (by.no_difference == "other_generation") is (real != made)
    said = say.lines(taken, WORDS)
    assert any("other generation" in line for line in said) is (real != made)
    assert any("measured by the target at place t; not by u" in line for line in said)


def test_where_no_generation_fits_better_the_uncertainty_is_wider() -> None:
    """By as much as the two corrections differ at the place."""
    light = target.xyz_of_lab(target.VALUES["before November 2014"])
    one, other = (target.fit(light, generation) for generation in target.VALUES)
    place = np.full((40, 40, 3), (120, 90, 60), np.uint8)
    aids = [Aid(number="1", kind="colour", at=(0, 0, 1000, 1000))]
    level = measuring.Reference(correction=other, other=other, made="from November 2014")
    apart = measuring.Reference(
        correction=other, other=msgspec.structs.replace(one, mean=other.mean), made="from November 2014"
    )
    assert level.generation == apart.generation == "not_told"
    (narrow,), (wide,) = (measuring.colours(place, aids, by) for by in (level, apart))
    assert narrow.error_square is not None
    assert wide.error_square is not None
    apart_square = difference.ciede2000(one.lab(difference.linear(place[0, 0])), narrow.lab) ** 2
    assert wide.error_square - narrow.error_square == pytest.approx(apart_square, rel=1e-6)
    assert apart_square > 0.01


def test_two_targets_of_which_none_is_marked_measure_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before, first = coloured(colours.CAMERAS[0], "D50", 0.85, colours.spectra("samples")[0], 1)
    corners = [(1.0, 1.0), (2.0, 1.0), (2.0, 2.0), (1.0, 2.0)]
    monkeypatch.setattr("dossier.pictures.target_find.find", lambda _pixels: [corners, corners])
    unmarked = marks_of("b.jpg", first).splitlines()[1] + "\n"
    folder = job_of(tmp_path / "job", {"b.jpg": before}, unmarked, {"b.jpg": "received"})
    assert any(
        "more than one colour target" in line for line in say.lines(flow.measure(folder, WORDS), WORDS)
    )


@pytest.mark.parametrize("cast", [1.0, 0.7], ids=["in one light", "in warmer light"])
def test_a_grey_card_in_other_light_than_the_target_widens(tmp_path: Path, cast: float) -> None:
    """A neutral surface beside the place; in warmer light it has less blue than the target's."""
    before, first = coloured(colours.CAMERAS[0], "D50", 0.85, colours.spectra("samples")[0], 1)
    flat = colours.seen(np.full(len(colours.spectra("samples")[0]), 0.18), colours.CAMERAS[0], "D50", 0.85)
    before[750:950, 700:1000] = colours.srgb(flat * [1, (1 + cast) / 2, cast])
    card = f'b.jpg,g,grey card,"{colours.percent(np.array([[720, 770], [980, 930]]), before.shape)}",,,\n'
    marks = marks_of("b.jpg", first)
    folder = job_of(tmp_path / "job", {"b.jpg": before}, marks, {"b.jpg": "received"})
    (alone,) = flow.measure(folder, WORDS).photos[0].colours
    (folder / "marks.csv").write_text(HEAD + marks + card, encoding="utf-8")
    taken = flow.measure(folder, WORDS)
    (beside,) = taken.photos[0].colours
    assert alone.plus_minus is not None
    assert beside.plus_minus is not None
    told = any("grey card is" in line for line in say.lines(taken, WORDS))
    assert told is (cast < 1)
    assert (beside.plus_minus > alone.plus_minus + 1) is told
    assert told or beside.plus_minus == alone.plus_minus
