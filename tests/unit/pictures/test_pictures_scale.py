"""Lengths, areas and pitch: against geometry, a camera drawn by the projection equation, and Monte Carlo."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dossier.pictures import scale
from dossier.pictures.scale import Scale

RULER = Scale(points=((100, 900), (1100, 900)), lengths=(100.0,))  # 10 px a mm
BAR = ((200.0, 300.0), (700.0, 450.0))
OUTLINE = ((300.0, 200.0), (900.0, 220.0), (870.0, 600.0), (310.0, 640.0))
SEAM = tuple((200.0 + 30 * n, 500.0 + 4 * (n % 2)) for n in range(12))
CARD = Scale(points=((100, 100), (900, 140), (940, 660), (80, 600)), lengths=(85.6, 53.98), rectangle=True)


def test_by_hand() -> None:
    assert scale.length([(0, 0), (300, 400)], RULER, 1).value == pytest.approx(50)
    assert scale.area([(0, 0), (200, 0), (200, 100), (0, 100)], RULER, 1).value == pytest.approx(200)
    stitches = scale.pitch([(n * 25.4, 0) for n in range(11)], RULER, 1)
    assert stitches.value == pytest.approx(2.54)


@pytest.mark.parametrize("what", ["length", "area", "pitch"])
@pytest.mark.parametrize("known", [RULER, CARD], ids=["ruler", "rectangle"])
def test_uncertainty_is_that_of_monte_carlo(what: str, known: Scale) -> None:
    """JCGM 101:2008: 4,000 draws of every point; the standard deviation to 8 %."""
    points = {"length": BAR, "area": OUTLINE, "pitch": SEAM}[what]
    measure = getattr(scale, what)
    stated = measure(points, known, 1.5).plus_minus / scale.COVERAGE
    drawn = np.random.default_rng(1)
    seen = []
    for _ in range(4000):
        moved = tuple(map(tuple, np.array(known.points) + drawn.normal(0, 1.5, (len(known.points), 2))))
        other = Scale(points=moved, lengths=known.lengths, rectangle=known.rectangle)
        at = np.array(points) + drawn.normal(0, 1.5, (len(points), 2))
        seen.append(plain(what, at, other))
    assert stated == pytest.approx(np.std(seen), rel=0.08)


def plain(what: str, at: np.ndarray, known: Scale) -> float:
    """The value alone: derivatives of every draw would take minutes."""
    formula = {
        "length": scale._along,
        "area": scale._inside,
        "pitch": lambda p: scale._along(p) / (len(p) - 1),
    }
    return formula[what](scale._to_mm(at, np.array(known.points, float), known))


def seen_by_a_camera(points: np.ndarray, tilt: float, turn: float) -> np.ndarray:
    """Pinhole camera: mm on a plane tilted about two axes, 600 mm away, to pixels (f 3,000 px)."""
    a, b = np.deg2rad([tilt, turn])
    about_x = np.array([[1, 0, 0], [0, np.cos(a), -np.sin(a)], [0, np.sin(a), np.cos(a)]])
    about_y = np.array([[np.cos(b), 0, np.sin(b)], [0, 1, 0], [-np.sin(b), 0, np.cos(b)]])
    space = np.column_stack([points, np.zeros(len(points))]) @ (about_y @ about_x).T + [0, 0, 600]
    return space[:, :2] / space[:, 2:] * 3000 + [2000, 1500]


def test_what_is_stated_of_a_seam_covers_it() -> None:
    """Thirty holes 12 px apart, placed to 4 px as a finger does: 95 % of 40, less three deviations of that
    count. By the first order alone 17 were covered.
    """
    holes = np.column_stack([200 + 12.0 * np.arange(30), np.full(30, 300.0)])
    drawn = np.random.default_rng(5)
    covered = 0
    for _ in range(40):
        placed = holes + drawn.normal(0, 4, holes.shape)
        found = scale.pitch(list(map(tuple, placed)), Scale(points=((0, 0), (1000, 0)), lengths=(250.0,)), 4)
        covered += abs(found.value - 3.0) <= found.plus_minus
    assert covered >= 34


@pytest.mark.parametrize(("tilt", "turn"), [(0, 0), (25, 0), (10, 30), (-35, 15)])
def test_a_rectangle_corrects_an_oblique_plane(tilt: float, turn: float) -> None:
    corners = seen_by_a_camera(np.array([[0, 0], [85.6, 0], [85.6, 53.98], [0, 53.98]]), tilt, turn)
    ends = seen_by_a_camera(np.array([[-60, 80], [40, 155]]), tilt, turn)
    known = Scale(points=tuple(map(tuple, corners)), lengths=(85.6, 53.98), rectangle=True)
    measured = scale.length(list(map(tuple, ends)), known, 1)
    assert measured.value == pytest.approx(125, rel=1e-6)
    assert measured.plane == "corrected"


@pytest.mark.parametrize(
    ("tilt", "turn", "said"),
    [(0, 0, "not told"), (5, 0, "not told"), (25, 0, "oblique"), (20, 20, "not told")],
)
def test_two_scales_tell_of_an_oblique_plane(tilt: float, turn: float, said: str) -> None:
    """cos 5 degrees is 0.996, cos 25 degrees is 0.906. Tilted between the two scales both shrink alike, and
    what lies beside them is measured wrong: so that they agree is no word for a camera that looked squarely.
    """
    across = seen_by_a_camera(np.array([[-50, 0], [50, 0]]), tilt, turn)
    down = seen_by_a_camera(np.array([[0, -50], [0, 50]]), tilt, turn)
    known = Scale(points=tuple(map(tuple, np.vstack([across, down]))), lengths=(100.0, 100.0))
    assert scale.plane_of(known, 1.0) == said


def test_what_cannot_be_told_is_not_told() -> None:
    assert scale.plane_of(RULER, 1) == "not told"
    alike = Scale(points=((0, 0), (100, 0), (0, 50), (90, 60)), lengths=(10.0, 9.0))
    assert scale.plane_of(alike, 1) == "not told"
    # The same way, and not of one size: something is wrong, whatever it is.
    unlike = Scale(points=((0, 0), (500, 0), (0, 50), (500, 50)), lengths=(10.0, 8.0))
    assert scale.plane_of(unlike, 1) == "oblique"


def test_lengths_that_do_not_fit_each_other_measure_nothing() -> None:
    """cos 60 degrees is a half; a card of 85.60 x 53.98 mm (ISO/IEC 7810) whose sides are exchanged."""
    tenfold = Scale(points=((0, 0), (500, 0), (0, 50), (0, 550)), lengths=(100.0, 10.0))
    square = tuple(
        map(tuple, seen_by_a_camera(np.array([[0, 0], [85.6, 0], [85.6, 53.98], [0, 53.98]]), 10, 5))
    )
    exchanged = Scale(points=square, lengths=(53.98, 85.6), rectangle=True)
    beside = Scale(points=((0, 0), (500, 0), (0, 50), (500, 50)), lengths=(100.0, 50.0))
    for wrong, why in ((tenfold, "disagree"), (beside, "disagree"), (exchanged, "first along")):
        with pytest.raises(ValueError, match=why):
            scale.check(wrong)


def test_what_has_no_size_beyond_its_doubt_is_not_measured() -> None:
    across, bow = [(0.0, 0.0), (1.0, 0.0)], [(0.0, 0.0), (90.0, 90.0), (95.0, 0.0), (0.0, 60.0)]
    with pytest.raises(ValueError, match="off by"):
        scale.length(across, RULER, 1)
    with pytest.raises(ValueError, match="off by"):
        scale.area([(0, 0), (50, 50), (100, 100)], RULER, 1)
    with pytest.raises(ValueError, match="crosses"):
        scale.area(bow, RULER, 1)


@given(st.floats(0.1, 20), st.floats(0, 360))
def test_a_larger_and_turned_picture_measures_the_same(size: float, turn: float) -> None:
    angle = np.deg2rad(turn)
    spin = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]]) * size
    moved = Scale(points=tuple(map(tuple, np.array(RULER.points) @ spin.T)), lengths=RULER.lengths)
    one = scale.length(BAR, RULER, 1.0)
    other = scale.length(list(map(tuple, np.array(BAR) @ spin.T)), moved, size)
    assert other.value == pytest.approx(one.value)
    assert other.plus_minus == pytest.approx(one.plus_minus, rel=1e-3)


@pytest.mark.parametrize(
    "wrong",
    [
        Scale(points=((0, 0),), lengths=(1.0,)),
        Scale(points=((0, 0), (0.2, 0)), lengths=(1.0,)),
        Scale(points=((0, 0), (9, 0)), lengths=(0.0,)),
        Scale(points=((0, 0), (9, 0)), lengths=(float("nan"),)),
        Scale(points=((0, 0), (9, 0)), lengths=(1.0,), rectangle=True),
        Scale(points=((0, 0), (90, 90), (90, 0), (0, 90)), lengths=(1.0, 1.0), rectangle=True),
    ],
)
def test_a_scale_that_cannot_measure(wrong: Scale) -> None:
    with pytest.raises(ValueError, match=r"scale|length|rectangle"):
        scale.length(BAR, wrong, 1)


def test_marks_are_parts_of_1000() -> None:
    assert scale.in_pixels((0, 0, 500, 1000), 4000, 3000) == ((0, 0), (2000, 3000))
    assert scale.usual_placing(3000, 4000) == 4
    with pytest.raises(ValueError, match="at least 3"):
        scale.area(BAR, RULER, 1)
