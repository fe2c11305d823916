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
from dossier.pictures.decode import Pixels, opencv

LEAST_SHOWN = 0.5  # of the frame; with less, the two are better seen as they were taken
_WHITE = (255, 255, 255)


class Picture(NamedTuple):
    """How it lies, and the JPEG; no bytes where it was refused."""

    laid: Laid
    jpeg: bytes = b""


def lay(before: Pixels, after: Pixels, over: str, quality: int) -> Picture:
    """`after` over `before`, both upright sRGB; `over` names the photograph before."""
    found = align.align(before, after)
    if isinstance(found, align.NotAligned):
        return Picture(Laid(over=over, refused=found.reason, figures=dict(found.figures)))
    height, width = before.shape[:2]
    drawn, seen = framed(after, found, width, height)
    shown = float(seen.mean())
    if shown < LEAST_SHOWN:
        figures = {"percent": f"{100 * shown:.0f}"}
        return Picture(Laid(over=over, refused="little_in_common", figures=figures))
    jpeg = derive.encode(drawn, quality)
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
    frame, own = align_plane.to_parts((height, width)), align_plane.to_parts(after.shape)
    matrix = np.linalg.inv(own) @ found.matrix() @ frame
    drawn: Pixels = cv2.warpPerspective(
        after,
        matrix,
        (width, height),
        flags=cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_CONSTANT,
        borderValue=_WHITE,
    )
    seen = cv2.warpPerspective(
        np.full(after.shape[:2], 255, np.uint8),
        matrix,
        (width, height),
        flags=cv2.INTER_NEAREST | cv2.WARP_INVERSE_MAP,
    )
    return drawn, seen > 0
