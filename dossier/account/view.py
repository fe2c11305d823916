"""A job seen from where questions about it are asked: pictures by part and side, work by part, the stage.

Not here: answers. Invariant: reads the job once, changes nothing.
"""

from __future__ import annotations

from collections import defaultdict
from functools import cached_property

from dossier.account.history import Story
from dossier.account.register import APART, Register, pieces_of
from dossier.account.stage import FINISHED, stage_of
from dossier.model.covering import shows_work
from dossier.model.finding import At
from dossier.model.job import Job, PhotoFacts
from dossier.model.rows import Part, PhotoRow, Work
from dossier.model.words import Side


class View:
    """`story`: the job with its earlier records, by which `came_as` is what the account counts; `typed` keeps
    the register as it was typed. `today`: ISO 8601, "" where no date is to be held against it.
    """

    def __init__(self, job: Job, story: Story | None = None, today: str = "") -> None:
        self.typed = {p.number: p for p in job.parts}
        self.story = story or Story(job)
        self.today = today
        self.job = job = self.story.job
        self.stage = stage_of(job)
        self.finished = self.stage in FINISHED
        self.register = Register(job.parts, job.work)
        self.workers = {p.mark: p for p in job.workshop.people}
        self.firms = {f.mark: f for f in job.workshop.firms}
        self.names = {mark: who.name for mark, who in (self.firms | self.workers).items() if who.name}
        self.work = {str(row.number): row for row in job.work}
        self.agreements = {a.number: a for a in job.agreements}

    def at(self, key: str) -> At:
        """Where `key` is typed: its own place, or that of what it belongs to, or the job's own file."""
        while key not in self.job.where:
            head = max(key.rfind("."), key.rfind("/"))
            if head < 0:
                own = self.job.where.get("job/number", At())
                return At(file=own.file, sheet=own.sheet)
            key = key[:head]
        return self.job.where[key]

    def part(self, number: str) -> Part | None:
        return self.register.parts.get(number)

    def rows(self, part: Part) -> list[Work]:
        """Work on the part itself or on a heading above it, in order."""
        found = list(self.register.rows.get(part.number, ()))
        for container in self.register.containers(part):
            if container.number not in self.register.headings:
                break
            found += self.register.rows.get(container.number, ())
        return sorted(found, key=lambda row: self.register.place[row.number])

    def may_have_met(self, part: Part) -> list[Work]:
        """The rows that may be work on the part: of a heading none on what was missing and is, nor on what
        was left as it was, or not examined, all of it.
        """
        rows, n = self.rows(part), pieces_of(part)
        own = [row for row in rows if part.number in row.parts]
        said = (
            row.pieces or n for row in own if row.done in APART and not (row.pieces and len(row.parts) > 1)
        )
        return own if sum(said) >= n or self.register.is_away(part) else rows

    @cached_property
    def facts(self) -> dict[str, PhotoFacts]:
        return {f.file: f for f in self.job.photo_facts}

    @cached_property
    def _pictures(self) -> dict[str, list[PhotoRow]]:
        found: dict[str, list[PhotoRow]] = defaultdict(list)
        for row in self.job.photo_rows:
            places = self.job.photo_places.get(row.file, ())
            for number in dict.fromkeys((*row.parts, *(p.part for p in places if p.part))):
                found[number].append(row)
        return found

    def pictures(self, part: Part) -> list[PhotoRow]:
        """Photographs that name the part, or a heading it belongs to."""
        above = [heading.number for heading in self.register.headings_over(part)]
        return [row for number in (part.number, *above) for row in self._pictures.get(number, ())]

    def pictured(self, part: Part, side: Side) -> bool:
        return any(row.side == side for row in self.pictures(part))

    def pictured_covered(self, part: Part, row: Work) -> bool:
        """Whether a photograph shows the part as the row of work left it, before it was covered."""
        return any(shows_work(row, shot.stage, self._taken(shot)) for shot in self.pictures(part))

    def _taken(self, shot: PhotoRow) -> str:
        return self.facts[shot.file].taken if shot.file in self.facts else ""

    @cached_property
    def pairs(self) -> dict[str, list[PhotoRow]]:
        found: dict[str, list[PhotoRow]] = defaultdict(list)
        for row in self.job.photo_rows:
            if row.pair:
                found[row.pair].append(row)
        return found
