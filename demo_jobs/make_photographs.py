"""Makes the photographs of both demo jobs: python demo_jobs/make_photographs.py [--only NAME] [--width N]

Everything is drawn from seeds by demo_jobs/studio, so the same libraries make the same files. All pictures at
full size take a while (some ten minutes on two cores); they stand ready in demo_jobs/*/photos.
"""

from __future__ import annotations

import argparse
import time
from multiprocessing import Pool
from pathlib import Path

import cv2
from studio import bag_shots, clock_shots
from studio.files import save
from studio.shots import LONG, Shot, take

HERE = Path(__file__).resolve().parent
JOBS: dict[str, tuple[list[Shot], tuple[str, str]]] = {
    "doctors_bag": (bag_shots.SHOTS, ("Example", "Phone 5")),
    "mantel_clock": (clock_shots.SHOTS, ("Example", "Camera 20")),
}


def make(job: str, file: str, width: int, to: Path) -> str:
    """Takes one photograph and writes it to `to`/job/photos; gives a line to print."""
    cv2.setNumThreads(1)  # the workers share the cores
    shots, camera = JOBS[job]
    shot = next(s for s in shots if s.file == file)
    folder = to / job / "photos"
    folder.mkdir(parents=True, exist_ok=True)
    start = time.perf_counter()
    target = save(take(shot, width), shot, camera, folder)
    return f"{job}/{file}: {target.stat().st_size // 1000} kB, {time.perf_counter() - start:.0f} s"


def main() -> None:
    parser = argparse.ArgumentParser(description="Make the photographs of the demo jobs.")
    parser.add_argument("--only", default="", help="only files whose job and name contain this")
    parser.add_argument("--width", type=int, default=LONG, help="long side in pixels")
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--to", type=Path, default=HERE, help="folder that holds the jobs")
    wanted = parser.parse_args()
    todo = [
        (job, shot.file, wanted.width, wanted.to)
        for job, (shots, _) in JOBS.items()
        for shot in shots
        if wanted.only in f"{job}/{shot.file}"
    ]
    with Pool(max(1, wanted.workers)) as pool:
        for done in pool.imap(_make, todo):
            print(done, flush=True)


def _make(wanted: tuple[str, str, int, Path]) -> str:
    return make(*wanted)


if __name__ == "__main__":
    main()
