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
    """How many functions `work` calls, Python's and C's; what slipcover calls for itself is left out."""
    found, tidying = 0, False

    def seen(frame: FrameType, event: str, argument: Any) -> None:
        nonlocal found, tidying
        if frame.f_code.co_name == "deinstrument_seen":  # of all modules, at whichever line it comes due
            tidying = event != "return"
        elif event == "call" or (event == "c_call" and argument.__module__ != "slipcover.probe"):
            found += not tidying

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
