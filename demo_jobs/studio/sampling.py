"""Values of a picture between its pixels, for any number of places (OpenCV takes at most 32767 at once)."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

AT_ONCE = 16384


def sampled(picture: NDArray[Any], column: NDArray[Any], line: NDArray[Any], border: int) -> NDArray[Any]:
    """`picture` at (column, line), bilinear, in the shape of `column`; `border` as OpenCV names it."""
    u, v = column.astype(np.float32).ravel(), line.astype(np.float32).ravel()
    made = [
        cv2.remap(
            picture,
            u[k : k + AT_ONCE].reshape(1, -1),
            v[k : k + AT_ONCE].reshape(1, -1),
            cv2.INTER_LINEAR,
            borderMode=border,
        )
        for k in range(0, u.size, AT_ONCE)
    ]
    return np.concatenate([m.reshape(-1, *picture.shape[2:]) for m in made]).reshape(
        column.shape + picture.shape[2:]
    )
