"""What tests of several rooms share."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path

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


@pytest.fixture
def pipe() -> Iterator[Callable[[Path], None]]:
    """`pipe(path)`: a pipe with a name. Who waits for it is let go soon, with nothing read, and the test
    fails, so that it does not stand still for ever.
    """
    if not hasattr(os, "mkfifo"):
        pytest.skip("pipes with names are of POSIX systems")
    made: list[Path] = []
    waited: list[Path] = []
    over = threading.Event()

    def let_go() -> None:
        while not over.wait(3):
            for path in made:
                with suppress(OSError):  # nobody waits for it
                    os.close(os.open(path, os.O_WRONLY | os.O_NONBLOCK))
                    waited.append(path)

    def make(path: Path) -> None:
        os.mkfifo(path)
        made.append(path)

    helper = threading.Thread(target=let_go, daemon=True)
    helper.start()
    yield make
    over.set()
    helper.join()
    assert not waited
