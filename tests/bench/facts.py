"""Reading the facts of 400 photographs (no pixels): CPU as a ratio to opening and reading their heads.

    python tests/bench/facts.py

Prints, never asserts. The photograph is a phone's (tests/data/photographs/README.md).
"""

from __future__ import annotations

import argparse
import resource
import tempfile
import time
from pathlib import Path

from dossier.intake.photographs import read_facts

PHOTO = Path(__file__).resolve().parents[1] / "data" / "photographs" / "phone-p3.mpo"
COUNT = 400
HEAD = 1 << 16  # bytes; where the tags stand


def main() -> None:
    content = PHOTO.read_bytes()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for n in range(COUNT):
            (folder / f"{n:03}.jpg").write_bytes(content + bytes([n % 256]) * 2000)
        floor = _cpu(lambda: [_head(path) for path in sorted(folder.iterdir())])
        facts = _cpu(lambda: read_facts(folder, "UTC"))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"{COUNT} photographs: heads read {floor:.3f} s CPU, facts {facts:.3f} s CPU ({facts / floor:.1f} x)"
    )
    print(f"peak {peak:.0f} MiB")


def _head(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(HEAD)


def _cpu(work: object) -> float:
    start = time.process_time()
    work()  # type: ignore[operator]
    return time.process_time() - start


if __name__ == "__main__":
    argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None).parse_args()
    main()
