"""Colour difference and correction: the 34 published pairs, and colour-science (0.4) as the other one.

`tests/data/ciede2000_pairs.csv`: Sharma, Wu & Dalal 2005, table 1, taken from the test file of the package
colour-science (BSD 3-clause), which quotes it.
"""

from __future__ import annotations

import csv
import warnings
from pathlib import Path

import cv2
import numpy as np
import pytest

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # it says that drawing is not available
    import colour

from dossier.pictures import difference, target

PAIRS = Path(__file__).resolve().parents[2] / "data" / "ciede2000_pairs.csv"
GENERATIONS = {
    "before November 2014": next(k for k in colour.CCS_COLOURCHECKERS if "24 - Before" in k),
    "from November 2014": next(k for k in colour.CCS_COLOURCHECKERS if "24 - After" in k),
}
CAMERAS = list(colour.MSDS_CAMERA_SENSITIVITIES)  # measured by a national laboratory
OUTER = [(120.0, 80.0), (1020.0, 110.0), (990.0, 720.0), (100.0, 690.0)]


def published() -> np.ndarray:
    with PAIRS.open(encoding="utf-8") as file:
        return np.array([[float(value) for value in row] for row in list(csv.reader(file))[1:]])


def test_all_34_published_pairs() -> None:
    rows = published()
    assert len(rows) == 34
    assert difference.ciede2000(rows[:, :3], rows[:, 3:6]) == pytest.approx(rows[:, 6], abs=1e-4)
    assert difference.ciede2000(rows[:, 3:6], rows[:, :3]) == pytest.approx(rows[:, 6], abs=1e-4)


def test_against_the_other_implementation() -> None:
    drawn = np.random.default_rng(1)
    one, other = (drawn.uniform([0, -100, -100], [100, 100, 100], (5000, 3)) for _ in range(2))
    assert difference.ciede2000(one, other) == pytest.approx(colour.delta_E(one, other, "CIE 2000"), abs=1e-8)


def lab_of_srgb(srgb: object) -> np.ndarray:
    return difference.lab_of_xyz(difference.linear(srgb) @ difference.TO_XYZ_D50.T)


def test_lab_of_srgb() -> None:
    """Linear Bradford to D50 on both sides; the constants have seven places."""
    drawn = np.random.default_rng(2).integers(0, 256, (500, 3))
    xyz = colour.RGB_to_XYZ(drawn / 255, "sRGB", apply_cctf_decoding=True)
    white, d50 = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"], difference.WHITE_D50
    moved = colour.adaptation.chromatic_adaptation_VonKries(
        xyz, colour.xy_to_XYZ(white), d50, transform="Bradford"
    )
    expected = colour.XYZ_to_Lab(moved, colour.XYZ_to_xy(d50))
    assert np.abs(lab_of_srgb(drawn) - expected).max() < 0.05
    assert lab_of_srgb([255, 255, 255]) == pytest.approx([100, 0, 0], abs=0.01)


@pytest.mark.parametrize("generation", GENERATIONS)
def test_values_of_both_generations(generation: target.Generation) -> None:
    chart = colour.CCS_COLOURCHECKERS[GENERATIONS[generation]]
    lab = np.array(
        [colour.XYZ_to_Lab(colour.xyY_to_XYZ(xyy), chart.illuminant) for xyy in chart.data.values()]
    )
    assert target.VALUES[generation] == pytest.approx(lab, abs=0.006)


def light_of(lab: np.ndarray, mixing: np.ndarray) -> np.ndarray:
    """What a camera whose channels mix by `mixing` sees of the colours, as linear sRGB."""
    return target.xyz_of_lab(lab) @ np.linalg.inv(difference.TO_XYZ_D50).T @ mixing.T


MIXING = np.array([[0.5, 0.12, 0.03], [0.06, 0.6, 0.05], [0.02, 0.1, 0.35]])


@pytest.mark.parametrize("generation", GENERATIONS)
def test_a_linear_camera_is_put_right(generation: target.Generation) -> None:
    correction = target.fit(light_of(target.VALUES[generation], MIXING), generation)
    assert correction.largest is not None
    assert correction.largest < 0.01
    assert correction.good_enough is True
    assert correction.formula == "CIEDE2000 (1:1:1)"


def test_the_wrong_generation_is_worse() -> None:
    seen = light_of(target.VALUES["before November 2014"], MIXING)
    right, wrong = (target.fit(seen, generation).mean for generation in GENERATIONS)
    assert right is not None
    assert wrong is not None
    assert right < 0.01
    assert wrong > 0.3


@pytest.mark.parametrize("camera", CAMERAS, ids=range(len(CAMERAS)))
@pytest.mark.parametrize("lamp", ["D50", "A"])
def test_real_cameras(camera: str, lamp: str) -> None:
    """Measured sensitivities of two cameras and spectra of a real target: no worse than colour-science's fit.

    Its fit: Cheung et al. 2004 with three terms, linear least squares in XYZ.
    """
    shape = colour.SpectralShape(400, 700, 10)
    sensitivities = colour.MSDS_CAMERA_SENSITIVITIES[camera].copy().align(shape).values
    light = colour.SDS_ILLUMINANTS[lamp].copy().align(shape).values
    spectra = colour.SDS_COLOURCHECKERS["ISO 17321-1"].values()
    seen = np.array([(sd.copy().align(shape).values * light) @ sensitivities for sd in spectra])
    seen = seen / seen[18].max() * 0.9  # the white patch not burnt out
    wanted = target.VALUES["before November 2014"]
    correction = target.fit(seen, "before November 2014")
    theirs = colour.characterisation.matrix_colour_correction_Cheung2004(
        seen, target.xyz_of_lab(wanted), terms=3
    )
    residual = colour.delta_E(difference.lab_of_xyz(seen @ theirs.T), wanted, method="CIE 2000").mean()
    assert correction.mean is not None
    assert correction.left_out is not None
    assert correction.mean <= residual
    assert correction.mean < correction.left_out < 2 * correction.mean
    assert correction.lab(seen) == pytest.approx(
        difference.lab_of_xyz(seen @ np.array(correction.matrix).T), abs=1e-9
    )


def drawn_target(srgb: np.ndarray) -> np.ndarray:
    """A picture of the target, askew, patches with dark gaps between."""
    flat = np.full((4 * 100, 6 * 100, 3), 20, np.uint8)
    for index, value in enumerate(srgb):
        row, column = divmod(index, 6)
        flat[row * 100 + 8 : row * 100 + 92, column * 100 + 8 : column * 100 + 92] = value
    ends = np.array([[0, 0], [600, 0], [600, 400], [0, 400]], np.float32)
    askew = cv2.getPerspectiveTransform(ends, np.array(OUTER, np.float32))
    picture = cv2.warpPerspective(flat, askew, (1200, 800), flags=cv2.INTER_LINEAR)
    noise = np.random.default_rng(3).normal(0, 3, picture.shape)
    return np.clip(picture + noise, 0, 255).astype(np.uint8)


def test_patches_are_sampled_where_they_are() -> None:
    values = np.random.default_rng(4).integers(30, 230, (24, 3))
    sampled = target.sample(drawn_target(values), OUTER)
    assert sampled == pytest.approx(difference.linear(values), abs=0.01)


def test_burnt_out_patches_do_not_count() -> None:
    values = np.random.default_rng(4).integers(30, 230, (24, 3))
    values[:13, 1] = 255
    sampled = target.sample(drawn_target(values), OUTER)
    assert np.isnan(sampled).all(axis=1).sum() == 13
    with pytest.raises(ValueError, match="fewer than 12"):
        target.fit(sampled, "from November 2014")


def test_a_grey_card_balances_and_gives_no_difference() -> None:
    card = np.array([0.25, 0.18, 0.12])
    correction = target.grey_balance(card)
    assert correction.lab(card)[1:] == pytest.approx([0, 0], abs=0.02)
    assert correction.mean is correction.largest is correction.left_out is correction.good_enough is None
    with pytest.raises(ValueError, match="grey card"):
        target.grey_balance(np.array([np.nan, 0.2, 0.2]))


def test_a_place_is_measured_through_the_correction() -> None:
    generation: target.Generation = "from November 2014"
    lab = target.VALUES[generation]
    seen = light_of(lab, MIXING)
    srgb = np.where(seen <= 0.0031308, 12.92 * seen, 1.055 * np.clip(seen, 0, 1) ** (1 / 2.4) - 0.055)
    picture = drawn_target(np.clip(np.round(srgb * 255), 0, 255).astype(int))
    correction = target.fit(target.sample(picture, OUTER), generation)
    first = np.array(
        cv2.getPerspectiveTransform(
            np.array([[0, 0], [600, 0], [600, 400], [0, 400]], np.float32), np.array(OUTER, np.float32)
        )
    )
    inside = cv2.perspectiveTransform(
        np.array([[[120, 120], [180, 120], [180, 180], [120, 180]]], float), first
    )
    found = correction.lab(target.patches(picture, [tuple(corner) for corner in inside[0]], 1, 1)[0])
    assert float(difference.ciede2000(found, lab[7])) < 1.0  # second row, second column
