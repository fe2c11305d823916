"""Colours measured on a job's photographs, before and after: targets and samples of measured spectra."""

from __future__ import annotations

import itertools
from pathlib import Path

import colour_scenes as colours
import msgspec
import numpy as np
import picture_scenes as scenes
import pytest
from measuring_jobs import HEAD, coloured, job_of, marks_of

from dossier.flows.looking import measure as flow
from dossier.flows.looking import measure_rows as say
from dossier.model.job import Aid
from dossier.pictures import difference, measuring, target
from dossier.words import Catalogue

WORDS = Catalogue()


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
        labs, mosts = zip(*(measured(camera, lamp) for lamp in (one, other)), strict=True)
        for i, j in itertools.product(range(len(spectra)), repeat=2):
            seen = float(difference.ciede2000(labs[0][i], labs[1][j]))
            off = abs(seen - float(difference.ciede2000(truth[i], truth[j])))
            within.append(off <= (mosts[0] ** 2 + mosts[1] ** 2) ** 0.5)
    assert np.mean(within) >= 0.95


def test_the_uncertainty_of_a_colour_holds() -> None:
    """Dull and vivid samples, each by itself, under lamps of four kinds; FL11 has three narrow bands.

    By the mean square of the patches, grey ones among them, 91 and 87 % were within.
    """
    for name in ("samples", "vivid"):
        truth = colours.lab_d50(colours.spectra(name))
        within = []
        for camera, lamp in itertools.product(colours.CAMERAS, ("D50", "D65", "A", "FL2", "FL11")):
            labs, most = measured(camera, lamp, name)
            within.append(difference.ciede2000(labs, truth) <= most)
        assert np.mean(within) >= 0.95


def measured(camera: str, lamp: str, name: str = "samples") -> tuple[np.ndarray, float]:
    fit = target.fit(colours.seen(colours.spectra("ISO 17321-1"), camera, lamp), "before November 2014")
    assert fit.left_out_most is not None
    return fit.lab(colours.seen(colours.spectra(name), camera, lamp)), fit.left_out_most


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
