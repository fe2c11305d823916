"""How much laying out a document may take, counted as it goes: the same document always takes the same.

    with within(most): draw(...)        spend(units), where work is done

A unit is about what one Latin letter takes to be set; one that has to be composed takes some more. Work that
is done again (what is left of a long text, on each page) counts again. Outside `within` nothing is bounded.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from dossier.errors import TooMuchError

_LEFT: ContextVar[list[int] | None] = ContextVar("left", default=None)


@contextmanager
def within(most: int | None) -> Iterator[None]:
    """Whatever is laid out inside raises TooMuchError once it has taken more than `most`; None: no bound."""
    token = _LEFT.set(None if most is None else [most])
    try:
        yield
    finally:
        _LEFT.reset(token)


def spend(units: int) -> None:
    left = _LEFT.get()
    if left is not None:
        left[0] -= units
        if left[0] < 0:
            raise TooMuchError("laying this out takes more than was allowed for")
