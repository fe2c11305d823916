"""One small invented job, told in each language, and what the program says of it.

The work is the same in every language; names, materials and how it was done are each language's own.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from dossier.account.cautions import cautions
from dossier.account.parts import parts_now
from dossier.account.sentences import disclosure
from dossier.model.counted import Origin, PartHistory, PartSaid, Pieces
from dossier.model.job import Job, Workshop
from dossier.model.rows import Object, Part, Work
from dossier.trade.rules import in_force, matches
from dossier.trade.units import Quantity
from dossier.trade.written import parse
from dossier.words import Catalogue


def part(number: str, name: str, **members: Any) -> Part:
    return Part(number=number, part=name, **{"came_as": "original", "known_from": "seen", **members})


def work_of(how: Mapping[int, str]) -> tuple[Work, ...]:
    """One line of work of nearly every kind; `how`, by the line's number, in the language of the job."""
    rows: list[dict[str, Any]] = [
        {"parts": ("1",), "done": "left as found"},
        {"parts": ("2", "3"), "done": "cleaned"},
        {"parts": ("4",), "done": "replaced"},
        {"parts": ("5",), "pieces": 9, "done": "replaced"},
        {"parts": ("6",), "done": "added"},
        {"parts": ("8",), "done": "secured"},
        {"parts": ("9",), "done": "not examined"},
        {"parts": ("10",), "done": "repaired", "covered": "yes"},
        {"parts": ("12",), "done": "taken away"},
        {"parts": ("13",), "done": "part renewed"},
        {"parts": ("3",), "done": "altered"},
    ]
    return tuple(Work(number=n, how=how.get(n, ""), **row) for n, row in enumerate(rows, 1))


def job_of(*parts: Part, language: str, work: tuple[Work, ...] = (), **members: Any) -> Job:
    return Job(
        number="1",
        language=language,
        workshop=Workshop(name="w"),
        object=Object(type="-"),
        parts=parts,
        work=work,
        **members,
    )


def said(job: Job) -> dict[str, list[str]]:
    """The sentences of the disclosure, by group, in the job's language."""
    found: dict[str, list[str]] = {}
    for sentence in disclosure(job, parts_now(job.parts, job.work), Catalogue(job.language)):
        found.setdefault(sentence.group, []).append(sentence.text)
    return found


def said_with_history(job: Job, workshop: str) -> list[str]:
    """What is said where an earlier record by `workshop` has part 3 as new, and this job as original."""
    before = PartSaid(
        part="3",
        workshop=workshop,
        date="2020-03-03",
        sha256="a" * 64,
        came_as="original",
        now=(Pieces(now="new, like for like", low=1, high=1),),
        pieces=1,
    )
    history = PartHistory(
        parts=("3",),
        said=(before,),
        counted_as=(Origin(came_as="earlier replacement", low=1, high=1),),
        differs=True,
    )
    words = Catalogue(job.language)
    return [s.text for s in disclosure(job, parts_now(job.parts, job.work), words, (history,))]


def said_within_a_replaced_part(language: str, whole: str, inner: str) -> list[str]:
    """What is said of a part on which nothing was done, within one that was replaced."""
    parts = (part("1", whole), part("2", inner, part_of="1"))
    job = job_of(*parts, language=language, work=(Work(number=1, parts=("1",), done="replaced"),))
    return [text for texts in said(job).values() for text in texts]


def codes(language: str, material: str) -> list[str]:
    """The cautions that a material written so calls for."""
    job = job_of(part("1", "-", material=material), language=language)
    return [caution.code for caution in cautions(job, Catalogue(language))]


def rules(language: str, how: str, material: str) -> list[str]:
    """The rules of what goes with what that cleaning so, on a material written so, meets."""
    work = Work(number=1, parts=("1",), done="cleaned", how=how)
    found = matches([work], {"1": part("1", "-", material=material)}, in_force((), language), language)
    return [match.rule.name for match in found]


def read(written: str, language: str) -> tuple[str, str]:
    """Unit and (lowest) figure of a quantity as it is written."""
    quantity = parse(written, "", language)
    assert isinstance(quantity, Quantity)
    return quantity.unit, str(quantity.spans[0][0])
