"""A wrong argument is exit code 64 with every command, and no failure of an archive, a disk or a job."""

from __future__ import annotations

from pathlib import Path

import pytest

from dossier.cli import main

FOLDERS = ["check", "compile --draft", "photographs", "photographs --propose", "photographs --measure"]
PAPERS = ["slip", "labels", "receipt", "estimate"]
RECORD = Path(__file__).parents[2] / "vectors" / "keycard" / "record" / "aftercare-noted" / "record.json"


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a text, an archive with nothing in it, and a dossier's record."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "text.txt").write_text("x")
    (tmp_path / "archive" / "bags").mkdir(parents=True)
    (tmp_path / "made").mkdir()
    (tmp_path / "made" / "record.json").write_bytes(RECORD.read_bytes())
    return tmp_path


def code_of(asked: str) -> object:
    with pytest.raises(SystemExit) as ended:
        main(asked.split())
    return ended.value.code


@pytest.mark.parametrize("given", ["nosuch", "text.txt"])
@pytest.mark.parametrize("command", [*FOLDERS, "photographs --changes drawn", *PAPERS])
def test_what_is_no_folder(here: Path, command: str, given: str) -> None:
    assert code_of(f"{command} {given}") == 64


@pytest.mark.parametrize("command", [*FOLDERS, *PAPERS])
def test_a_folder_without_a_job_has_the_error_in_it(here: Path, command: str) -> None:
    assert code_of(f"{command} made") == 65


@pytest.mark.parametrize(
    "asked",
    [
        "nosuch --to archive",
        "text.txt --to archive",
        "made --to archive",
        "made --job nosuch --to archive",
        "--evidence-of x --to archive",
        "--evidence-of x --to nosuch",
        "--audit --to nosuch",
        "--renew --to nosuch --server http://127.0.0.1:9",
        "--renew --to archive --server nonsense",
    ],
)
def test_of_an_archive(here: Path, asked: str) -> None:
    assert code_of(f"archive {asked}") == 64
    assert [*(here / "archive" / "bags").iterdir()] == []


@pytest.mark.parametrize(
    "asked",
    ["find x --in nosuch", "stamp made --server nonsense", "declare aftercare nosuch --reason x --key k"],
)
def test_of_others(here: Path, asked: str) -> None:
    assert code_of(asked) == 64


def test_a_file_that_is_there_is_an_output_that_cannot_be_written(here: Path) -> None:
    (here / "keys").mkdir()
    (here / "keys" / "workshop-key.pem").write_text("x")
    assert code_of("keys new keys --name x --no-passphrase") == 73
