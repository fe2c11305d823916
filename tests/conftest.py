"""What tests of several rooms share."""

from __future__ import annotations

from collections.abc import Callable

import pdf_checks
import pytest
from hypothesis import settings

settings.register_profile("usual", deadline=None)  # no test asserts a time
settings.load_profile("usual")


@pytest.fixture(scope="session")
def assert_conforming() -> Callable[..., None]:
    """`assert_conforming(pdf_bytes)`: PDF/A-3a and PDF/UA-1 by a validator of others, and by `pdf_checks`.

    `allow=frozenset({"PDFA3A-SIGNATURE-BYTERANGE-001"})` for the one rule that a file with time-stamps behind
    it is known to fail wrongly.
    """

    def check(pdf_bytes: bytes, **options: frozenset[str]) -> None:
        found = pdf_checks.faults(pdf_bytes, **options)
        assert not found, "\n".join(found[:20])

    return check
