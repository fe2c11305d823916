"""A folder that can be listed and not entered (as by `chmod 0744`) is told, and stops nothing else.

For root, as whom tests may run, there is none: here the system's own answer is given instead.
"""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from pathlib import Path

import pytest

from dossier.flows import bagged
from dossier.flows.verifying import chain, lying_beside
from dossier.words import Catalogue


@pytest.fixture
def shut(monkeypatch: pytest.MonkeyPatch) -> Callable[[Path], None]:
    """Whatever lies right in the folder can be looked at no more, but for its name."""
    looked = os.stat

    def shut(folder: Path) -> None:
        def look(path: object, **how: object) -> os.stat_result:
            if isinstance(path, str | Path) and folder in (Path(path).parent, Path(path).parent.parent):
                raise PermissionError(errno.EACCES, "no", str(path))
            return looked(path, **how)  # type: ignore[arg-type]

        monkeypatch.setattr(os, "stat", look)

    return shut


def test_earlier_records_that_may_not_be_entered_are_named(
    tmp_path: Path, shut: Callable[[Path], None]
) -> None:
    (tmp_path / "earlier" / "e").mkdir(parents=True)
    shut(tmp_path / "earlier")
    assert chain.beside(tmp_path) == []
    assert chain.left_out(tmp_path) == ["earlier/"]


def test_one_earlier_record_that_may_not_be_entered_is_passed_over(
    tmp_path: Path, shut: Callable[[Path], None]
) -> None:
    one = tmp_path / "earlier" / "e"
    one.mkdir(parents=True)
    (one / "dossier.pdf").write_bytes(b"%PDF-")
    shut(one)
    assert bagged.dossier_in(one) == one
    assert chain.at_hand(chain.beside(tmp_path), Catalogue("en")) == {}


def test_a_link_in_a_folder_of_statements_that_may_not_be_entered_is_named(
    tmp_path: Path, shut: Callable[[Path], None]
) -> None:
    (tmp_path / "statements").mkdir()
    (tmp_path / "statements" / "w.json").symlink_to(tmp_path / "gone")
    shut(tmp_path / "statements")
    assert lying_beside.beside(tmp_path / "dossier.pdf").unread == ("statements/w.json",)
