"""Jobs for the tests of the account: a whole one without a gap, and the same with changes."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import msgspec
import pytest

from dossier.account.payload import build
from dossier.model.earlier import EarlierOpened, SaidLater
from dossier.model.job import Job
from dossier.model.plain import from_plain
from dossier.model.record import WorkshopId
from dossier.words import Catalogue

VECTORS = Path(__file__).parents[2] / "vectors" / "account"


@pytest.fixture(scope="session")
def words() -> Catalogue:
    return Catalogue("en")


@pytest.fixture(scope="session")
def vectors() -> Path:
    return VECTORS


@pytest.fixture(scope="session")
def base() -> dict[str, Any]:
    plain: dict[str, Any] = json.loads((VECTORS / "base.json").read_text(encoding="utf-8"))
    return plain


@pytest.fixture
def job_with(base: dict[str, Any]) -> Callable[[dict[str, Any]], Job]:
    """The whole job with values set at JSON pointers (RFC 6901)."""

    def change(changes: dict[str, Any]) -> Job:
        plain = copy.deepcopy(base)
        for pointer, value in changes.items():
            put(plain, pointer.split("/")[1:], value)
        return from_plain(Job, plain)

    return change


@pytest.fixture
def opened(job_with: Callable[[dict[str, Any]], Job], words: Catalogue) -> Callable[..., EarlierOpened]:
    """The whole job with changes as an earlier record, the `n`th; its path is "earlier-n".

    "later" among the changes: what its workshop said of it afterwards.
    """

    def made(changes: dict[str, Any], n: int = 1, earlier: Sequence[EarlierOpened] = ()) -> EarlierOpened:
        later = msgspec.convert(changes.get("later", []), tuple[SaidLater, ...])
        job = job_with({path: value for path, value in changes.items() if path != "later"})
        unsealed = build(
            job,
            words,
            workshop=WorkshopId(name=f"Workshop {n}"),
            pictures=(),
            iat=1_600_000_000 + n,
            record_id=f"urn:uuid:00000000-0000-4000-8000-{n:012d}",
            earlier=earlier,
        )
        return EarlierOpened(
            payload=unsealed.payload,
            sha256=f"{n:064x}",
            checked="signature matches, key not confirmed",
            path=f"earlier-{n}",
            later=later,
        )

    return made


def put(plain: Any, steps: list[str], value: Any) -> None:
    *path, last = steps
    for step in path:
        plain = plain[int(step)] if isinstance(plain, list) else plain.setdefault(step, {})
    if isinstance(plain, list):
        plain[int(last)] = value
    else:
        plain[last] = value
