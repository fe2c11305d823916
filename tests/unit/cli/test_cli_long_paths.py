"""A path too long for Windows is said to be one; the system says that there is no such file."""

from __future__ import annotations

import errno

import pytest

from dossier import durable
from dossier.cli import long_paths
from dossier.errors import OutputError


@pytest.fixture
def windows(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(long_paths, "too_long", lambda path: durable.too_long(path, windows=True))


def failed(name: str) -> OutputError:
    """As `flows.output` says it of what the system could not do."""
    try:
        try:
            raise FileNotFoundError(errno.ENOENT, "The system cannot find the path specified", name)
        except OSError as error:
            raise OutputError("could not be written", hint="nothing was changed") from error
    except OutputError as error:
        return error


@pytest.mark.usefixtures("windows")
def test_it_is_said_before_the_other_hint() -> None:
    first, second = long_paths.hint(failed("/" + "x" * 299), "nothing was changed").splitlines()
    assert "300 characters" in first and "259" in first and second == "nothing was changed"


@pytest.mark.usefixtures("windows")
def test_of_a_short_one_nothing_is_said() -> None:
    assert long_paths.hint(failed("/x"), "nothing was changed") == "nothing was changed"


def test_elsewhere_nothing_is_said() -> None:
    assert long_paths.hint(failed("/" + "x" * 299), "") == ""
