"""What tests of several rooms share."""

from __future__ import annotations

from collections.abc import Callable

import pdf_checks
import pytest
from hypothesis import settings

# No test asserts a time. The same inputs in each run: a change is judged by what it changes; new inputs are
# tried by `pytest --hypothesis-profile=anew`.
settings.register_profile("usual", deadline=None, derandomize=True)
settings.register_profile("anew", deadline=None, derandomize=False, print_blob=True)
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
