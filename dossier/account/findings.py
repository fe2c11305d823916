"""Everything a look at a job finds: contradictions (error), what is left unsaid (gap), private words where no
copy can leave them out (private). Codes and levels stand in `codes`, words in words/<language>/findings.toml.

Not here: what to do at this stage (`to_record`), how the files were read. Pure.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from dossier.account import (
    found,
    look_gold_words,
    look_history,
    look_object,
    look_parts,
    look_people,
    look_photographs,
    look_private,
    look_species,
    look_treatment,
    look_work,
)
from dossier.account.found import Found
from dossier.account.history import Story, with_history
from dossier.account.view import View
from dossier.model.earlier import EarlierOpened
from dossier.model.finding import Finding
from dossier.model.job import Job
from dossier.model.record import Gap
from dossier.words import Catalogue

_LOOKS = (
    look_object,
    look_parts,
    look_people,
    look_history,
    look_work,
    look_treatment,
    look_gold_words,
    look_species,
    look_photographs,
    look_private,
)


def assess(
    job: Job, words: Catalogue | None = None, earlier: Sequence[EarlierOpened] = (), *, today: str = ""
) -> list[Finding]:
    """Findings of the levels error, gap, private and note, located, in the order of `codes.CODES`.

    `today` (ISO 8601): what is past its date is found only where it is given.
    """
    view = View(job, with_history(job, earlier), today)
    return found.findings(_look(view), view, words or Catalogue(job.language))


def gaps_of(job: Job, words: Catalogue, story: Story | None = None, *, today: str = "") -> tuple[Gap, ...]:
    """What the record says openly that it does not say: one `Gap` for each code found."""
    view = View(job, story, today)
    return found.gaps(_look(view), view, words)


def _look(view: View) -> Iterator[Found]:
    for room in _LOOKS:
        yield from room.look(view)
