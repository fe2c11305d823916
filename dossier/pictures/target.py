"""A colour target or a grey card in the picture: how well the camera's colours can be trusted, and a
correction.

The classic target of 24 patches exists in two generations with different values; which one it is must be
said. The correction is linear (3 x 3, from linear sRGB to XYZ under D50, least squares in CIELAB): few
numbers, so that it cannot bend to noise. How good it is, is said twice: of the patches it was fitted to,
and of each patch when it alone is left out of the fit, which is the honest figure for a leather or thread
that is in no target.

Not done here: finding the target (its corners are given), files. Pure but for sampling. Invariants:
without a target no difference is given; a grey card corrects the white balance and gives no difference
either.
"""

from __future__ import annotations

from collections.abc import Sequence

import msgspec
import numpy as np
from numpy.typing import NDArray

from dossier.model.aids import TargetMade
from dossier.pictures.decode import Pixels, opencv
from dossier.pictures.difference import FORMULA, TO_XYZ_D50, WHITE_D50, ciede2000, lab_of_xyz, linear

Floats = NDArray[np.float64]
Corners = Sequence[tuple[float, float]]  # four, in pixels: first patch (dark skin) first, then along its row
Generation = TargetMade

ROWS, COLUMNS = 4, 6
_INNER = 0.4  # of a patch, in the middle: its edge and a slip of the corners do not count
_CELL = 24  # px a patch is drawn at to be sampled
_STEPS, _SLOPE = 12, 1e-6  # of the fit
CLIPPED = 252  # of 255: a patch with more in any colour says nothing of its light
# ISO 19264-1:2021 level A: mean 4, largest 10; as read in secondary sources, to be confirmed before quoting.
GOOD_MEAN, GOOD_LARGEST = 4.0, 10.0
TOLERANCE = "ISO 19264-1:2021"  # level A; the words say so, and that it was read in secondary sources

# CIELAB under D50, row by row from dark skin to black; as published, by way of the package colour-science.
_BEFORE = (
    (37.99, 13.55, 14.06),
    (65.71, 18.13, 17.81),
    (49.93, -4.88, -21.90),
    (43.14, -13.09, 21.90),
    (55.11, 8.84, -25.40),
    (70.72, -33.40, -0.20),
    (62.66, 36.07, 57.10),
    (40.02, 10.41, -45.96),
    (51.12, 48.24, 16.25),
    (30.33, 22.98, -21.59),
    (72.53, -23.71, 57.26),
    (71.94, 19.36, 67.86),
    (28.78, 14.18, -50.30),
    (55.26, -38.34, 31.37),
    (42.10, 53.38, 28.19),
    (81.73, 4.04, 79.82),
    (51.94, 49.99, -14.57),
    (51.04, -28.63, -28.64),
    (96.54, -0.43, 1.19),
    (81.26, -0.64, -0.33),
    (66.77, -0.73, -0.50),
    (50.87, -0.15, -0.27),
    (35.66, -0.42, -1.23),
    (20.46, -0.08, -0.97),
)
_AFTER = (
    (37.54, 14.37, 14.92),
    (64.66, 19.27, 17.50),
    (49.32, -3.82, -22.54),
    (43.46, -12.74, 22.72),
    (54.94, 9.61, -24.79),
    (70.48, -32.26, -0.37),
    (62.73, 35.83, 56.50),
    (39.43, 10.75, -45.17),
    (50.57, 48.64, 16.67),
    (30.10, 22.54, -20.87),
    (71.77, -24.13, 58.19),
    (71.51, 18.24, 67.37),
    (28.37, 15.42, -49.80),
    (54.38, -39.72, 32.27),
    (42.43, 51.05, 28.62),
    (81.80, 2.67, 80.41),
    (50.63, 51.28, -14.12),
    (49.57, -29.71, -28.32),
    (95.19, -1.03, 2.93),
    (81.29, -0.57, 0.44),
    (66.89, -0.75, -0.06),
    (50.76, -0.13, 0.14),
    (35.63, -0.46, -0.48),
    (20.64, 0.07, -0.46),
)
VALUES: dict[Generation, Floats] = {
    "before November 2014": np.array(_BEFORE),
    "from November 2014": np.array(_AFTER),
}


class Correction(msgspec.Struct, frozen=True, kw_only=True):
    """`matrix` takes linear sRGB to XYZ under D50. Differences are CIEDE2000; None where there is no target.

    `mean`, `largest`: of the patches fitted; `left_out`: mean of each patch when the fit did not know it,
    `left_out_most`: what 95 % of them lie within.
    """

    matrix: tuple[tuple[float, float, float], ...]
    patches: int
    mean: float | None = None
    largest: float | None = None
    left_out: float | None = None
    left_out_most: float | None = None
    formula: str = FORMULA

    @property
    def good_enough(self) -> bool | None:
        """Whether colours can be compared by it (TOLERANCE); None where nothing can be told."""
        if self.mean is None or self.largest is None or self.left_out is None:
            return None
        return max(self.mean, self.left_out) <= GOOD_MEAN and self.largest <= GOOD_LARGEST

    def lab(self, light: Floats) -> Floats:
        """Linear sRGB (..., 3) to CIELAB under D50."""
        return lab_of_xyz(light @ np.array(self.matrix).T)


def sample(pixels: Pixels, corners: Corners) -> Floats:
    """Mean linear light (24, 3) of each patch, row by row; nan where a patch is burnt out.

    `corners`: of the block of patches, from the outer corner of the first patch along its row and round.
    """
    return patches(pixels, corners, ROWS, COLUMNS)


def patches(pixels: Pixels, corners: Corners, rows: int, columns: int) -> Floats:
    cv2 = opencv()
    width, height = columns * _CELL, rows * _CELL
    ends = np.array([[0, 0], [width, 0], [width, height], [0, height]], np.float32)
    to_picture = cv2.getPerspectiveTransform(ends, np.array(corners, np.float32))
    flags = cv2.INTER_AREA | cv2.WARP_INVERSE_MAP
    drawn = cv2.warpPerspective(pixels, to_picture, (width, height), flags=flags)
    edge = round(_CELL * (1 - _INNER) / 2)
    cells = drawn.reshape(rows, _CELL, columns, _CELL, 3)[:, edge:-edge, :, edge:-edge]
    return np.array([_mean(cells[row, :, column]) for row in range(rows) for column in range(columns)])


def _mean(patch: Pixels) -> Floats:
    """Of the patch's linear light, so that noise does not darken it; nan where it is burnt out."""
    flat = patch.reshape(-1, 3)
    if float(np.median(flat, axis=0).max()) >= CLIPPED:
        return np.full(3, np.nan)
    return np.asarray(linear(flat).mean(axis=0), np.float64)


def fit(sampled: Floats, generation: Generation) -> Correction:
    """The correction that brings the patches (24, 3) to their published values, and how well it does.

    Raises ValueError where fewer than 12 patches can be used.
    """
    usable = np.isfinite(sampled).all(axis=1)
    if usable.sum() < 12:
        raise ValueError(
            "fewer than 12 patches can be used: the target is burnt out or not where it was said"
        )
    light, wanted = sampled[usable], VALUES[generation][usable]
    matrix = _solved(light, wanted)
    apart = ciede2000(lab_of_xyz(light @ matrix.T), wanted)
    left_out = np.array([_without(light, wanted, index) for index in range(len(light))])
    return Correction(
        matrix=_rows(matrix),
        patches=int(usable.sum()),
        mean=float(apart.mean()),
        largest=float(apart.max()),
        left_out=float(left_out.mean()),
        left_out_most=float(np.quantile(left_out, 0.95)),
    )


def _without(light: Floats, wanted: Floats, index: int) -> float:
    """The difference of one patch by a fit of all others."""
    rest = np.arange(len(light)) != index
    matrix = _solved(light[rest], wanted[rest])
    return float(ciede2000(lab_of_xyz(light[index] @ matrix.T), wanted[index]))


def _solved(light: Floats, wanted: Floats) -> Floats:
    """The matrix with the least squared misfit in CIELAB, chroma weighed as CIEDE2000's chroma term does.

    Gauss-Newton from the least squares in XYZ; a step that does not help is halved, and at last not taken.
    """
    start, *_ = np.linalg.lstsq(light, xyz_of_lab(wanted), rcond=None)
    matrix = np.asarray(start.T, np.float64)
    misfit = _misfit(matrix, light, wanted)
    for _ in range(_STEPS):
        step, *_ = np.linalg.lstsq(_slopes(matrix, light, wanted), -misfit, rcond=None)
        for part in (1.0, 0.5, 0.25, 0.1):
            tried = matrix + part * step.reshape(3, 3)
            moved = _misfit(tried, light, wanted)
            if moved @ moved < misfit @ misfit:
                matrix, misfit = tried, moved
                break
        else:
            break
    return matrix


def _misfit(matrices: Floats, light: Floats, wanted: Floats) -> Floats:
    """What is left by each of the matrices (..., 3, 3): (..., 3 n)."""
    apart = lab_of_xyz(light @ np.swapaxes(matrices, -1, -2)) - wanted
    weights = np.ones_like(wanted)
    weights[:, 1:] += 0.045 * np.hypot(wanted[:, 1:2], wanted[:, 2:])
    return np.asarray((apart / weights).reshape(*matrices.shape[:-2], -1), np.float64)


def _slopes(matrix: Floats, light: Floats, wanted: Floats) -> Floats:
    """Numerical derivatives (3 n, 9) by the elements of the matrix."""
    steps = _SLOPE * np.eye(9).reshape(9, 3, 3)
    up, down = (_misfit(matrix + moved, light, wanted) for moved in (steps, -steps))
    return np.asarray((up - down).T / (2 * _SLOPE), np.float64)


def xyz_of_lab(lab: Floats) -> Floats:
    """CIELAB (..., 3) back to XYZ under D50."""
    from_y = (lab[..., 0] + 16) / 116
    root = np.stack([from_y + lab[..., 1] / 500, from_y, from_y - lab[..., 2] / 200], axis=-1)
    step = 6 / 29
    return np.asarray(np.where(root > step, root**3, 3 * step**2 * (root - 4 / 29)) * WHITE_D50, np.float64)


def grey_balance(card: Floats) -> Correction:
    """White balance from the linear light (3,) of a neutral card; lightness stays, no difference is given.

    Raises ValueError where the card is burnt out or black.
    """
    if not np.isfinite(card).all() or card.min() < 0.01:
        raise ValueError("the grey card is burnt out or too dark to balance by")
    gains = float(card.mean()) / card
    return Correction(matrix=_rows(np.asarray(TO_XYZ_D50 * gains, np.float64)), patches=1)


def _rows(matrix: Floats) -> tuple[tuple[float, float, float], ...]:
    return tuple((float(a), float(b), float(c)) for a, b, c in matrix)
