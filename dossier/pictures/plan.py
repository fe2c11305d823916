"""How large each photograph is shown: a plan for the whole job that keeps the dossier small enough to e-mail.

A plan is one rung of a ladder. The first is chosen by what such pictures usually take (`step`); what some of
the job's own pictures took, or all of them, then says which rung really fits (`fitting`). Not done here:
pixels, page layout. Pure. Invariants: no picture is made larger than its original; the more a picture has to
show, the larger it is; a job with more photographs than fit is stepped down openly (`said`), never by leaving
one out.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Literal, get_args

import msgspec

from dossier.model.job import Job, PhotoFacts
from dossier.words import Catalogue

BUDGET = 12_000_000  # bytes of all derived pictures together; the dossier stays under 15 MB
SAMPLES = 6  # photographs of each use
LIKELY = 0.5  # of the estimate, which is cautious: what pictures will usually turn out to take, and some room
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


# 300 dpi is the ceiling. Printed at most: a cover or a map 170 mm (2,008 px; up to 2,000 px half the width of
# a usual photograph is enough to start from); one of a pair or a feature 100 mm (1,181 px); any other, in a
# grid, 60 mm (709 px).
STEPS = (
    Step(Size(2000, 88), Size(1180, 88), Size(700, 86)),
    Step(Size(1800, 84), Size(1180, 84), Size(700, 82)),
    Step(Size(1600, 82), Size(1180, 80), Size(640, 80)),
    Step(Size(1600, 78), Size(1000, 78), Size(560, 76)),
    Step(Size(1400, 76), Size(900, 76), Size(500, 74)),
    Step(Size(1200, 74), Size(800, 74), Size(440, 72)),
    Step(Size(1000, 72), Size(680, 72), Size(380, 70)),
    Step(Size(860, 70), Size(600, 70), Size(340, 68)),
)
OPENLY_SMALLER = 4  # from this step on the reader is told

# Bytes for a pixel of a derived picture, by quality. Of nine photographs from cameras and phones at these
# sizes seven took 0.2 to 0.8 of it, two that are all texture up to 1.2.
_BYTES_PER_PIXEL = {
    88: 0.37,
    86: 0.33,
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


def plan(job: Job, at: int | None = None) -> dict[str, Size]:
    """The size of each photograph of `job` by its file name, on the rung `at` (default: `step`)."""
    chosen = _ladder()[step(job) if at is None else at]
    return {file: _size(chosen, use) for file, use in _uses(job).items()}


def laid_over(job: Job) -> dict[str, str]:
    """Each photograph from after the work with the first one of its pair from before it: file -> file."""
    first: dict[str, str] = {}
    found: dict[str, str] = {}
    for side in ("before", "after"):
        for row in job.photo_rows:
            if row.pair and row.side == side:
                if side == "before":
                    first.setdefault(row.pair, row.file)
                elif row.pair in first:
                    found[row.file] = first[row.pair]
    return found


def step(job: Job) -> int:
    """Which rung the job is shown at, from 0: the first whose estimated total fits, else the last."""
    return fitting(job, {})


def likely(job: Job) -> int:
    """The rung on which most jobs like it end up: where some are tried, they are then most often ready."""
    return fitting(job, dict.fromkeys(get_args(Use), LIKELY))


def fitting(job: Job, share: Mapping[Use, float], above: int = -1) -> int:
    """The first rung after `above` that fits, else the last; pictures take `share` of their estimate."""
    last = len(_ladder()) - 1
    totals = ((at, estimated(job, at, share)) for at in range(min(above + 1, last), last))
    return next((at for at, total in totals if total <= BUDGET), last)


def is_last(at: int) -> bool:
    """Whether no rung is smaller."""
    return at >= len(_ladder()) - 1


def estimated(job: Job, at: int, share: Mapping[Use, float]) -> float:
    """Bytes of all pictures of a job on one rung. A photograph laid over another is shown twice."""
    uses, facts, rung = _uses(job), _facts(job), _ladder()[at]
    files = [*uses, *laid_over(job).values()]
    return sum(
        share.get(uses[file], 1.0) * _estimate(facts.get(file), _size(rung, uses[file])) for file in files
    )


def samples(job: Job) -> list[str]:
    """A few photographs of each use, spread over the job."""
    uses = _uses(job)
    by_use = ([file for file, use in uses.items() if use == wanted] for wanted in get_args(Use))
    return [file for files in by_use for file in files[:: max(1, -(-len(files) // SAMPLES))]]


def shares(job: Job, at: int, made: Iterable[tuple[str, int]]) -> dict[Use, float]:
    """By use, how much of their estimate pictures made on the rung `at` took: (file, bytes) of some.

    A use of which none was made has the share of all.
    """
    uses, facts, rung = _uses(job), _facts(job), _ladder()[at]
    took: dict[Use, int] = {}
    owed: dict[Use, int] = {}
    for file, size in made:
        use = uses[file]
        took[use] = took.get(use, 0) + size
        owed[use] = owed.get(use, 0) + _estimate(facts.get(file), _size(rung, use))
    if not took:
        return {}
    of_all = sum(took.values()) / sum(owed.values())
    return {use: took[use] / owed[use] if use in took else of_all for use in get_args(Use)}


def said(at: int, count: int, words: Catalogue) -> str:
    """The sentence that says the `count` pictures are smaller than usual; "" where they are not."""
    return words.say("pictures.plan.stepped_down", n=count) if at >= OPENLY_SMALLER else ""


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
    if cover := _cover(job):
        uses[cover] = "page"
    return uses


def _cover(job: Job) -> str:
    """Which will have to serve as the cover where none is chosen, as the pages take it; "" where one is.

    Private ones come last in the record.
    """
    rows = sorted(job.photo_rows, key=lambda row: row.private)
    if any(row.cover for row in rows):
        return ""
    finished = (row.file for row in rows if row.side == "after")
    plain = (file for file in finished if not job.photo_places.get(file))
    return next(plain, rows[0].file if rows else "")


def _size(rung: Step, use: Use) -> Size:
    return {"page": rung.page, "half": rung.half, "other": rung.other}[use]


def _estimate(facts: PhotoFacts | None, size: Size) -> int:
    """Bytes the derived picture is likely to have; a photograph of unknown shape counts as 4:3."""
    width, height = (facts.width, facts.height) if facts and facts.width and facts.height else (4000, 3000)
    scale = min(1.0, size.long_side / max(width, height))
    return _OVERHEAD + round(width * height * scale * scale * _BYTES_PER_PIXEL[size.quality])
