"""Jobs with something to measure on: a flat scene with a ruler, a colour target beside a patch."""

from __future__ import annotations

import itertools
from pathlib import Path

import colour_scenes as colours
import cv2
import numpy as np
import picture_scenes as scenes

from dossier.intake.template import new_job

HEAD = "file,number,place,at,part,note,size\n"
MM = 4.0  # px a mm of the flat scene
RULER = np.array([[40.0, 170.0], [140.0, 170.0]])  # mm: 100 mm
CARD = np.array(
    [[150.0, 20.0], [235.6, 20.0], [235.6, 73.98], [150.0, 73.98]]
)  # 85.60 x 53.98 mm (ISO/IEC 7810)
STRAP = np.array([[30.0, 40.0], [110.0, 100.0]])  # 100 mm: 80, 60, 100
PATCH = np.array([[60.0, 90.0], [100.0, 90.0], [100.0, 120.0], [60.0, 120.0]])  # 1,200 mm2
SEAM = np.array([[30.0 + 3.0 * n, 150.0] for n in range(11)])  # 3 mm


def scene(tilt: float) -> tuple[np.ndarray, np.ndarray]:
    """A public photograph as a flat thing of 250 x 187.5 mm with a ruler drawn on, seen at an angle."""
    flat = scenes.covering(scenes.photograph("rockery"), (1000, 750)).copy()
    for start, end in itertools.pairwise(np.linspace(*RULER, 11) * MM):
        (x, y), right = start.astype(int).tolist(), int(end[0])
        cv2.rectangle(flat, (x, y), (right, y + 18), (250, 250, 245), -1)
        cv2.line(flat, (x, y), (x, y + 18), (10, 10, 10), 2)
    ends = np.array([[0, 0], [1000, 0], [1000, 750], [0, 750]], np.float32)
    shift = np.array([[tilt, 0], [-tilt, 0], [0, 0], [0, 0]], np.float32) * 1000
    to = cv2.getPerspectiveTransform(ends, np.array(ends * 2 + 100 + shift, np.float32))
    return cv2.warpPerspective(flat, to, (2200, 1700), borderValue=(60, 60, 60)), to


def at(
    mm: np.ndarray, to: np.ndarray, rng: np.random.Generator | None = None, off: float = 0.0
) -> np.ndarray:
    """Where points of the thing are seen; placed by a hand that is `off` by so many pixels."""
    points = cv2.perspectiveTransform((mm * MM)[None], to)[0]
    return points if rng is None else points + rng.normal(0, off, points.shape)


def job_of(folder: Path, pictures: dict[str, np.ndarray], marks: str, stages: dict[str, str]) -> Path:
    new_job(folder)
    photos = folder / "photos"
    photos.mkdir(exist_ok=True)
    for name, pixels in pictures.items():
        assert cv2.imwrite(str(photos / name), pixels[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, 95])
    lines = [f"{name},{stage}" for name, stage in stages.items()]
    (folder / "photos.csv").write_text("\n".join(["file,stage", *lines]) + "\n", encoding="utf-8")
    (folder / "marks.csv").write_text(HEAD + marks, encoding="utf-8")
    return folder


def sized_marks(to: np.ndarray, shape: tuple[int, ...], scale: np.ndarray, size: str) -> str:
    wanted = {"length": STRAP, "area": PATCH, "pitch": SEAM}
    rows = [f'a.jpg,s,scale,"{colours.percent(at(scale, to), shape)}",,,{size}']
    rows += [
        f'a.jpg,{kind},{kind},"{colours.percent(at(mm, to), shape)}",1,the {kind},'
        for kind, mm in wanted.items()
    ]
    return "\n".join(rows) + "\n"


def coloured(camera: str, lamp: str, exposure: float, place: np.ndarray, seed: int) -> tuple[np.ndarray, str]:
    """A public photograph with the target and a patch of a material; the target's corners as written."""
    ground = scenes.covering(scenes.photograph("coffee"), (1500, 1100)).copy()
    patches = colours.srgb(colours.seen(colours.spectra("ISO 17321-1"), camera, lamp, exposure))
    corners = np.array([[180, 120], [900, 160], [870, 640], [150, 600]])
    picture, block = colours.laid_into(ground, colours.chart(patches), corners)
    picture[750:950, 300:600] = colours.srgb(colours.seen(place, camera, lamp, exposure))
    return colours.grained(picture, seed), colours.percent(block, picture.shape)


def marks_of(file: str, corners: str, made: str = "before November 2014") -> str:
    return (
        f'{file},t,target,"{corners}",,,{made}\n'
        f'{file},1,colour,"{colours.percent(np.array([[320, 770], [580, 930]]), (1100, 1500))}",1,Thread,\n'
    )
