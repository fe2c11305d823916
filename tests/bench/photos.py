"""Photographs for the benchmarks: 12 MP JPEGs of about 4.3 MB with EXIF, made cheaply, each one different.

A few pictures with a camera's statistics (detail falling with fineness, sensor noise) are encoded once;
each file is one of them with its own quantisation table, so that its pixels differ throughout, and its own
EXIF time. Every second one is the one before it taken again after the work, as a person does it by hand: from
nearly the same place, in other light, with 30 % of its area another. Deterministic.

    python tests/bench/photos.py FOLDER --photos 40
"""

from __future__ import annotations

import argparse
import struct
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path

import cv2
import numpy as np

WIDTH, HEIGHT = 4000, 3000
SCENES = 4
_START = datetime(2026, 3, 2, 9, 0, 0)


def make_photos(folder: Path, count: int) -> list[Path]:
    """Writes `count` photographs below `folder` (made when missing); gives their paths in order."""
    folder.mkdir(parents=True, exist_ok=True)
    paths = [folder / f"IMG_{number:04d}.jpg" for number in range(1, count + 1)]
    for number, path in enumerate(paths):
        path.write_bytes(photo(number))
    return paths


def photo(number: int) -> bytes:
    """The bytes of photograph `number` from 0; an odd one shows what the one before it shows."""
    scene, after = number // 2 % SCENES, number % 2 == 1
    base = _with_own_table(_base(scene, after), number // (2 * SCENES))
    return base[:2] + _exif_segment(_START + timedelta(seconds=97 * number)) + base[2:]


@cache
def _base(scene: int, after: bool) -> bytes:
    picture = _again(_surface(scene), _surface(SCENES + scene)) if after else _surface(scene)
    noise = np.random.default_rng((scene, after)).standard_normal(picture.shape, np.float32)
    pixels = np.clip(picture + noise * 7.5, 0, 255).astype(np.uint8)  # the sensor
    _, encoded = cv2.imencode(".jpg", pixels, [cv2.IMWRITE_JPEG_QUALITY, 93])
    return bytes(encoded)


def _surface(seed: int) -> np.ndarray:
    rng = np.random.default_rng(seed)
    picture = np.full((HEIGHT, WIDTH, 3), 118, np.float32)
    for octave in range(2, 11):  # structure from 4 cells across to 1,024, weaker as it gets finer
        cells = rng.standard_normal((3 * 2**octave // 4, 2**octave, 3), np.float32)
        picture += cv2.resize(cells, (WIDTH, HEIGHT), interpolation=cv2.INTER_CUBIC) * (54 / octave**1.35)
    return picture


def _again(before: np.ndarray, renewed: np.ndarray) -> np.ndarray:
    """`before` with a box of 30 % of its area from `renewed`, from another place and in other light."""
    worked_on = before.copy()
    box = np.s_[HEIGHT // 4 : HEIGHT * 7 // 10, WIDTH // 6 : WIDTH * 5 // 6]
    worked_on[box] = renewed[box]
    turn = cv2.getRotationMatrix2D((WIDTH / 2, HEIGHT / 2), 1.5, 1.03)
    moved = np.vstack([turn, [4e-6, -3e-6, 1]])
    moved[:2, 2] += 60, -40
    seen = cv2.warpPerspective(worked_on, moved, (WIDTH, HEIGHT), borderMode=cv2.BORDER_REFLECT)
    return seen * 1.06 + 4


def _with_own_table(jpeg: bytes, turn: int) -> bytes:
    """`jpeg` with some entries of its first quantisation table larger by 1: other pixels, same scan."""
    data = bytearray(jpeg)
    table = data.index(b"\xff\xdb") + 5
    for bit in range(10):
        data[table + 1 + bit] += turn >> bit & 1
    return bytes(data)


def _exif_segment(taken: datetime) -> bytes:
    """APP1 with make, model, orientation, capture time, offset and sub-seconds (EXIF 2.32)."""
    when = taken.strftime("%Y:%m:%d %H:%M:%S").encode()
    exif_tags = [(0x9003, when), (0x9011, b"+01:00"), (0x9291, b"125"), (0xA431, b"0012345678")]
    root_tags = [(0x010F, b"Bench"), (0x0110, b"Bench 12"), (0x0112, 1), (0x8769, None)]
    root_at = 8
    exif_at = root_at + _directory_length(root_tags)
    root = _directory([(tag, exif_at if value is None else value) for tag, value in root_tags], root_at)
    body = b"Exif\0\0MM\0*" + struct.pack(">I", root_at) + root + _directory(exif_tags, exif_at)
    return b"\xff\xe1" + struct.pack(">H", len(body) + 2) + body


def _directory_length(tags: list[tuple[int, bytes | int | None]]) -> int:
    texts = (len(value) + 1 for _, value in tags if isinstance(value, bytes))
    return 6 + 12 * len(tags) + sum(length for length in texts if length > 4)


def _directory(tags: list[tuple[int, bytes | int]], at: int) -> bytes:
    entries, extra = struct.pack(">H", len(tags)), b""
    data_at = at + 6 + 12 * len(tags)
    for tag, value in tags:
        if isinstance(value, int):
            kind, length, field = 4, 1, struct.pack(">I", value)
        else:
            text = value + b"\0"
            kind, length, field = 2, len(text), text.ljust(4, b"\0")
        if len(field) > 4:
            field, extra = struct.pack(">I", data_at + len(extra)), extra + field
        entries += struct.pack(">HHI", tag, kind, length) + field
    return entries + bytes(4) + extra


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--photos", type=int, default=40)
    arguments = parser.parse_args()
    paths = make_photos(arguments.folder, arguments.photos)
    print(f"{len(paths)} photographs, {sum(p.stat().st_size for p in paths) / 1e6:.0f} MB")


if __name__ == "__main__":
    main()
