"""Measures pairing: `python tests/bench/pairing.py [photographs ...]`. Prints, never asserts.

With `--known FOLDER FOLDER`: photographs of one name in both folders are the pairs, the others have none.

Scenes are public photographs and pieces of one wall of stones.
Each is seen before and after from other places, in other light, with 30 % of its area changed; as many
single ones without a partner are among them, and the order is shuffled. With pictures given the scenes are
those alone: the method was chosen on the others.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

import cv2

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import picture_scenes as scenes

from dossier.pictures import pairing
from dossier.pictures.align import working


def main(extra: list[str]) -> None:
    cv2.setNumThreads(1)
    chosen_on = scenes.pieces(["rockery"], 6) + scenes.pieces([*scenes.WHOLE], 1, side=100_000)
    pieces = scenes.pieces(extra, 6, side=900) if extra else chosen_on
    print(f"{len(pieces)} scenes")
    for strength in (scenes.USUAL, scenes.ELSEWHERE, scenes.STRONG, scenes.REWORKED):
        album = scenes.album(pieces, strength, seed=1)
        start = time.process_time()
        before = [pairing.view(working(p)) for p in album.before]
        after = [pairing.view(working(p)) for p in album.after]
        found_in = time.process_time() - start
        start = time.process_time()
        candidates = pairing.candidates([v.marks for v in before], [v.marks for v in after])
        chosen_in = time.process_time() - start
        start = time.process_time()
        proposals = pairing.propose(before, after)
        spent = time.process_time() - start
        report(album, proposals, candidates)
        print(f"  CPU: landmarks {found_in:.1f} s, candidates {chosen_in:.1f} s, all pairing {spent:.1f} s")


def known(before: Path, after: Path) -> None:
    """What is proposed between two folders of photographs, by name."""
    folders = [{path.stem: str(path) for path in sorted(folder.iterdir())} for folder in (before, after)]
    one, other = ([scenes.photograph(path) for path in files.values()] for files in folders)
    names = [list(files) for files in folders]
    pairs = [(names[0].index(name), names[1].index(name)) for name in names[0] if name in names[1]]
    views = [[pairing.view(working(pixels)) for pixels in group] for group in (one, other)]
    proposals = pairing.propose(*views)
    report(
        scenes.Album(one, other, pairs), proposals, pairing.candidates(*([v.marks for v in g] for g in views))
    )
    for found in proposals:
        print(f"  {names[0][found.before]} - {names[1][found.after]}: {found.matches}, {found.confidence}")


def report(album: scenes.Album, proposals: list[pairing.Proposal], candidates: set[tuple[int, int]]) -> None:
    truth = set(album.pairs)
    right = [p for p in proposals if (p.before, p.after) in truth]
    print(f"{len(album.before)} before, {len(album.after)} after, {len(truth)} pairs")
    print(f"  candidates hold {len(truth & candidates)} of {len(truth)}, {len(candidates)} looked at")
    print(f"  proposed {len(proposals)}, right {len(right)}; recall {len(right) / len(truth):.1%}")
    sure = [p for p in proposals if p.confidence == "sure"]
    print(f"  sure {len(sure)}, right {sum((p.before, p.after) in truth for p in sure)}")
    wrong = sorted((p.matches for p in proposals if (p.before, p.after) not in truth), reverse=True)
    print(
        "  matches of wrong ones:",
        wrong[:10],
        "of the weakest right ones:",
        sorted(p.matches for p in right)[:8],
    )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("photographs", nargs="*", help="files, or names of photographs of scikit-image")
    parser.add_argument(
        "--known", nargs=2, type=Path, metavar="FOLDER", help="before and after; pairs have one name"
    )
    asked = parser.parse_args()
    if asked.known:
        known(*asked.known)
    else:
        main(asked.photographs)
