"""The floor under a compile, measured in the same run: the work nobody can leave out.

For each photograph: read it, SHA-256 over every byte, decode at half scale, resize, encode; and one copy of
the output (originals and derived pictures) to a file. Two threads, as the compile has. Also, for comparison,
`read_facts` over the same photographs and this project's `derive_all` at the same sizes.

    python tests/bench/floor.py --photos 40
"""

from __future__ import annotations

import argparse
import hashlib
import json
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict, dataclass
from pathlib import Path

import cv2
import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parent))
from photos import make_photos

LONG_SIDE, QUALITY = 1600, 82


@dataclass(frozen=True)
class Cost:
    """What one step cost: seconds of processor (user and system), seconds of clock, MiB at the peak."""

    cpu: float
    wall: float
    peak: float


def measured(work: Callable[[], object]) -> Cost:
    """The cost of `work` in this process. The peak is the process's own since it began."""
    wall, cpu = time.perf_counter(), time.process_time()
    work()
    cpu, wall = time.process_time() - cpu, time.perf_counter() - wall
    return Cost(cpu, wall, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)


def floor(paths: Sequence[Path], target: Path, sizes: Sequence[tuple[int, int]] | None = None) -> None:
    """The floor's work over `paths`; `sizes` gives (long side, quality) of each picture shown."""
    cv2.setNumThreads(1)
    wanted = sizes or [(LONG_SIDE, QUALITY)] * len(paths)
    with ThreadPoolExecutor(2) as pool, target.open("wb") as out:
        for start in range(0, len(paths), 4):  # four at a time, so that memory stays flat
            batch = zip(paths[start : start + 4], wanted[start : start + 4], strict=True)
            for original, shown in pool.map(lambda task: _one(*task), batch):
                out.write(original)
                out.write(shown)


def _one(path: Path, size: tuple[int, int]) -> tuple[bytes, bytes]:
    data = path.read_bytes()
    hashlib.sha256(data).digest()
    flags = cv2.IMREAD_REDUCED_COLOR_2 | cv2.IMREAD_IGNORE_ORIENTATION
    half = cv2.imdecode(np.frombuffer(data, np.uint8), flags)
    scale = size[0] / max(half.shape)
    small = cv2.resize(half, None, fx=scale, fy=scale, interpolation=cv2.INTER_CUBIC)
    _, jpeg = cv2.imencode(".jpg", small, [cv2.IMWRITE_JPEG_QUALITY, size[1]])
    return data, bytes(jpeg)


def facts(folder: Path) -> None:
    from dossier.intake.photographs import read_facts  # noqa: PLC0415 - the floor is measured without it

    read_facts(folder, "UTC")


def derived(folder: Path) -> None:
    from dossier.intake.photographs import read_facts  # noqa: PLC0415 - the floor is measured without it
    from dossier.pictures.derive import derive_all  # noqa: PLC0415
    from dossier.pictures.plan import Size  # noqa: PLC0415

    size = Size(LONG_SIDE, QUALITY)
    for _ in derive_all([(folder / f.file, f, size) for f in read_facts(folder, "UTC")]):
        pass


def apart(step: str, folder: Path) -> Cost:
    """`step` in a process of its own, so that its peak is its own."""
    command = [sys.executable, __file__, "--step", step, "--folder", str(folder)]
    return Cost(**json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout))


def _step(step: str, folder: Path) -> Cost:
    if step == "facts":
        return measured(lambda: facts(folder))
    if step == "derive_all":
        return measured(lambda: derived(folder))
    with tempfile.NamedTemporaryFile() as out:
        return measured(lambda: floor(sorted(folder.glob("*.jpg")), Path(out.name)))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--photos", type=int, default=40)
    parser.add_argument("--folder", type=Path, help="photographs already made, instead of making them")
    parser.add_argument("--step", choices=("floor", "derive_all", "facts"), help="one step, as JSON")
    arguments = parser.parse_args()
    if arguments.step:
        print(json.dumps(asdict(_step(arguments.step, arguments.folder))))
        return
    with tempfile.TemporaryDirectory() as made:
        folder = arguments.folder or Path(made)
        paths = sorted(folder.glob("*.jpg")) if arguments.folder else make_photos(folder, arguments.photos)
        megabytes = sum(path.stat().st_size for path in paths) / 1e6
        print(f"{len(paths)} photographs, {megabytes:.0f} MB")
        for step in ("floor", "derive_all", "facts"):
            cost = apart(step, folder)
            print(f"{step:11} {cost.cpu:7.2f} s CPU {cost.wall:7.2f} s wall {cost.peak:6.0f} MiB peak")


if __name__ == "__main__":
    main()
