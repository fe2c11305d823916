"""Jobs for the tests of the account: a whole one without a gap, and the same with changes."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from dossier.model.job import Job
from dossier.model.plain import from_plain
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


def put(plain: Any, steps: list[str], value: Any) -> None:
    *path, last = steps
    for step in path:
        plain = plain[int(step)] if isinstance(plain, list) else plain.setdefault(step, {})
    if isinstance(plain, list):
        plain[int(last)] = value
    else:
        plain[last] = value
