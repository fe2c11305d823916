"""Files that a stranger may have made: no pipe is waited for, no device read, nothing beyond the bound."""

from __future__ import annotations

import errno
from collections.abc import Callable
from pathlib import Path

import pytest

from dossier import ordinary
from dossier.container.read import read_dossier
from dossier.errors import KeyFileError, PictureError, UnreadableError
from dossier.flows.verifying import times
from dossier.pictures.codes import read_codes
from dossier.seal import publicfiles, revocation, stamp_chain, trust


def test_a_file_is_read_up_to_what_is_asked_for(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.write_bytes(b"12345")
    (tmp_path / "link").symlink_to(file)
    assert ordinary.read(file, 3) == b"123"
    assert ordinary.whole(tmp_path / "link", 5) == b"12345"
    with pytest.raises(OSError) as raised:
        ordinary.whole(file, 4)
    assert raised.value.errno == errno.EFBIG and raised.value.filename == str(file)


@pytest.fixture(params=["pipe", "zero"])
def endless(request: pytest.FixtureRequest, tmp_path: Path, pipe: Callable[[Path], None]) -> Path:
    """Nobody writes into the pipe; the device never ends."""
    if request.param == "zero":
        return Path("/dev/zero")
    pipe(tmp_path / "pipe")
    return tmp_path / "pipe"


def test_what_is_no_ordinary_file_is_refused_at_once(endless: Path) -> None:
    for read in (ordinary.read, ordinary.whole):
        with pytest.raises(OSError) as raised:
            read(endless, 1)
        assert raised.value.errno == errno.ENOTSUP


def test_so_is_one_that_the_reader_of_a_check_names(endless: Path) -> None:
    for read in (trust.from_file, revocation.from_file, stamp_chain.from_file):
        with pytest.raises(KeyFileError, match=endless.name):
            read(endless)
    with pytest.raises(OSError):
        times.read_evidence(endless)


def test_so_is_one_that_a_copy_or_a_fingerprint_is_made_of(endless: Path) -> None:
    with pytest.raises(UnreadableError):
        read_dossier(endless)
    with pytest.raises(KeyFileError, match=endless.name):
        publicfiles.load_public(endless, lambda: "")
    with pytest.raises(PictureError):
        read_codes(endless)
