"""The one place where the program reads the clock and asks for randomness; both are passed in from here."""

from __future__ import annotations

import datetime as dt
import secrets


def now() -> dt.datetime:
    """The present, to the second, in UTC."""
    return dt.datetime.now(dt.UTC).replace(microsecond=0)


def random_bytes(count: int) -> bytes:
    return secrets.token_bytes(count)
