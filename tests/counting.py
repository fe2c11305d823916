"""Work counted and not timed: the same on a slow machine and a busy one (speed itself is in tests/bench)."""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable
from types import FrameType
from typing import Any


def calls_again(work: Callable[[], object]) -> int:
    """As `calls`, the second time: what is kept from the first is there, for both sides of a ratio."""
    work()
    return calls(work)


def calls(work: Callable[[], object]) -> int:
    """How many functions `work` calls, Python's and C's."""
    found = 0

    def seen(_frame: FrameType, event: str, _argument: Any) -> None:
        nonlocal found
        found += event in ("call", "c_call")

    before, collecting = sys.getprofile(), gc.isenabled()
    gc.disable()  # what other tests left to be collected is no work of this one
    sys.setprofile(seen)
    try:
        work()
    finally:
        sys.setprofile(before)
        if collecting:
            gc.enable()
    return found
