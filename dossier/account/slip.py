"""The text in the code of a job slip, written and read (schemas/FORMAT.md, section 15). Pure.

Not here: drawing the slip, finding the code in a photograph.
Invariant: one slip has one text; `slip_of(slip_text(job, stage)) == (job, stage)`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

from dossier.errors import JobError
from dossier.model.words import STAGES, Stage
from dossier.words import Catalogue

MOST = 200  # letters of a job number as it is written in the code
# RFC 3986 section 2.3.
_UNRESERVED = frozenset(b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-._~")
_WORDS: dict[str, Stage] = {stage.replace(" ", "-"): stage for stage in STAGES}
_TEXT = re.compile(rf"slip:1;job:([A-Za-z0-9._~%-]{{1,{MOST}}});stage:([a-z-]{{1,12}})", re.ASCII)
_BYTE = re.compile(rb"%([0-9A-F]{2})")


class Slip(NamedTuple):
    """Which job, and the stage it had come to."""

    job: str
    stage: Stage


def slip_text(job: str, stage: Stage, words: Catalogue | None = None) -> str:
    """What the code of a slip says. Raises JobError for a job number that a slip cannot hold."""
    written = "".join(chr(b) if b in _UNRESERVED else f"%{b:02X}" for b in job.encode("utf-8", "replace"))
    if not 1 <= len(written) <= MOST:
        words = words or Catalogue()
        raise JobError(words.say("papers.slip.number", most=MOST), hint=words.say("papers.slip.number_hint"))
    return f"slip:1;job:{written};stage:{stage.replace(' ', '-')}"


def slip_of(text: str) -> Slip | None:
    """Job and stage of a slip's code; None for any other text."""
    found = _TEXT.fullmatch(text)
    if found is None or found[2] not in _WORDS:
        return None
    try:
        job = _BYTE.sub(lambda one: bytes([int(one[1], 16)]), found[1].encode("ascii")).decode("utf-8")
    except UnicodeDecodeError:
        return None
    slip = Slip(job, _WORDS[found[2]])
    return slip if slip_text(*slip) == text else None


class Sorted(NamedTuple):
    """`stages`: of each photograph taken after a slip of this job, and of the slips' own. `others`: those
    taken after the slip of another job, with its number.
    """

    stages: dict[str, Stage]
    others: dict[str, str]


def sort_by_slips(taken: Iterable[tuple[str, Slip | None]], job: str) -> Sorted:
    """`taken`: photographs in the order they were taken, with the slip that is on them. Each is of the
    sitting that the last slip before it began; what comes before the first slip is not sorted.
    """
    last: Slip | None = None
    found = Sorted({}, {})
    for file, slip in taken:
        last = slip or last
        if last is None:
            continue
        if last.job == job:
            found.stages[file] = last.stage
        else:
            found.others[file] = last.job
    return found
