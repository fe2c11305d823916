"""Measures registration: `python tests/bench/align.py [pictures ...]`. Prints, never asserts.

Corner errors in pixels at 1,000 px: the median over pairs of the mean of the four corners (DeTone et al.
2016), the worst corner of any accepted pair; CPU by `time.process_time`, one thread, without decoding, beside
the floor of the same run: the plain recipe (ORB, MAGSAC, Lucas-Kanade at 800 places), with its own error.
"""

from __future__ import annotations

import argparse
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
    plain: list[tuple[float, float]] = []
    for number, name in enumerate(names):
        other = names[(number + 1) % len(names)]
        pairs = [scenes.pair(name, other, seed) for seed in range(SEEDS)]
        everything += report(name, pairs)
        plain += [floor(pair) for pair in pairs]
    mean, worst, spent = np.array(everything).T
    print(f"\nall accepted: {len(mean)} of {len(names) * SEEDS}; CPU {1e3 * np.median(spent):.0f} ms")
    least, apart = np.median(np.array(plain), axis=0)
    print(f"floor: CPU {1e3 * least:.0f} ms, median {apart:.3f} px, every pair counted")
    print(
        f"median {np.median(mean):.3f} px, 90 % {np.percentile(mean, 90):.3f}, worst corner {worst.max():.2f}"
    )


def floor(pair: scenes.Pair) -> tuple[float, float]:
    """CPU in seconds and mean corner error of the plain recipe."""
    start = time.process_time()
    one, other = (cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY) for picture in (pair.before, pair.after))
    orb = cv2.ORB_create(1000)
    (at, signs), (there, others) = orb.detectAndCompute(one, None), orb.detectAndCompute(other, None)
    best = cv2.BFMatcher(cv2.NORM_HAMMING).knnMatch(signs, others, k=2)
    kept = [first for first, second in best if first.distance < 0.8 * second.distance]
    if len(kept) < 8:
        return time.process_time() - start, np.inf
    source = np.array([at[match.queryIdx].pt for match in kept], np.float32)
    target = np.array([there[match.trainIdx].pt for match in kept], np.float32)
    rough, _ = cv2.findHomography(source, target, cv2.USAC_MAGSAC, 3.0, None, 2000, 0.999)
    if rough is None:
        return time.process_time() - start, np.inf
    places = cv2.goodFeaturesToTrack(one, 800, 0.01, 8)
    laid = cv2.warpPerspective(other, rough, one.shape[::-1], flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP)
    moved, held, _ = cv2.calcOpticalFlowPyrLK(one, laid, places, None)
    kept_places = held.ravel() == 1
    there_now = cv2.perspectiveTransform(moved[kept_places], rough)
    fine, _ = cv2.findHomography(places[kept_places], there_now, cv2.USAC_MAGSAC, 1.0, None, 2000, 0.999)
    spent = time.process_time() - start
    return spent, np.inf if fine is None else float(scenes.corner_errors(pair.truth, fine).mean())


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
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("pictures", nargs="*", help="files, or names of photographs of scikit-image")
    main(parser.parse_args().pictures)
