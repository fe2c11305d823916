"""Whether two files hold the same photograph: byte for byte, or scaled and saved again.

Two steps: 64 signs of the lowest frequencies of the picture (a discrete cosine transform of 32 x 32 grey
values: Zauner 2010, "Implementation and benchmarking of perceptual image hash functions") find who may be
alike; then the two are compared at 128 px place by place, since a picture before and one after the
work from one tripod have nearly the same signs and must not be called the same.

A picture turned by quarters is found too: programs drop the note by which it stood upright; one that was cut
or mirrored is not. Not done here: files, saying it. A hint: two shots of one burst are called alike too.
Invariant: `alike` is symmetric.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import msgspec
import numpy as np
from numpy.typing import NDArray

from dossier.pictures.decode import Pixels, opencv
from dossier.pictures.median import median

# Of 64 signs. The same photograph at a quarter of its size and JPEG quality 30 differed by 4 at most,
# photographs of 26 different scenes by 20 and more.
MOST_SIGNS = 8
SIDE = 128  # px, both sides; the shape of the picture is compared by itself
_COARSE = 32
_LOW = 8
_SHAPE = 0.02  # widths to heights may differ by 2 %
_BLOCK = 8  # px of 128
# Of 255, the mean difference of the worst block, light evened out. The same photograph saved again: at most
# 16 (more where its lights were burnt by brightening); 2 % of the area changed, from a tripod: 25 at least.
_MOST_APART = 17.0
_BLANK = 3.0  # of 255, the standard deviation below which a picture shows nothing to know it again by


class Print(msgspec.Struct, frozen=True, kw_only=True):
    """What is kept of one photograph to find it again."""

    sha256: str
    signs: int  # 64 bits
    small: NDArray[np.uint8]  # (128, 128)
    shape: float  # width to height


def take(pixels: Pixels, sha256: str) -> Print:
    """Of upright sRGB pixels (height, width, 3) and the digest of the file they came from."""
    cv2 = opencv()
    grey = cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY)
    small = cv2.resize(grey, (SIDE, SIDE), interpolation=cv2.INTER_AREA)
    return Print(sha256=sha256, signs=signs(small), small=small, shape=pixels.shape[1] / pixels.shape[0])


def signs(grey: NDArray[np.uint8]) -> int:
    """64 bits, row by row: whether each of the 8 x 8 lowest frequencies is above their median."""
    cv2 = opencv()
    coarse = cv2.resize(grey, (_COARSE, _COARSE), interpolation=cv2.INTER_AREA).astype(np.float64)
    low = cv2.dct(coarse)[:_LOW, :_LOW]
    bits = (low > median(low.ravel()[1:])).ravel()
    return int("".join("1" if bit else "0" for bit in bits), 2)


def same(prints: Sequence[Print]) -> list[list[int]]:
    """Groups (two or more indices each) whose files are the same byte for byte."""
    by_digest: dict[str, list[int]] = {}
    for index, one in enumerate(prints):
        by_digest.setdefault(one.sha256, []).append(index)
    return [group for group in by_digest.values() if len(group) > 1]


def nearly_same(prints: Sequence[Print]) -> list[tuple[int, int]]:
    """Pairs (lower index first) that show the same photograph, turned or not, and are not the same file."""
    found = set()
    for quarters in range(4):
        turned = [_turned(one, quarters) for one in prints]
        found |= {(n, m) for n, m in _candidates(prints, turned) if alike(prints[n], turned[m])}
    return sorted(found)


def _turned(one: Print, quarters: int) -> Print:
    if not quarters:
        return one
    small = np.ascontiguousarray(np.rot90(one.small, quarters))
    shape = 1 / one.shape if quarters % 2 else one.shape
    return Print(sha256=one.sha256, signs=signs(small), small=small, shape=shape)


def _candidates(prints: Sequence[Print], others: Sequence[Print]) -> Iterator[tuple[int, int]]:
    bits, against = (
        np.unpackbits(
            np.frombuffer(b"".join(one.signs.to_bytes(8, "big") for one in some), np.uint8).reshape(-1, 8),
            axis=1,
        )
        for some in (prints, others)
    )
    for index in range(len(prints) - 1):
        differing = (against[index + 1 :] != bits[index]).sum(axis=1)
        for offset in np.flatnonzero(differing <= MOST_SIGNS):
            other = index + 1 + int(offset)
            if prints[index].sha256 != prints[other].sha256:
                yield index, other


def alike(one: Print, other: Print) -> bool:
    """Whether both show the same everywhere, whatever their size, quality and overall light."""
    if min(one.small.std(), other.small.std()) < _BLANK:
        return False
    if abs(one.shape / other.shape - 1) > _SHAPE or (one.signs ^ other.signs).bit_count() > MOST_SIGNS:
        return False
    return worst_block(one, other) <= _MOST_APART


def worst_block(one: Print, other: Print) -> float:
    """The mean difference (of 255) of the block of 8 x 8 that differs most, light and contrast evened."""
    apart = np.abs(_level(one.small) - _level(other.small))
    blocks = apart.reshape(SIDE // _BLOCK, _BLOCK, SIDE // _BLOCK, _BLOCK).mean(axis=(1, 3))
    return float(blocks.max())


def _level(small: NDArray[np.uint8]) -> NDArray[np.float64]:
    """Mean 128 and standard deviation 50, so that an overall change of light drops out."""
    fine = small.astype(np.float64)
    level: NDArray[np.float64] = (fine - fine.mean()) / max(float(fine.std()), 20.0) * 50 + 128
    return level
