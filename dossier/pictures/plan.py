"""How large each photograph is shown: a plan for the whole job that keeps the dossier small enough to e-mail.

Not done here: pixels, page layout. Pure. Invariants: the same job gives the same plan; no picture is made
larger than its original; the more a picture has to show, the larger it is; a job with more photographs than
fit is stepped down openly (`step` says how far), never by leaving one out.
"""

from __future__ import annotations

from functools import cache
from typing import Literal

import msgspec

from dossier.model.job import Job, PhotoFacts

BUDGET = 12_000_000  # bytes of all derived pictures together; the dossier stays under 15 MB
SMALLEST = 160  # pixels; no step goes below this long side

Use = Literal["page", "pair", "other"]


class Size(msgspec.Struct, frozen=True):
    """Long side of the derived picture in pixels (an upper bound) and its JPEG quality."""

    long_side: int
    quality: int


class Step(msgspec.Struct, frozen=True):
    """One rung: a size for each use."""

    page: Size
    pair: Size
    other: Size


# 300 dpi is the ceiling: a page picture is printed up to 170 mm (2,008 px), one of a pair up to 112 mm
# (1,323 px), any other up to 84 mm (992 px).
STEPS = (
    Step(Size(1800, 84), Size(1300, 84), Size(990, 82)),
    Step(Size(1600, 82), Size(1300, 80), Size(800, 78)),
    Step(Size(1600, 78), Size(1120, 78), Size(640, 76)),
    Step(Size(1400, 76), Size(960, 76), Size(560, 74)),
    Step(Size(1200, 74), Size(860, 74), Size(480, 72)),
    Step(Size(1000, 72), Size(720, 72), Size(400, 70)),
    Step(Size(860, 70), Size(600, 70), Size(340, 68)),
)
OPENLY_SMALLER = 3  # from this step on the reader is told

# Bytes for a pixel of a derived picture, by quality: the upper quartile of camera photographs.
_BYTES_PER_PIXEL = {84: 0.40, 82: 0.37, 80: 0.35, 78: 0.33, 76: 0.31, 74: 0.29, 72: 0.275, 70: 0.26, 68: 0.25}
_OVERHEAD = 700  # bytes of tables in a small JPEG


def plan(job: Job) -> dict[str, Size]:
    """The size of each photograph of `job` by its file name."""
    chosen = _ladder()[step(job)]
    return {file: _size(chosen, use) for file, use in _uses(job).items()}


def step(job: Job) -> int:
    """Which step the job is shown at, from 0: the first whose estimated total fits, else the last there is."""
    uses, facts, ladder = _uses(job), _facts(job), _ladder()
    fitting = (n for n, rung in enumerate(ladder) if _total(uses, facts, rung) <= BUDGET)
    return next(fitting, len(ladder) - 1)


@cache
def _ladder() -> tuple[Step, ...]:
    """STEPS, then the last one smaller and smaller down to SMALLEST."""
    last, further = STEPS[-1], []
    while max(last.page.long_side, last.pair.long_side, last.other.long_side) > SMALLEST:
        last = Step(_smaller(last.page), _smaller(last.pair), _smaller(last.other))
        further.append(last)
    return (*STEPS, *further)


def _smaller(size: Size) -> Size:
    return Size(max(SMALLEST, size.long_side * 9 // 10), size.quality)


def _facts(job: Job) -> dict[str, PhotoFacts]:
    return {facts.file: facts for facts in job.photo_facts}


def _uses(job: Job) -> dict[str, Use]:
    known = {f.photograph for f in job.know_it_by} | {m.photograph for m in job.marks}
    sides = _paired(job)
    uses: dict[str, Use] = {}
    for row in job.photo_rows:
        if row.cover or row.file in known or job.photo_places.get(row.file):
            uses[row.file] = "page"
        else:
            uses[row.file] = "pair" if row.file in sides else "other"
    return _with_cover(uses)


def _with_cover(uses: dict[str, Use]) -> dict[str, Use]:
    """Where no photograph is large yet, the first one is: it may have to serve as the cover."""
    if uses and "page" not in uses.values():
        uses[next(iter(uses))] = "page"
    return uses


def _paired(job: Job) -> set[str]:
    return {row.file for row in job.photo_rows if row.pair}


def _size(rung: Step, use: Use) -> Size:
    return {"page": rung.page, "pair": rung.pair, "other": rung.other}[use]


def _total(uses: dict[str, Use], facts: dict[str, PhotoFacts], rung: Step) -> int:
    return sum(_estimate(facts.get(file), _size(rung, use)) for file, use in uses.items())


def _estimate(facts: PhotoFacts | None, size: Size) -> int:
    """Bytes the derived picture is likely to have; a photograph of unknown shape counts as 4:3."""
    width, height = (facts.width, facts.height) if facts and facts.width and facts.height else (4000, 3000)
    scale = min(1.0, size.long_side / max(width, height))
    return _OVERHEAD + round(width * height * scale * scale * _BYTES_PER_PIXEL[size.quality])
