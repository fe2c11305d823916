"""Records of one day stand in the order in which they build on one another, whatever their digests are."""

from __future__ import annotations

from itertools import permutations

import msgspec
import pytest
from stories_made import job, part, record, rows

from dossier.account.history import with_history
from dossier.account.sources import sources_of
from dossier.model.earlier import EarlierOpened
from dossier.model.rows import Dates, EarlierRecord

PEGS = [part(pieces=6)]
LOST = [part(pieces=6, came_as="missing")]


def of_one_day(one: EarlierOpened, sha256: str, *before: EarlierOpened) -> EarlierOpened:
    named = tuple(EarlierRecord(record=old.payload.record, sha256=old.sha256) for old in before)
    dates = Dates(returned="2020-05-01")
    payload = msgspec.structs.replace(one.payload, dates=dates, earlier_records=named)
    return msgspec.structs.replace(one, payload=payload, sha256=sha256 * 64)


@pytest.mark.parametrize("digests", [*permutations("abc")])
def test_a_chain_of_one_day_each_naming_the_one_before(digests: tuple[str, str, str]) -> None:
    """Cleaned, taken away, made anew: given in any order, and the last alone with what it carries."""
    first = of_one_day(record(2020, PEGS, rows(("cleaned", "1"))), digests[0])
    second = of_one_day(record(2021, PEGS, rows(("taken away", "1")), [first]), digests[1], first)
    third = of_one_day(record(2022, LOST, rows(("added", "1")), [first, second]), digests[2], second)
    now = job([part(pieces=6, came_as="earlier replacement")])
    for given in [*permutations((first, second, third)), (third,), (second, third), (first, third)]:
        assert [source.sha256[0] for source in sources_of(now, given)] == [*digests]
        (told,) = with_history(now, given).histories
        assert [said.now[0].now.split(",")[0] for said in told.said] == ["original", "taken away", "new"]


def test_of_one_day_and_not_tied_the_order_in_which_they_are_given() -> None:
    one, other = of_one_day(record(2020, PEGS), "b"), of_one_day(record(2021, PEGS), "a")
    for given in ((one, other), (other, one)):
        assert [s.sha256 for s in sources_of(job(PEGS), given)] == [s.sha256 for s in given]
