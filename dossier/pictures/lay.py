"""The photograph after the work, turned and scaled into the frame of the one before, as a picture for a page.

The whole frame of the picture before is kept, and stays white where the one after shows nothing, so that
nothing of either picture is cut away unseen. Not done here: finding how it lies (`align`), which photographs
stand side by side (`plan`). The same pixels and quality give the same JPEG with the same library versions.
"""

from __future__ import annotations

import hashlib
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from dossier.model.record import Laid
from dossier.pictures import align, align_plane, derive
from dossier.pictures.decode import CUBIC_BELOW, LINEAR_BELOW, Pixels, opencv

LEAST_SHOWN = 0.5  # of the frame; with less, the two are better seen as they were taken
_WHITE = (255, 255, 255)


class Picture(NamedTuple):
    """How it lies, and the JPEG; no bytes where it was refused."""

    laid: Laid
    jpeg: bytes = b""


def lay(before: Pixels, after: Pixels, over: str, quality: int, finer: Pixels | None = None) -> Picture:
    """`after` over `before`, both upright sRGB; `over` names the photograph before.

    `finer`: the photograph after as it was before it was brought to its size. Drawn from it at once, it loses
    less than drawn twice, in less time (tests/unit/pictures/test_pictures_lay.py).
    """
    found = align.align(before, after)
    if isinstance(found, align.NotAligned):
        return Picture(Laid(over=over, refused=found.reason, figures=dict(found.figures)))
    height, width = before.shape[:2]
    source, matrix = _source(before, after, finer, found)
    shown = align_plane.share_seen(matrix, before.shape, source.shape)
    if shown < LEAST_SHOWN:
        figures = {"percent": f"{100 * shown:.0f}"}
        return Picture(Laid(over=over, refused="little_in_common", figures=figures))
    jpeg = derive.encode(_drawn(source, matrix, width, height), quality)
    laid = Laid(
        over=over,
        homography=found.homography,
        residual=found.residual,
        inliers=found.inliers,
        measured=found.measured,
        shown_sha256=hashlib.sha256(jpeg).hexdigest(),
        shown_width=width,
        shown_height=height,
    )
    return Picture(laid, jpeg)


def framed(
    after: Pixels, found: align.Alignment, width: int, height: int
) -> tuple[Pixels, NDArray[np.bool_]]:
    """The picture in the frame of the one before, and where in that frame it shows anything."""
    cv2 = opencv()
    matrix = _matrix(found, (height, width), after.shape)
    seen = cv2.warpPerspective(
        np.full(after.shape[:2], 255, np.uint8),
        matrix,
        (width, height),
        flags=cv2.INTER_NEAREST | cv2.WARP_INVERSE_MAP,
    )
    return _drawn(after, matrix, width, height), seen > 0


def _matrix(found: align.Alignment, before: tuple[int, ...], after: tuple[int, ...]) -> align.Matrix:
    """From a pixel of the frame to one of the picture that is drawn."""
    frame, own = align_plane.to_parts(before), align_plane.to_parts(after)
    return np.asarray(np.linalg.inv(own) @ found.matrix() @ frame, np.float64)


def _source(
    before: Pixels, after: Pixels, finer: Pixels | None, found: align.Alignment
) -> tuple[Pixels, align.Matrix]:
    """The finer one, unless so much of it falls on a pixel of the frame that some would be missed."""
    matrix = _matrix(found, before.shape, after.shape)
    if finer is not None:
        of_finer = _enlarged(after.shape, finer.shape) @ matrix
        if _step(of_finer, before.shape) < LINEAR_BELOW:
            return np.ascontiguousarray(finer), of_finer
    return after, matrix


def _enlarged(small: tuple[int, ...], large: tuple[int, ...]) -> align.Matrix:
    """From a pixel of a picture to one of what it was made from: its sides were rounded each by itself."""
    down, across = (of / to for of, to in zip(large[:2], small[:2], strict=True))
    return np.array([[across, 0, (across - 1) / 2], [0, down, (down - 1) / 2], [0, 0, 1]])


def _step(matrix: align.Matrix, frame: tuple[int, ...]) -> float:
    """Pixels of the picture, along a line, to one of the frame, at most."""
    return max(align_plane.local_scales(matrix, frame) or [1.0])


def _drawn(source: Pixels, matrix: align.Matrix, width: int, height: int) -> Pixels:
    cv2 = opencv()
    cubic = _step(matrix, (height, width)) < CUBIC_BELOW
    drawn: Pixels = cv2.warpPerspective(
        source,
        matrix,
        (width, height),
        flags=(cv2.INTER_CUBIC if cubic else cv2.INTER_LINEAR) | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_CONSTANT,
        borderValue=_WHITE,
    )
    return drawn
