"""Measures registration: `python tests/bench/align.py [pictures ...]`. Prints, never asserts.

Corner errors in pixels at 1,000 px: the median over pairs of the mean of the four corners (DeTone et al.
2016), the worst corner of any accepted pair; CPU by `time.process_time`, one thread, without decoding.
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from pathlib import Path

import cv2
import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import picture_scenes as scenes

from dossier.pictures.align import Alignment, NotAligned, align

SEEDS = 6


def main(extra: list[str]) -> None:
    cv2.setNumThreads(1)
    names = [*scenes.TEXTURED, *scenes.LARGE, "rockery", *extra]
    everything: list[tuple[float, float, float]] = []
    for number, name in enumerate(names):
        other = names[(number + 1) % len(names)]
        pairs = [scenes.pair(name, other, seed) for seed in range(SEEDS)]
        everything += report(name, pairs)
    mean, worst, spent = np.array(everything).T
    print(f"\nall accepted: {len(mean)} of {len(names) * SEEDS}; CPU {1e3 * np.median(spent):.0f} ms")
    print(
        f"median {np.median(mean):.3f} px, 90 % {np.percentile(mean, 90):.3f}, worst corner {worst.max():.2f}"
    )


def report(name: str, pairs: list[scenes.Pair]) -> list[tuple[float, float, float]]:
    found, refused = [], Counter[str]()
    for pair in pairs:
        start = time.process_time()
        answer = align(pair.before, pair.after)
        spent = time.process_time() - start
        if isinstance(answer, NotAligned):
            refused[f"{answer.reason} {answer.figures}"] += 1
            continue
        errors = corner_errors(pair, answer)
        found.append((errors.mean(), errors.max(), spent))
    shown = f"{np.median([f[0] for f in found]):.3f} {max(f[1] for f in found):.2f}" if found else "-"
    print(f"{Path(name).name[:24]:24} {len(found)}/{len(pairs)} {shown} {dict(refused) or ''}")
    return found


def corner_errors(pair: scenes.Pair, answer: Alignment) -> np.ndarray:
    return scenes.corner_errors(pair.truth, scenes.in_pixels(answer.matrix()))


if __name__ == "__main__":
    main(sys.argv[1:])
