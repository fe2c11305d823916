"""Which photographs may be cut out of another one, or be it in a mirror, in whatever size and saved again.

What an editing program cuts out lies in the whole picture without turn or tilt, and shows the same there
place by place. Two shots of one thing from the hand differ in both: each shows what the other does not.

Not done here: files, saying it; the whole picture scaled or saved again is `likeness`'s to find. A hint: one
shot from a tripod and one with a longer lens from the same place are called cut out too. Invariants:
deterministic; a pair is named once.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import msgspec
import numpy as np
from numpy.typing import NDArray

from dossier.pictures import likeness, pairing
from dossier.pictures.agreement import Agreed, agreed
from dossier.pictures.decode import opencv
from dossier.pictures.landmarks import Landmarks, mirrored
from dossier.pictures.pairing import View

FEWEST = 25  # landmarks that agree
PARTNERS = 2  # looked at for each photograph in a mirror
LEAST = 0.3  # of the area of the whole
_SAME = 0.98  # of the area; more is the whole picture, which `likeness` finds
_APART = 1.5  # px of the working size, the median distance from a cut without turn or tilt
_UNEVEN = 0.02  # height may be scaled otherwise than width
_OVER = 0.01  # of a side that a cut-out may reach over the edge, for what landmarks are unsure of
# Of 255, the mean difference of the worst block, light evened out (see `likeness`). Cut out of public scenes,
# made smaller, brighter and saved again: 24 at most; with 2 % of the area changed as well: 50 and more.
MOST_APART = 25.0
_SOFT = 3  # of 128

Floats = NDArray[np.float64]
Grey = NDArray[np.uint8]


class CutOut(msgspec.Struct, frozen=True, kw_only=True):
    """`part` may be cut out of `whole` (indices); `share` of its area; the same where it is 1."""

    part: int
    whole: int
    share: float
    mirrored: bool


class _Cut(msgspec.Struct, frozen=True):
    """Takes a place x, y of the whole to (scale x + shift) of the part."""

    scale: Floats  # (2,)
    shift: Floats


def find(views: Sequence[View], near: Mapping[tuple[int, int], Agreed]) -> list[CutOut]:
    """All that may be cut out of another of `views`. `near`: `pairing.neighbours(views)`."""
    seen = [*_judged_all(views, near, turned=False), *_judged_all(views, _in_mirror(views), turned=True)]
    return sorted(seen, key=lambda one: (one.part, one.whole, one.mirrored))


def _in_mirror(views: Sequence[View]) -> dict[tuple[int, int], Agreed]:
    """Each compared with the few that, seen in a mirror, share most with it."""
    near = pairing.candidates(pairing.Marks(views), pairing.Marks(views, _turned), PARTNERS)
    pairs = sorted({(min(pair), max(pair)) for pair in near if pair[0] != pair[1]})
    return {(one, other): agreed(views[one].marks, _turned(views[other])) for one, other in pairs}


def _turned(view: View) -> Landmarks:
    return mirrored(view.marks, view.size[0])


def _judged_all(
    views: Sequence[View], near: Mapping[tuple[int, int], Agreed], *, turned: bool
) -> Iterator[CutOut]:
    for (one, other), held in near.items():
        if held.count >= FEWEST and (found := _judged(views, one, other, held, turned=turned)):
            yield found


def _judged(views: Sequence[View], one: int, other: int, held: Agreed, *, turned: bool) -> CutOut | None:
    for part, whole, source, target in (
        (other, one, held.source, held.target),
        (one, other, held.target, held.source),
    ):
        cut = _cut(source.astype(np.float64), target.astype(np.float64))
        share = _share(cut, views[whole].size, views[part].size) if cut else 0.0
        if cut is None or share < LEAST or (share > _SAME and not turned):
            continue
        shown = [views[n].small[:, ::-1] if turned and n == other else views[n].small for n in (whole, part)]
        if _apart(cut, views[whole].size, views[part].size, shown[0], shown[1]) <= MOST_APART:
            return CutOut(part=part, whole=whole, share=share, mirrored=turned)
    return None


def _cut(whole: Floats, part: Floats) -> _Cut | None:
    """Scale and shift of each axis by itself, where they hold and are alike; fitted without outliers."""
    kept = np.ones(len(whole), bool)
    cut, apart = None, np.empty(0)
    for _ in range(3):
        cut = _fitted(whole[kept], part[kept])
        if cut is None:
            return None
        apart = np.linalg.norm(whole * cut.scale + cut.shift - part, axis=1)
        kept = apart <= max(2 * float(np.median(apart)), 0.5)
    if cut is None or cut.scale.min() <= 0 or abs(cut.scale[0] / cut.scale[1] - 1) > _UNEVEN:
        return None
    return cut if np.median(apart) <= _APART else None


def _fitted(whole: Floats, part: Floats) -> _Cut | None:
    """Least squares."""
    middle, there = whole.mean(axis=0), part.mean(axis=0)
    spread = ((whole - middle) ** 2).sum(axis=0)
    if spread.min() < 1:
        return None
    scale = ((whole - middle) * (part - there)).sum(axis=0) / spread
    return _Cut(scale, there - middle * scale)


def _share(cut: _Cut, whole: tuple[int, int], part: tuple[int, int]) -> float:
    """Of the whole's area that the part shows; 0 where it reaches over the edge."""
    start, end = -cut.shift / cut.scale, (np.array(part) - cut.shift) / cut.scale
    over = _OVER * np.array(whole)
    if (start < -over).any() or (end > np.array(whole) + over).any():
        return 0.0
    return min(1.0, float(np.prod((end - start) / np.array(whole))))


def _apart(cut: _Cut, whole: tuple[int, int], part: tuple[int, int], one: Grey, other: Grey) -> float:
    """How much the block that differs most differs, both drawn at the same places."""
    side = likeness.SIDE
    step = np.array(part) / side  # px of the part for one drawn
    place = np.array([[step[0], 0, step[0] / 2 - 0.5], [0, step[1], step[1] / 2 - 0.5], [0, 0, 1]])
    back = np.array(
        [
            [1 / cut.scale[0], 0, -cut.shift[0] / cut.scale[0]],
            [0, 1 / cut.scale[1], -cut.shift[1] / cut.scale[1]],
        ]
    )
    to_whole = np.vstack([back, [0, 0, 1]]) @ place
    drawn = [_drawn(one, whole, to_whole), _drawn(other, part, place)]
    return likeness.worst(drawn[0], drawn[1])


def _drawn(small: Grey, size: tuple[int, int], matrix: Floats) -> Grey:
    """128 x 128 of a picture of the working `size`, of which `small` is a smaller one."""
    cv2 = opencv()
    x, y = small.shape[1] / size[0], small.shape[0] / size[1]
    matrix = np.array([[x, 0, (x - 1) / 2], [0, y, (y - 1) / 2], [0, 0, 1]]) @ matrix
    # Averaged first over what one place covers.
    soft = cv2.blur(small, tuple(max(1, round(step)) for step in (matrix[0, 0], matrix[1, 1])))
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    side = (likeness.SIDE, likeness.SIDE)
    drawn = cv2.warpPerspective(soft, matrix, side, flags=flags, borderMode=cv2.BORDER_REPLICATE)
    # Landmarks are a pixel or so unsure, which fine texture would not forgive.
    even: Grey = cv2.blur(drawn, (_SOFT, _SOFT))
    return even
