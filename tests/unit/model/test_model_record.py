"""What the model of a record reckons by itself."""

from __future__ import annotations

import datetime as dt

import pytest

from dossier.model.record import LAST_SECOND, moment


@pytest.mark.parametrize("iat", [0, 951_782_400, 1_795_000_000, 32_535_215_999, 32_535_216_000, LAST_SECOND])
def test_a_moment_is_the_librarys_also_where_windows_has_none(iat: int) -> None:
    """Python's own answer, an error on Windows from the year 3001 on (gmtime_s; from memory)."""
    assert moment(iat) == dt.datetime.fromtimestamp(iat, dt.UTC)
