"""A picture of a paper on which a code that was changed is stuck beside the workshop's own."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    return bench.picture_of_codes(bench.changed_code())
