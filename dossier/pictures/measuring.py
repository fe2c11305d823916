"""What the marks on one photograph measure: sizes by its scale, colours by its target or grey card.

Sizes need the picture's width and height alone. Of a colour the uncertainty is that of the correction (each
patch of the target when the fit did not know it) and of the place's own unevenness; not in it is light that
falls otherwise on the place than on the target. Invariants: no size without a scale; no difference unless
both photographs have a target that is good enough. Not done here: files, words.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import msgspec
import numpy as np

from dossier.model.job import Aid
from dossier.pictures import scale, target
from dossier.pictures.decode import Pixels
from dossier.pictures.difference import Floats, ciede2000, linear

NoColour = Literal["no_reference", "target_unusable", "grey_unusable", "made_not_said"]
NoDifference = Literal["grey_card", "not_good_enough"] | NoColour
WORKING = 2400  # px on the longer side: where colours are measured
# An error of three equal parts lies within so many times its root mean square: the 95 % quantile of chi with
# three degrees of freedom is 2.7955 (chi square 7.815, as tables have it), its root mean square sqrt(3).
COVERAGE = 2.7955 / 3**0.5
_POINT = 0.005  # of the longer side, half the box that a point stands for
_CELLS = 4  # a side, to see how even a place is
_LEAST = 4  # px, the side of a place
_BRIGHTEST = 102.0  # L*; a perfect white in the target's light has 100, the rest is the correction's error
WAYS = {"length": scale.length, "area": scale.area, "pitch": scale.pitch}


class Sized(msgspec.Struct, frozen=True, kw_only=True):
    """A length, area or pitch; `by` the scales it was measured with."""

    aid: Aid
    by: tuple[Aid, ...]
    measured: scale.Measured


class Reference(msgspec.Struct, frozen=True, kw_only=True):
    """What colours are measured by. `number` of its mark; "" where the target was found."""

    correction: target.Correction
    made: target.Generation | None = None  # None: a grey card
    number: str = ""

    @property
    def no_difference(self) -> NoDifference | None:
        """Why colours cannot be compared by it; None where they can."""
        if self.made is None:
            return "grey_card"
        return None if self.correction.good_enough else "not_good_enough"


class Colour(msgspec.Struct, frozen=True, kw_only=True):
    """`lab`: CIELAB under D50, None where the place is burnt out, too small or in more light than the target.

    `error_square`: mean squared error as CIEDE2000, None where nothing can be told.
    """

    aid: Aid
    lab: tuple[float, float, float] | None = None
    error_square: float | None = None

    @property
    def plus_minus(self) -> float | None:
        return None if self.error_square is None else COVERAGE * self.error_square**0.5


def sizes(aids: Sequence[Aid], width: int, height: int) -> list[Sized]:
    """Every length, area and pitch of a photograph (upright pixels) that its scale measures, if it has one.

    Raises ValueError where the scale cannot measure.
    """
    by = _scales(aids)
    if not by:
        return []
    known = scale.Scale(
        points=tuple(point for aid in by for point in scale.in_pixels(aid.at, width, height)),
        lengths=tuple(mm for aid in by for mm in aid.lengths),
        rectangle=len(by[0].at) == 8,
    )
    scale.check(known)
    found = []
    for aid in aids:
        if aid.kind in WAYS and (measured := _size(aid, known, by, (width, height))):
            found.append(Sized(aid=aid, by=by, measured=measured))
    return found


def _size(aid: Aid, known: scale.Scale, by: Sequence[Aid], size: tuple[int, int]) -> scale.Measured | None:
    """None where the scale gives no measure: beyond its plane, no extent, less than it may be off by."""
    points = scale.in_pixels(aid.at, *size)
    try:
        measured = WAYS[aid.kind](points, known, _placing([aid, *by], *size))
    except ValueError:
        return None
    return measured if np.isfinite([measured.value, measured.plus_minus]).all() else None


def _scales(aids: Sequence[Aid]) -> tuple[Aid, ...]:
    """The first of four corners, which corrects; else the first two scales, which tell of the plane."""
    scales = [aid for aid in aids if aid.kind == "scale"]
    four = [aid for aid in scales if len(aid.at) == 8]
    return tuple(four[:1] or scales[:2])


def _placing(aids: Sequence[Aid], width: int, height: int) -> float:
    """By the one that was placed least finely."""
    return max(scale.usual_placing(width, height, aid.step, fine=aid.step < 1) for aid in aids)


def reference(
    pixels: Pixels, aids: Sequence[Aid], found: target.Corners | None, made: target.Generation | None
) -> Reference | NoColour:
    """By the target marked, else the one `found` (`made` then), else a grey card; or why there is none."""
    for aid in aids:
        if aid.kind == "target" and aid.made:
            return _by_target(pixels, _corners(pixels, aid), aid.made, aid.number)
    if found is not None:
        return _by_target(pixels, found, made, "") if made else "made_not_said"
    card = next((aid for aid in aids if aid.kind == "grey card"), None)
    return _by_card(pixels, card) if card else "no_reference"


def _by_target(
    pixels: Pixels, corners: target.Corners, made: target.Generation, number: str
) -> Reference | NoColour:
    try:
        correction = target.fit(target.sample(pixels, corners), made)
    except (ValueError, np.linalg.LinAlgError):
        return "target_unusable"
    return Reference(correction=correction, made=made, number=number)


def _by_card(pixels: Pixels, card: Aid) -> Reference | NoColour:
    light = _light(_box(pixels, card))
    try:
        return Reference(correction=target.grey_balance(light), number=card.number)
    except ValueError:
        return "grey_unusable"


def colours(pixels: Pixels, aids: Sequence[Aid], by: Reference) -> list[Colour]:
    """Every colour place of a photograph."""
    return [_colour(_box(pixels, aid), aid, by.correction) for aid in aids if aid.kind == "colour"]


def _colour(place: Pixels, aid: Aid, correction: target.Correction) -> Colour:
    light = _light(place)
    if min(place.shape[:2]) < _LEAST or not np.isfinite(light).all():
        return Colour(aid=aid)
    lab = correction.lab(light)
    error = None
    if correction.left_out_square is not None:
        if lab[0] > _BRIGHTEST:
            return Colour(aid=aid)
        error = correction.left_out_square + _uneven(place, lab, correction)
    return Colour(aid=aid, lab=(float(lab[0]), float(lab[1]), float(lab[2])), error_square=error)


def _uneven(place: Pixels, lab: Floats, correction: target.Correction) -> float:
    """Squared standard error of the place's mean, by how its cells differ from it (JCGM 100:2008, 4.2.3)."""
    rows = [row for row in np.array_split(place, _CELLS) if row.size]
    cells = [cell for row in rows for cell in np.array_split(row, _CELLS, axis=1) if cell.size]
    seen = correction.lab(np.array([linear(cell.reshape(-1, 3)).mean(axis=0) for cell in cells]))
    return float((ciede2000(seen, lab) ** 2).sum() / (len(cells) - 1) / len(cells))


def _light(place: Pixels) -> Floats:
    """Mean linear light (3,); nan where the place is burnt out or empty."""
    flat = place.reshape(-1, 3)
    if not flat.size or float(np.median(flat, axis=0).max()) >= target.CLIPPED:
        return np.full(3, np.nan)
    return np.asarray(linear(flat).mean(axis=0), np.float64)


def _corners(pixels: Pixels, aid: Aid) -> tuple[scale.Point, ...]:
    height, width = pixels.shape[:2]
    return scale.in_pixels(aid.at, width, height)


def _box(pixels: Pixels, aid: Aid) -> Pixels:
    """The pixels of a box, or of the small square around a point."""
    height, width = pixels.shape[:2]
    points = np.array(_corners(pixels, aid))
    if len(points) == 1:
        points = points + np.array([[-1.0], [1.0]]) * _POINT * max(width, height)
    (x0, y0), (x1, y1) = np.clip(np.round([points.min(0), points.max(0)]), 0, [width, height]).astype(int)
    return pixels[y0:y1, x0:x1]


def difference(before: Colour, after: Colour) -> tuple[float, float]:
    """CIEDE2000 of the two, and what it may be off by (95 %, as if neither error helped the other).

    Raises ValueError where one of them was not measured by a target.
    """
    if before.lab is None or after.lab is None or before.error_square is None or after.error_square is None:
        raise ValueError("a colour that was not measured by a target has no difference")
    apart = float(ciede2000(before.lab, after.lab))
    return apart, COVERAGE * (before.error_square + after.error_square) ** 0.5
