"""Whether a photograph can serve: sharp enough, not burnt out, not too dark, large enough.

Not done here: reading files, deciding (each is a hint with its figures; a person looks). Pure but for
OpenCV. Invariant: thresholds are named here with what they were set by, and nowhere else.

Sharpness is the blur of Crete et al. 2007 ("The blur effect: perception and estimation with a new no-
reference perceptual blur metric", SPIE 6492): how little a picture loses when it is blurred again, 0
(sharp) to 1. It is taken region by region at the working size: an object may be sharp before a soft
ground.
"""

from __future__ import annotations

from typing import Literal

import msgspec
import numpy as np
from numpy.typing import NDArray

from dossier.pictures.decode import Pixels, opencv, shrink

Grey = NDArray[np.uint8]
Weakness = Literal["photo-blurred", "photo-burnt-out", "photo-too-dark", "photo-too-small"]

WORKING = 1000  # pixels on the longer side
# Set by 28 public photographs (scikit-image's own and two sets of desktop backgrounds). Blur: as they are
# the highest is 0.61, a macro shot on a soft ground; blurred by 3 px those full of detail have 0.56 to 0.71.
MOST_BLUR = 0.62
# Share of the picture without drawing in the lights: the highest is 0.02. An object on white paper has more.
MOST_BURNT = 0.15
# Of 255, the level that 95 % of the picture stays under: a night sky has 52, all others 106 and more.
LEAST_LIGHT = 60
LEAST_PIXELS = 800  # longer side: 200 dpi at the 100 mm that one of a pair is printed at

_WIDE = 11  # px, the length of the second blur (Crete et al.; scikit-image's `blur_effect`)
_REGIONS = 4  # the picture in 4 x 4 regions
_PLAIN = 10  # of 255: a region that varies less shows nothing to be sharp
_FULL = 253  # of 255 in all three colours: no drawing left
_GLINT = 5  # px; smaller spots are reflections, not lost drawing


class Seen(msgspec.Struct, frozen=True, kw_only=True):
    """What was measured: `blur` 0 to 1, `burnt` a share of the area, `light` the 95th percentile of 255.

    `blur` is 0 where the picture has no detail by which to tell.
    """

    blur: float
    burnt: float
    light: int


class Weak(msgspec.Struct, frozen=True, kw_only=True):
    """`evidence.finding.<code>` in the catalogue says it, with `figures`."""

    code: Weakness
    figures: dict[str, str]


def measure(pixels: Pixels) -> Seen:
    """Of upright sRGB pixels (height, width, 3) at any size, looked at with 1,000 px on the longer side."""
    small = shrink(pixels, WORKING)
    grey: Grey = opencv().cvtColor(small, opencv().COLOR_RGB2GRAY)
    return Seen(blur=region_blur(grey), burnt=_burnt(small), light=_level(grey, 0.95))


def _level(grey: Grey, share: float) -> int:
    """The level that `share` of the pixels stay under, by counting them: sorting takes ten times as long."""
    counts = opencv().calcHist([grey], [0], None, [256], [0, 256]).ravel()
    return int(np.searchsorted(np.cumsum(counts, dtype=np.int64), share * (grey.size - 1), side="right"))


def weaknesses(seen: Seen, width: int, height: int) -> list[Weak]:
    """What is weak in a photograph of `width` x `height` pixels; [] where nothing is."""
    found = []
    if seen.blur > MOST_BLUR:
        found.append(Weak(code="photo-blurred", figures=_figures(f"{seen.blur:.2f}", f"{MOST_BLUR}")))
    if seen.burnt > MOST_BURNT:
        found.append(
            Weak(code="photo-burnt-out", figures=_figures(_percent(seen.burnt), _percent(MOST_BURNT)))
        )
    if seen.light < LEAST_LIGHT:
        found.append(Weak(code="photo-too-dark", figures=_figures(str(seen.light), str(LEAST_LIGHT))))
    if max(width, height) < LEAST_PIXELS:
        found.append(Weak(code="photo-too-small", figures=_figures(f"{width} x {height}", str(LEAST_PIXELS))))
    return found


def _figures(seen: str, limit: str) -> dict[str, str]:
    return {"seen": seen, "limit": limit}


def _percent(share: float) -> str:
    return f"{100 * share:.0f}"


def region_blur(grey: Grey) -> float:
    """The blur a quarter of the regions with detail are below; 0 where none has any."""
    height, width = grey.shape
    found = []
    for row in range(_REGIONS):
        for column in range(_REGIONS):
            region = grey[
                row * height // _REGIONS : (row + 1) * height // _REGIONS,
                column * width // _REGIONS : (column + 1) * width // _REGIONS,
            ]
            if min(region.shape) > 2 * _WIDE and _spread(region) > _PLAIN:
                found.append(blur(region))
    return float(np.quantile(found, 0.25)) if found else 0.0


def _spread(grey: Grey) -> float:
    """The standard deviation of its levels."""
    return float(opencv().meanStdDev(grey)[1][0, 0])


def blur(grey: Grey) -> float:
    """0 to 1 of one picture or region: the worse of across and down."""
    return max(_blur_along(grey, down=False), _blur_along(grey, down=True))


def _blur_along(grey: Grey, *, down: bool) -> float:
    cv2 = opencv()
    slope = (0, 1) if down else (1, 0)
    again = cv2.blur(grey.astype(np.float32), (1, _WIDE) if down else (_WIDE, 1))
    before = np.ascontiguousarray(cv2.Sobel(grey, cv2.CV_32F, *slope)[2:-1, 2:-1])
    after = np.ascontiguousarray(cv2.Sobel(again, cv2.CV_32F, *slope)[2:-1, 2:-1])
    cv2.absdiff(before, 0.0, before)
    cv2.absdiff(after, 0.0, after)
    whole = float(cv2.sumElems(before)[0])
    cv2.subtract(before, after, before)
    lost = float(cv2.sumElems(cv2.max(before, 0.0, before))[0])
    return (whole - lost) / whole if whole else 1.0


def _burnt(pixels: Pixels) -> float:
    cv2 = opencv()
    full = cv2.inRange(pixels, (_FULL,) * 3, (255,) * 3) // 255
    return float(cv2.erode(full, np.ones((_GLINT, _GLINT), np.uint8)).mean())
