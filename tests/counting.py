"""Work counted and not timed: the same on a slow machine and a busy one (speed itself is in tests/bench)."""

from __future__ import annotations

import sys
from collections.abc import Callable
from types import FrameType
from typing import Any


def calls(work: Callable[[], object]) -> int:
    """How many functions `work` calls, Python's and C's."""
    found = 0

    def seen(_frame: FrameType, event: str, _argument: Any) -> None:
        nonlocal found
        found += event in ("call", "c_call")

    before = sys.getprofile()
    sys.setprofile(seen)
    try:
        work()
    finally:
        sys.setprofile(before)
    return found
