"""The text in the code of a job slip, written and read (schemas/FORMAT.md, section 15). Pure.

Not here: drawing the slip, finding the code in a photograph.
Invariant: one slip has one text; `slip_of(slip_text(job, stage)) == (job, stage)`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from dossier.errors import JobError
from dossier.model.words import SIDE_OF_STAGE, STAGES, Stage
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


class Taken(NamedTuple):
    """A photograph: the day it was taken (ISO 8601), and the different slips that are on it."""

    file: str
    day: str
    slips: tuple[Slip, ...]


class Sorted(NamedTuple):
    """`stages`: of each photograph taken after a slip of this job, and of the slips' own. `others`: those
    taken after the slip of another job, with its number. `over`: those that a slip speaks for no longer, with
    its stage, and the stage that the job had come to by then and the day.
    """

    stages: dict[str, Stage]
    others: dict[str, str]
    over: dict[str, tuple[Stage, Stage, str]]


def sort_by_slips(taken: Iterable[Taken], job: str, begun: Sequence[tuple[Stage, str]] = ()) -> Sorted:
    """`taken`: photographs in the order they were taken. Each is of the sitting that the last slip before it
    began; what comes before the first slip, or after two that differ in one picture, is not sorted.

    `begun`: the days on which stages of the job began: where one on another side of the work came after the
    slip, the slip of the next sitting was forgotten.
    """
    last, since = None, ""
    found = Sorted({}, {}, {})
    for file, day, slips in taken:
        if slips:
            last, since = slips[0] if len(slips) == 1 else None, day
        if last is None:
            continue
        if last.job != job:
            found.others[file] = last.job
        elif come := _come_since(last.stage, since, day, begun):
            found.over[file] = (last.stage, *come)
        else:
            found.stages[file] = last.stage
    return found


def _come_since(
    stage: Stage, since: str, day: str, begun: Sequence[tuple[Stage, str]]
) -> tuple[Stage, str] | None:
    """The last stage on another side of the work than `stage` that began after the day `since`."""
    sides = SIDE_OF_STAGE
    come = [one for one in begun if since < one[1] <= day and sides[one[0]] != sides[stage]]
    return come[-1] if come else None
