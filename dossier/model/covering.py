"""Which photographs show work that was covered afterwards: one reading for what is asked for, lacking, shown.

Not here: which parts a photograph shows.
"""

from __future__ import annotations

from dossier.model.rows import Work
from dossier.model.words import NO_WORK, Stage


def shows_work(work: Work, stage: Stage | None, taken: str) -> bool:
    """Whether a photograph of the parts was taken while they were open, and not before the work was done.

    Where no day tells (`taken` in ISO 8601, or ""), "opened" is before the work. Of what was left as it was,
    any while it was open.
    """
    if stage not in ("opened", "working"):
        return False
    if work.done in NO_WORK:
        return True
    told = min(len(taken[:10]), len(work.date))
    return taken[:told] >= work.date[:told] if told else stage == "working"
