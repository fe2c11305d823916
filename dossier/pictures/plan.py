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
from dossier.model.words import SIDE_OF_STAGE
from dossier.words import Catalogue

BUDGET = 12_000_000  # bytes of all derived pictures together; the dossier stays under 15 MB
SMALLEST = 160  # pixels; no step goes below this long side

Use = Literal["page", "half", "other"]


class Size(msgspec.Struct, frozen=True):
    """Long side of the derived picture in pixels (an upper bound) and its JPEG quality."""

    long_side: int
    quality: int


class Step(msgspec.Struct, frozen=True):
    """One rung: a size for each use."""

    page: Size
    half: Size
    other: Size


# 300 dpi is the ceiling. Printed at most: a cover or a map 170 mm (2,008 px); one of a pair or a feature
# 100 mm (1,181 px); any other, in a grid, 60 mm (709 px).
STEPS = (
    Step(Size(1800, 84), Size(1180, 84), Size(700, 82)),
    Step(Size(1600, 82), Size(1180, 80), Size(640, 80)),
    Step(Size(1600, 78), Size(1000, 78), Size(560, 76)),
    Step(Size(1400, 76), Size(900, 76), Size(500, 74)),
    Step(Size(1200, 74), Size(800, 74), Size(440, 72)),
    Step(Size(1000, 72), Size(680, 72), Size(380, 70)),
    Step(Size(860, 70), Size(600, 70), Size(340, 68)),
)
OPENLY_SMALLER = 3  # from this step on the reader is told

# Bytes for a pixel of a derived picture, by quality. Of nine photographs from cameras and phones at these
# sizes seven took 0.2 to 0.8 of it, two that are all texture up to 1.2.
_BYTES_PER_PIXEL = {
    84: 0.30,
    82: 0.28,
    80: 0.26,
    78: 0.25,
    76: 0.23,
    74: 0.22,
    72: 0.205,
    70: 0.195,
    68: 0.19,
}
_OVERHEAD = 700  # bytes of tables in a small JPEG


def plan(job: Job) -> dict[str, Size]:
    """The size of each photograph of `job` by its file name."""
    chosen = _ladder()[step(job)]
    return {file: _size(chosen, use) for file, use in _uses(job).items()}


def laid_over(job: Job) -> dict[str, str]:
    """Each photograph from after the work with the first one of its pair from before it: file -> file."""
    first: dict[str, str] = {}
    found: dict[str, str] = {}
    for side in ("before", "after"):
        for row in job.photo_rows:
            if row.pair and row.stage and SIDE_OF_STAGE[row.stage] == side:
                if side == "before":
                    first.setdefault(row.pair, row.file)
                elif row.pair in first:
                    found[row.file] = first[row.pair]
    return found


def step(job: Job) -> int:
    """Which step the job is shown at, from 0: the first whose estimated total fits, else the last."""
    uses, facts, ladder = _uses(job), _facts(job), _ladder()
    fitting = (n for n, rung in enumerate(ladder) if _total(uses, facts, rung, laid_over(job)) <= BUDGET)
    return next(fitting, len(ladder) - 1)


def said(job: Job, words: Catalogue) -> str:
    """The sentence that says the pictures are smaller than usual; "" where they are not."""
    return (
        words.say("pictures.plan.stepped_down", n=len(job.photo_rows)) if step(job) >= OPENLY_SMALLER else ""
    )


@cache
def _ladder() -> tuple[Step, ...]:
    """STEPS, then the last one smaller and smaller down to SMALLEST."""
    last, further = STEPS[-1], []
    while max(last.page.long_side, last.half.long_side, last.other.long_side) > SMALLEST:
        last = Step(_smaller(last.page), _smaller(last.half), _smaller(last.other))
        further.append(last)
    return (*STEPS, *further)


def _smaller(size: Size) -> Size:
    return Size(max(SMALLEST, size.long_side * 9 // 10), size.quality)


def _facts(job: Job) -> dict[str, PhotoFacts]:
    return {facts.file: facts for facts in job.photo_facts}


def _uses(job: Job) -> dict[str, Use]:
    features = {f.photograph for f in job.know_it_by} | {m.photograph for m in job.marks}
    uses: dict[str, Use] = {}
    for row in job.photo_rows:
        if row.cover or job.photo_places.get(row.file):
            uses[row.file] = "page"
        else:
            uses[row.file] = "half" if row.pair or row.file in features else "other"
    return _with_cover(uses)


def _with_cover(uses: dict[str, Use]) -> dict[str, Use]:
    """Where no photograph is large yet, the first one is: it may have to serve as the cover."""
    if uses and "page" not in uses.values():
        uses[next(iter(uses))] = "page"
    return uses


def _size(rung: Step, use: Use) -> Size:
    return {"page": rung.page, "half": rung.half, "other": rung.other}[use]


def _total(uses: dict[str, Use], facts: dict[str, PhotoFacts], rung: Step, laid: dict[str, str]) -> int:
    """A photograph that is laid over another is shown a second time, in the other's frame."""
    files = [*uses, *laid.values()]
    return sum(_estimate(facts.get(file), _size(rung, uses[file])) for file in files)


def _estimate(facts: PhotoFacts | None, size: Size) -> int:
    """Bytes the derived picture is likely to have; a photograph of unknown shape counts as 4:3."""
    width, height = (facts.width, facts.height) if facts and facts.width and facts.height else (4000, 3000)
    scale = min(1.0, size.long_side / max(width, height))
    return _OVERHEAD + round(width * height * scale * scale * _BYTES_PER_PIXEL[size.quality])
