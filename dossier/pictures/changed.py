"""What differs between a photograph before the work and one after it: an aid for the restorer's own look.

The two are laid over each other (`lay`), the light is evened out (a slow change of lightness and colour
across the picture is taken for light), and what still differs is drawn. Shine, shadow, focus and what stands
out of the plane differ as well; light is easily taken for work, and even work for light. So nothing is
counted, nothing is judged, and no page of a dossier shows it. Not done here: choosing pairs, files.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from dossier.pictures import align, lay
from dossier.pictures.decode import Pixels, opencv, shrink
from dossier.pictures.difference import TO_XYZ_D50, ciede2000, lab_of_xyz, linear

Floats = NDArray[np.float64]

SIZE = 1000  # pixels on the longer side of each picture
_SLOW = 1 / 10  # of the longer side: light does not change faster (standard deviation of the smoothing)
_FINE = 2.0  # px; what is finer is taken for a trace of the fit
_ROUNDS = 3
_DARK = 0.004  # of full light: below, a camera shows noise and no colour
_FEW, _MANY = 3.0, 15.0  # CIEDE2000: below is not drawn, above is drawn full
_MARK = np.array([190, 30, 90])  # on grey also seen without colour, since it is drawn darker than the ground


def view(before: Pixels, after: Pixels) -> Pixels | align.NotAligned:
    """Before, after in the same frame, and what differs, side by side; or why they cannot be compared."""
    one, other = shrink(before, SIZE), shrink(after, SIZE)
    found = align.align(one, other)
    if isinstance(found, align.NotAligned):
        return found
    height, width = one.shape[:2]
    laid, seen = lay.framed(other, found, width, height)
    strength = _strength(one, laid, seen)
    gap = np.full((height, 12, 3), 255, np.uint8)
    return np.hstack([one, gap, laid, gap, _drawn(one, strength, seen)])


def apart(before: Pixels, after: Pixels, seen: NDArray[np.bool_]) -> Floats:
    """CIEDE2000 of two pictures in one frame, the light evened out; 0 where only one shows anything."""
    # The white beside what is shown would be smoothed into its edge, and drawn as if that differed.
    shown = np.where(seen[..., None], after, before)
    one, other = (linear(_smooth(picture)) for picture in (before, shown))
    aim, light = _lab(one), np.zeros_like(one)
    weight = seen.astype(float)
    for _ in range(_ROUNDS):
        # Light multiplies what a place sends back, so its logarithm is added.
        light = _slow(np.log(other + _DARK) - np.log(one + _DARK), weight)
        differs = ciede2000(aim, _lab(other / np.exp(light)))
        # What differs much is work, not light: it must not pull the light with it.
        weight = np.where(differs < _FEW, 1.0, 0.05) * seen
    return np.where(seen, differs, 0.0)


def _lab(light: Floats) -> Floats:
    return lab_of_xyz(np.clip(light, 0, 1) @ TO_XYZ_D50.T)


def _strength(before: Pixels, after: Pixels, seen: NDArray[np.bool_]) -> Floats:
    return np.clip((apart(before, after, seen) - _FEW) / (_MANY - _FEW), 0, 1)


def _smooth(pixels: Pixels) -> Floats:
    smooth: Floats = opencv().GaussianBlur(pixels.astype(np.float32), (0, 0), _FINE)
    return smooth


def _slow(difference: Floats, weight: Floats) -> Floats:
    """A surface of the second degree, and the weighted mean of the surroundings of what it leaves.

    The mean alone would bend towards the middle at the edges, where there are surroundings on one side only.
    """
    cv2, size = opencv(), difference.shape[1::-1]
    # A tenth of the size does for what changes slowly, and takes a hundredth of the time.
    small = tuple(max(3, side // 10) for side in size)
    heavy = cv2.resize(weight.astype(np.float32), small, interpolation=cv2.INTER_AREA)
    mean = cv2.resize(
        (difference * weight[..., None]).astype(np.float32), small, interpolation=cv2.INTER_AREA
    )
    mean = mean / np.maximum(heavy, 1e-3)[..., None]
    surface = _surface(mean.astype(float), heavy.astype(float))
    spread = max(small) * _SLOW
    left, around = (
        cv2.GaussianBlur(part, (0, 0), spread)
        for part in ((mean - surface) * heavy[..., None], heavy.astype(float))
    )
    light = surface + left / np.maximum(around, 1e-3)[..., None]
    slow: Floats = cv2.resize(light, size, interpolation=cv2.INTER_LINEAR)
    return slow


def _surface(mean: Floats, heavy: Floats) -> Floats:
    """Least squares over all places, each with its weight (six terms)."""
    height, width = heavy.shape
    y, x = np.mgrid[-1 : 1 : height * 1j, -1 : 1 : width * 1j]
    terms = np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1).reshape(-1, 6)
    root = np.sqrt(heavy).reshape(-1, 1)
    found, *_ = np.linalg.lstsq(terms * root, mean.reshape(-1, 3) * root, rcond=None)
    surface: Floats = (terms @ found).reshape(mean.shape)
    return surface


def _drawn(before: Pixels, strength: Floats, seen: NDArray[np.bool_]) -> Pixels:
    """The picture before, pale and grey, what differs drawn over it; white where only one shows anything."""
    grey = opencv().cvtColor(before, opencv().COLOR_RGB2GRAY).astype(float)
    pale = np.repeat((150 + grey * 100 / 255)[..., None], 3, axis=2)
    drawn = pale * (1 - strength[..., None]) + _MARK * strength[..., None]
    drawn[~seen] = 255
    return np.ascontiguousarray(np.rint(drawn).astype(np.uint8))
