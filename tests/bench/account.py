"""The account of a large register over many earlier records, as a ratio to a floor measured in the same run.

    python tests/bench/account.py --parts 10000 --records 50

The floor: every row of every record looked at once, its part's number found in one dictionary. CPU seconds,
the least of several runs, floor and account in turn. Making and reading the records is not in it.
"""

from __future__ import annotations

import argparse
import resource
import time
from collections.abc import Callable, Sequence

from dossier.account.history import with_history
from dossier.account.lines import account_of
from dossier.account.parts import parts_now
from dossier.memory import collect_seldom
from dossier.model.earlier import EarlierOpened
from dossier.model.job import Job, Workshop
from dossier.model.record import FORMAT_VERSION, Payload, WorkshopId
from dossier.model.rows import Object, Part, Work
from dossier.model.words import DONE

TARGET_SECONDS = 1.0
CABINET = Object(type="cabinet")


def job_of(parts: int) -> Job:
    return Job(
        number="26-050",
        workshop=Workshop(name="Bench & Hand"),
        object=CABINET,
        parts=tuple(Part(number=str(n), part=f"pin {n}", pieces=3, came_as="original") for n in range(parts)),
        work=tuple(
            Work(number=n, parts=(str(n),), pieces=n % 4, done=DONE[n % len(DONE)]) for n in range(parts)
        ),
    )


def records_of(job: Job, records: int) -> list[EarlierOpened]:
    """One a year, each with all the parts, every seventh worked on in another way."""
    found = []
    for year in range(records):
        work = tuple(
            Work(number=n, parts=(part.number,), done=DONE[(n + year) % len(DONE)])
            for n, part in enumerate(job.parts)
            if n % 7 == 0
        )
        payload = Payload(
            format=FORMAT_VERSION,
            sd_alg="sha-256",
            iat=year * 31_557_600,
            record=f"urn:uuid:00000000-0000-4000-8000-{year:012}",
            job=f"{1970 + year}-001",
            language="en",
            workshop=WorkshopId(name="Bench & Hand"),
            object=CABINET,
            for_whom="museum",
            parts=job.parts,
            work=work,
            parts_now=parts_now(job.parts, work),
        )
        found.append(
            EarlierOpened(
                payload=payload,
                sha256=f"{year:064x}",
                checked="signature matches, key not confirmed",
                path=f"{year}.json",
            )
        )
    return found


def floor(earlier: Sequence[EarlierOpened]) -> int:
    numbers: dict[str, int] = {}
    for one in earlier:
        for part in one.payload.parts:
            numbers[part.number] = numbers.get(part.number, 0) + part.pieces
        for row in one.payload.parts_now:
            numbers[row.part] = numbers.get(row.part, 0) + row.pieces_high
    return len(numbers)


def in_turn(runs: Sequence[Callable[[], object]], times: int) -> list[float]:
    """The least of each, in CPU seconds."""
    found: list[list[float]] = [[] for _ in runs]
    for _ in range(times):
        for run, taken in zip(runs, found, strict=True):
            began = time.process_time()
            run()
            taken.append(time.process_time() - began)
    return [min(taken) for taken in found]


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--parts", type=int, default=10_000)
    asked.add_argument("--records", type=int, default=50)
    asked.add_argument("--times", type=int, default=5)
    options = asked.parse_args()
    collect_seldom()  # as the program does
    job = job_of(options.parts)
    earlier = records_of(job, options.records)
    base, history, alone = in_turn(
        (
            lambda: floor(earlier),
            lambda: with_history(job, earlier),
            lambda: account_of(job.parts, parts_now(job.parts, job.work)),
        ),
        options.times,
    )
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{options.parts} parts, {options.records} earlier records, {peak:.0f} MiB")
    print(f"floor: each row once   {base:6.3f} s CPU")
    print(f"history                {history:6.3f} s CPU, {history / base:.1f} x (target {TARGET_SECONDS} s)")
    print(f"account of the job     {alone:6.3f} s CPU")


if __name__ == "__main__":
    main()
