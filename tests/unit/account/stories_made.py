"""Jobs and earlier records of few words, and the account of them, for the tests of the history."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from dossier.account.history import Story, with_history
from dossier.account.joint import joints
from dossier.account.lines import account_of
from dossier.account.parts import parts_now
from dossier.model.counted import Account
from dossier.model.earlier import EarlierOpened
from dossier.model.job import Job, Workshop
from dossier.model.plain import from_plain, to_plain
from dossier.model.record import Payload, WorkshopId
from dossier.model.rows import Dates, Object, Part, Work
from dossier.model.words import CameAs


def part(number: str = "1", came_as: CameAs = "original", **members: Any) -> Part:
    return Part(number=number, part=members.pop("part", f"part {number}"), came_as=came_as, **members)


def rows(*typed: tuple[Any, ...]) -> tuple[Work, ...]:
    """("cleaned", "1") or ("cleaned", "1", 9), numbered from 1."""
    return tuple(
        Work(number=n, done=row[0], parts=tuple(row[1].split()), pieces=row[2] if len(row) > 2 else 0)
        for n, row in enumerate(typed, 1)
    )


def job(parts: Sequence[Part], work: Sequence[Work] = (), **members: Any) -> Job:
    return Job(
        number="J",
        workshop=Workshop(name="Now & Here"),
        object=Object(type=members.pop("type", "trunk")),
        parts=tuple(parts),
        work=tuple(work),
        **members,
    )


def now_of(story: Story) -> tuple[Any, ...]:
    return parts_now(story.job.parts, story.job.work, story.origins)


def record(
    year: int,
    parts: Sequence[Part],
    work: Sequence[Work] = (),
    earlier: Sequence[EarlierOpened] = (),
    **members: Any,
) -> EarlierOpened:
    """What a workshop would have signed in that year, knowing `earlier`; it comes back from its JSON."""
    story = with_history(job(parts, work, **members), earlier)
    payload = Payload(
        format="1.0",
        sd_alg="sha-256",
        iat=(year - 1970) * 31_557_600,
        record=f"urn:uuid:00000000-0000-4000-8000-{year:012d}",
        job=str(year),
        language="en",
        workshop=WorkshopId(name=f"Workshop of {year}"),
        object=story.job.object,
        for_whom="private owner",
        dates=Dates(returned=f"{year}-05-01"),
        parts=tuple(parts),
        work=tuple(work),
        parts_now=now_of(story),
        account=account(story),
        part_history=story.histories,
        history=story.job.history,
    )
    plain = to_plain(payload)
    return EarlierOpened(
        payload=from_plain(Payload, plain),
        sha256=f"{year:064x}",
        checked="signature matches, key not confirmed",
        path=str(year),
    )


def states(
    parts: Sequence[Part], work: Sequence[Work] = (), earlier: Sequence[EarlierOpened] = (), **members: Any
) -> list[tuple[str, str, int, int]]:
    now = now_of(with_history(job(parts, work, **members), earlier))
    return [(row.part, row.now, row.pieces_low, row.pieces_high) for row in now]


def account(story: Story) -> tuple[Account, ...]:
    together = joints(story.job.parts, story.job.work, story.families, story.joint, story.origins)
    return account_of(story.job.parts, now_of(story), together)


def lines(story: Story) -> list[tuple[str, int, int]]:
    return [(a.now, a.pieces_low, a.pieces_high) for a in account(story)]
