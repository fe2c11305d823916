"""Lays the photograph "after" over the one "before", or says why it cannot be done.

A plane, or an object seen from the same place, maps from one photograph to another by a homography (Hartley
& Zisserman, Multiple View Geometry, 2nd ed., section 2.3 and 8.4). Found in two steps: features matched and
a robust homography (`align_match`; by `landmarks` where too few agree), then small shifts measured at some
500 places (`align_refine`). Last, whether it could lie a repeat of its own pattern aside (`align_repeat`).

Not done here: reading files, drawing, judging what changed. Invariants: neither picture is changed; the same
pixels give the same answer; what does not hold as one plane is refused with its reason, never shown warped
wrongly; refusing is no finding about the object. Not seen: a layer without detail to measure.

Units: every length is in parts of 1,000 of a picture's longer side, measured from its upper left corner, so
that an answer holds for the same photograph at any size.
"""

from __future__ import annotations

from typing import Literal

import msgspec
import numpy as np
from numpy.typing import NDArray

from dossier.pictures import agreement, align_match, align_plane, align_refine, align_repeat, decode
from dossier.pictures.align_match import Picture
from dossier.pictures.align_refine import Refined

WORKING = 1000  # pixels on the longer side
SMALLEST = 200  # pixels on the shorter side of an original
FEWEST_MATCHES = 10  # agreeing features; chance alone gave at most 6 on 182 pairs of different scenes
FEWEST_TRACKS = 60  # places measured
MOST_SCALE = 3.0
LEAST_COMMON = 0.2  # of the picture before
MOST_UNSURE = 1.0  # px; three standard errors of the worst corner of what both show
MOST_BENT = 1.0  # px; median misfit of any one region that has enough places
LEAST_AGREEING = 0.85  # share of the places measured that lie within 1 px; on flat scenes 0.94 and more
MOST_ELSEWHERE = 0.1  # share of places that look the same and lie elsewhere; on flat scenes 0.03 and less
# px, of a piece that lies elsewhere as a whole: of 42 true pairs none had any; tools of 3 to 8 % of a picture
# that were nudged 31 and less; most layers of 15 % and more, moved by 7 to 28 px, over 50.
BROADEST = 50.0
MOST_RIVAL = 0.25  # matches that agree on another homography, against those on this one

Reason = Literal[
    "too_small", "too_few", "folded", "scale", "little_in_common", "not_flat", "unsteady", "repeated"
]
Matrix = NDArray[np.float64]


class Alignment(msgspec.Struct, frozen=True, kw_only=True):
    """How the picture after lies over the one before.

    `homography`: nine decimal numbers, row by row, last one 1. A place (x, y) of the picture before is at
    (u/w, v/w) of the picture after, with (u, v, w) = homography (x, y, 1).
    `residual`: median distance in parts of 1,000 between where the places were seen and where it puts them.
    `inliers`: how many of the `measured` places lie within 1 of it.
    """

    homography: tuple[str, ...]
    residual: str
    inliers: int
    measured: int

    def matrix(self) -> Matrix:
        return np.array([float(number) for number in self.homography]).reshape(3, 3)


class NotAligned(msgspec.Struct, frozen=True, kw_only=True):
    """Why not: `evidence.align.<reason>` in the catalogue, with `figures`."""

    reason: Reason
    figures: dict[str, str] = msgspec.field(default_factory=dict)


def align(before: decode.Pixels, after: decode.Pixels) -> Alignment | NotAligned:
    """How `after` lies over `before`, both upright sRGB pixels (height, width, 3) at any size."""
    if min(*before.shape[:2], *after.shape[:2]) < SMALLEST:
        return NotAligned(reason="too_small", figures={"needed": str(SMALLEST)})
    one, other = (align_match.picture(working(pixels)) for pixels in (before, after))
    found = _found(one, other)
    if len(found.inliers) < FEWEST_MATCHES or found.homography is None:
        return _too_few(len(found.inliers), FEWEST_MATCHES)
    if refused := _shape(found.homography, one.grey):
        return refused
    if found.rival >= FEWEST_MATCHES and found.rival > MOST_RIVAL * len(found.inliers):
        return NotAligned(reason="not_flat")
    refined = align_refine.refine(one, other, found.homography)
    return _judged(refined, one.grey, other.grey)


def _found(one: Picture, other: Picture) -> align_match.Matched:
    """By features; where too few agree, by larger shapes, in which no two bricks of a wall are alike."""
    found = align_match.match(one, other)
    if len(found.inliers) >= FEWEST_MATCHES:
        return found
    return align_match.agreeing(*agreement.matched_places(one.grey, other.grey))


def working(pixels: decode.Pixels) -> align_match.Grey:
    """Grey at the working size; a smaller picture stays as it is."""
    return decode.shrink(decode.opencv().cvtColor(pixels, decode.opencv().COLOR_RGB2GRAY), WORKING)


def _too_few(inliers: int, needed: int) -> NotAligned:
    return NotAligned(reason="too_few", figures={"inliers": str(inliers), "needed": str(needed)})


def _shape(homography: Matrix, one: align_match.Grey) -> NotAligned | None:
    """Refuses what no camera in front of the object would see: turned over, folded, far off in scale."""
    scales = align_plane.local_scales(homography, one.shape)
    if scales is None or max(scales) / min(scales) > MOST_SCALE:
        return NotAligned(reason="folded")
    middle = float(np.sqrt(max(scales) * min(scales)))
    if not 1 / MOST_SCALE <= middle <= MOST_SCALE:
        return NotAligned(reason="scale", figures={"scale": f"{max(middle, 1 / middle):.1f}"})
    return None


def _judged(
    refined: Refined | None, one: align_match.Grey, other: align_match.Grey
) -> Alignment | NotAligned:
    if refined is None or refined.inliers < FEWEST_TRACKS:
        return _too_few(refined.inliers if refined else 0, FEWEST_TRACKS)
    if refused := _shape(refined.homography, one):
        return refused
    box = align_plane.common_box(refined.homography, one.shape, other.shape)
    common = box[2] * box[3] / (one.shape[0] * one.shape[1])
    if common < LEAST_COMMON:
        return NotAligned(reason="little_in_common", figures={"percent": f"{100 * common:.0f}"})
    if refused := _fit_refused(refined, box):
        return refused
    if align_repeat.repeats(one, other, refined.homography):
        return NotAligned(reason="repeated")
    return _alignment(refined, one, other)


def _fit_refused(refined: Refined, box: align_plane.Box) -> NotAligned | None:
    agreeing = refined.inliers / refined.measured
    elsewhere = refined.elsewhere > MOST_ELSEWHERE or refined.layer > BROADEST
    if agreeing < LEAST_AGREEING or elsewhere or refined.bent > MOST_BENT:
        return NotAligned(reason="not_flat")
    unsure = 3 * align_refine.corner_error(refined, box)
    if unsure > MOST_UNSURE:
        return NotAligned(reason="unsteady", figures={"pixels": f"{unsure:.1f}"})
    return None


def _alignment(refined: Refined, one: align_match.Grey, other: align_match.Grey) -> Alignment:
    """In parts of 1,000 from the corner, where OpenCV counts pixels from the middle of the first one."""
    before, after = align_plane.to_parts(one.shape), align_plane.to_parts(other.shape)
    matrix = after @ refined.homography @ np.linalg.inv(before)
    matrix /= matrix[2, 2]
    return Alignment(
        homography=tuple(_decimal(number) for number in matrix.ravel()),
        residual=f"{refined.residual * float(before[0, 0]):.2f}",
        inliers=refined.inliers,
        measured=refined.measured,
    )


def _decimal(number: float) -> str:
    """Ten significant digits: far below a hundredth of a pixel at any size."""
    return np.format_float_positional(number, precision=10, fractional=False, trim="-")
