"""With which copy the original photographs may go: the workshop's; the owner's, cleared; no other."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest
from click.testing import CliRunner
from PIL import Image

from dossier.cli import program
from dossier.errors import UsageError
from dossier.flows.compiling.options import Options, check_originals
from dossier.model.job import Job, PhotoFacts, Workshop
from dossier.model.rows import Object
from dossier.model.words import COPIES, CopyKind
from dossier.pages.options import Originals
from dossier.words import Catalogue

WORDS = Catalogue("en")
JOB = Job(number="1", workshop=Workshop(name="A Workshop"), object=Object(type="satchel"))
POSITION = {2: (47.0, 30.0, 0.0)}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "photos").mkdir()
    return tmp_path


def job(folder: Path, gps: dict[int, object] | None = None) -> Job:
    """Its one photograph names the camera and the time, which may stand there."""
    exif = Image.Exif()
    exif[0x0110] = "L 5"
    exif.get_ifd(0x8769)[0x9003] = "2026:03:01 09:00:00"
    if gps:
        exif.get_ifd(0x8825).update(gps)
    Image.new("RGB", (30, 20)).save(folder / "photos" / "a.jpg", exif=exif)
    return msgspec.structs.replace(JOB, photo_facts=(PhotoFacts(file="a.jpg", bytes=1, camera="L 5"),))


def test_by_itself_only_the_workshops_copy_has_them(folder: Path) -> None:
    assert {copy: Options(copy=copy).where for copy in COPIES} == {
        "workshop": "beside",
        "owner": "none",
        "resale": "none",
        "insurer": "none",
    }
    for copy in COPIES:
        check_originals(Options(copy=copy), job(folder, POSITION), folder, WORDS)


@pytest.mark.parametrize("originals", ["beside", "inside"])
@pytest.mark.parametrize("copy", ["resale", "insurer"])
def test_others_never_have_them(folder: Path, copy: CopyKind, originals: Originals) -> None:
    for cleared in (False, True):
        with pytest.raises(UsageError, match=copy):
            check_originals(
                Options(copy=copy, originals=originals, cleared=cleared), job(folder), folder, WORDS
            )
    check_originals(Options(copy=copy, originals="none"), job(folder, POSITION), folder, WORDS)


def test_the_owner_has_them_cleared_or_by_somebodys_word(folder: Path) -> None:
    asked = Options(copy="owner", originals="beside")
    check_originals(asked, job(folder), folder, WORDS)
    telling = job(folder, POSITION)
    with pytest.raises(UsageError, match=r"a\.jpg \(where it was taken\)"):
        check_originals(asked, telling, folder, WORDS)
    check_originals(msgspec.structs.replace(asked, cleared=True), telling, folder, WORDS)
    check_originals(Options(originals="inside"), telling, folder, WORDS)


def test_the_command_knows_the_word() -> None:
    assert "--cleared" in CliRunner().invoke(program, ["compile", "--help"]).output
