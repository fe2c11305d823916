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

NoColour = Literal["no_reference", "several_targets", "target_unusable", "grey_unusable", "made_not_said"]
NoDifference = Literal["grey_card", "not_good_enough", "other_generation"] | NoColour
Generation = Literal["told", "not_told", "other"]
WORKING = 2400  # px on the longer side: where colours are measured
# An error of three equal parts lies within so many times its root mean square: the 95 % quantile of chi with
# three degrees of freedom is 2.7955 (chi square 7.815, as tables have it), its root mean square sqrt(3).
COVERAGE = 2.7955 / 3**0.5
_POINT = 0.005  # of the longer side, half the box that a point stands for
_CELLS = 4  # a side, to see how even a place is
_LEAST = 4  # px, the side of a place
_BRIGHTEST = 102.0  # L*; a perfect white in the target's light has 100, the rest is the correction's error
# Of the other generation's mean residual. Real spectra of the target seen by two measured cameras (both as
# colour-science has them): under five lamps the right generation fitted at most 4 % worse than the other,
# under daylight 4 to 17 % better.
_CLEARLY = 0.92
_CONTRADICTS = 0.02  # of a length, what two scales may differ by beyond the placing: one lies higher
# Of a grey card, what its light may differ from the target's: the white balance of ISO 19264-1:2021 level A,
# as read in secondary sources.
_NEUTRAL = 3.0
WAYS = {"length": scale.length, "area": scale.area, "pitch": scale.pitch}


class Sized(msgspec.Struct, frozen=True, kw_only=True):
    """A length, area or pitch; `by` the scales it was measured with."""

    aid: Aid
    by: tuple[Aid, ...]
    measured: scale.Measured


class Reference(msgspec.Struct, frozen=True, kw_only=True):
    """What colours are measured by. `number` of its mark; "" where the target was found.

    `other`: how the target of the other generation would be met. `card_off`: how far from neutral, as
    CIEDE2000, a grey card beside the target is by it; 0 where that is no more than `_NEUTRAL`.
    """

    correction: target.Correction
    other: target.Correction | None = None
    card_off: float = 0.0
    made: target.Generation | None = None  # None: a grey card
    number: str = ""

    @property
    def no_difference(self) -> NoDifference | None:
        """Why colours cannot be compared by it; None where they can."""
        if self.made is None:
            return "grey_card"
        if self.generation == "other":
            return "other_generation"
        return None if self.correction.good_enough else "not_good_enough"

    @property
    def generation(self) -> Generation:
        """Whether the photograph tells that the target is of the generation said, or rather of the other."""
        mine, theirs = self.correction.mean, self.other.mean if self.other else None
        if mine is None or theirs is None:
            return "not_told"
        if theirs < _CLEARLY * mine:
            return "other"
        return "told" if mine < _CLEARLY * theirs else "not_told"


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
    known = _known(by, width, height)
    found = []
    for aid in aids:
        if aid.kind in WAYS and (measured := _size(aid, known, by, (width, height))):
            found.append(Sized(aid=aid, by=by, measured=measured))
    return found


def _known(by: Sequence[Aid], width: int, height: int) -> scale.Scale:
    known = scale.Scale(
        points=tuple(point for aid in by for point in scale.in_pixels(aid.at, width, height)),
        lengths=tuple(mm for aid in by for mm in aid.lengths),
        rectangle=len(by[0].at) == 8,
    )
    scale.check(known)
    return known


def contradicting(aids: Sequence[Aid], width: int, height: int) -> list[Sized]:
    """What the scales that measure make of those that do not, where the two do not fit.

    Of four corners the side that fits least. Raises ValueError where the scale cannot measure.
    """
    by = _scales(aids)
    known = _known(by, width, height)
    unused = [aid for aid in aids if aid.kind == "scale" and aid not in by]
    return list(filter(None, (_worst_side(aid, known, by, (width, height)) for aid in unused)))


def _worst_side(aid: Aid, known: scale.Scale, by: Sequence[Aid], size: tuple[int, int]) -> Sized | None:
    """None where every side fits within the placing, or cannot be measured."""
    worst, found = 1.0, None
    for number, mm in enumerate(aid.lengths):
        side = msgspec.structs.replace(
            aid, kind="length", at=aid.at[2 * number : 2 * number + 4], lengths=(mm,)
        )
        if measured := _size(side, known, by, size):
            off = abs(measured.value - mm) / max(measured.plus_minus, _CONTRADICTS * mm)
            if off > worst:
                worst, found = off, Sized(aid=side, by=tuple(by), measured=measured)
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
    pixels: Pixels, aids: Sequence[Aid], found: Sequence[target.Corners], made: target.Generation | None
) -> Reference | NoColour:
    """By the first target marked, else the one `found` (`made` then), else a grey card; or why not."""
    card = next((aid for aid in aids if aid.kind == "grey card"), None)
    for aid in aids:
        if aid.kind == "target" and aid.made:
            return _by_target(pixels, _corners(pixels, aid), aid.made, aid.number, card)
    if len(found) > 1:
        return "several_targets"
    if found:
        return _by_target(pixels, found[0], made, "", card) if made else "made_not_said"
    return _by_card(pixels, card) if card else "no_reference"


def _by_target(
    pixels: Pixels, corners: target.Corners, made: target.Generation, number: str, card: Aid | None
) -> Reference | NoColour:
    try:
        sampled = target.sample(pixels, corners)
        fits = {generation: target.fit(sampled, generation) for generation in target.VALUES}
    except (ValueError, np.linalg.LinAlgError):
        return "target_unusable"
    correction = fits.pop(made)
    off = _card_off(pixels, card, correction) if card else 0.0
    return Reference(correction=correction, other=fits.popitem()[1], made=made, number=number, card_off=off)


def _card_off(pixels: Pixels, card: Aid, correction: target.Correction) -> float:
    """0 where it is about neutral, or burnt out."""
    light = _light(_box(pixels, card))
    if not np.isfinite(light).all():
        return 0.0
    lab = correction.lab(light)
    off = float(ciede2000(lab, np.array([lab[0], 0.0, 0.0])))
    return off if off > _NEUTRAL else 0.0


def _by_card(pixels: Pixels, card: Aid) -> Reference | NoColour:
    light = _light(_box(pixels, card))
    try:
        return Reference(correction=target.grey_balance(light), number=card.number)
    except ValueError:
        return "grey_unusable"


def colours(pixels: Pixels, aids: Sequence[Aid], by: Reference) -> list[Colour]:
    """Every colour place of a photograph."""
    return [_colour(_box(pixels, aid), aid, by) for aid in aids if aid.kind == "colour"]


def _colour(place: Pixels, aid: Aid, by: Reference) -> Colour:
    light, correction = _light(place), by.correction
    if min(place.shape[:2]) < _LEAST or not np.isfinite(light).all():
        return Colour(aid=aid)
    lab = correction.lab(light)
    error = None
    if correction.left_out_most is not None:
        if lab[0] > _BRIGHTEST:
            return Colour(aid=aid)
        # Not the mean over the patches, six of which are grey, which a fit meets best.
        fitted = (correction.left_out_most / COVERAGE) ** 2
        error = fitted + _uneven(place, lab, correction) + by.card_off**2
        if by.other and by.generation == "not_told":
            error += float(ciede2000(lab, by.other.lab(light))) ** 2
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
