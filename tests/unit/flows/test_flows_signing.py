"""What `check` says of the key that workshop.toml names, and the shell's own word on quotation marks."""

from __future__ import annotations

import datetime as dt
import subprocess
from pathlib import Path

import pytest

from dossier.flows import shell, signing
from dossier.flows.check import check_job
from dossier.intake.template import new_job
from dossier.model.finding import Finding
from dossier.seal import keyfiles
from dossier.seal.keys import new_key
from dossier.words import Catalogue

ROOT = Path(__file__).parents[3]
NAME = "Two Benches"


def found(job: Path) -> list[Finding]:
    return [f for f in check_job(job, Catalogue("en")).findings if f.code in signing.CODES]


def a_job(folder: Path, key: str, certificate: str) -> Path:
    new_job(folder)
    file = folder / "workshop.toml"
    text = file.read_text(encoding="utf-8").replace("The name of your workshop", NAME)
    text = text.replace('# key = ""', f'key = "{key}"').replace(
        '# certificate = ""', f'certificate = "{certificate}"'
    )
    file.write_text(text, encoding="utf-8")
    return folder


def test_without_a_key_only_a_draft_can_be_made(tmp_path: Path) -> None:
    (one,) = found(a_job(tmp_path / "job", "", ""))
    assert (one.code, one.level, one.at.file) == ("no-key", "note", "workshop.toml")
    assert "dossier keys new" in one.hint


def test_a_workshop_that_nobody_named_is_said_first(tmp_path: Path) -> None:
    new_job(tmp_path / "job")
    assert [one.code for one in found(tmp_path / "job")] == ["workshop-not-named"]


def test_files_that_are_not_there_are_each_named(tmp_path: Path) -> None:
    job = a_job(tmp_path / "job", "../keys/a-key.pem", "pkcs11:object=a")
    (one,) = found(job)
    assert one.code == "key-not-there" and "../keys/a-key.pem" in one.message


@pytest.mark.parametrize(("name", "codes"), [("Rook and Daughter", ["certificate-other-name"]), (NAME, [])])
def test_the_name_on_the_certificate(tmp_path: Path, name: str, codes: list[str]) -> None:
    keyfiles.write_key(tmp_path, "a", new_key(name, now=dt.datetime(2026, 11, 1, tzinfo=dt.UTC)))
    assert [
        one.code for one in found(a_job(tmp_path / "job", "../a-key.pem", "../a-certificate.pem"))
    ] == codes


def test_of_a_trial_key_no_name_is_asked(tmp_path: Path) -> None:
    keys = (ROOT / "keys_example").as_posix()
    assert found(a_job(tmp_path / "job", f"{keys}/trial-key.pem", f"{keys}/trial-certificate.pem")) == []


@pytest.mark.skipif(not Path("/bin/sh").exists(), reason="no POSIX shell")
@pytest.mark.parametrize(
    "name", ["job", "Frau Müllers Koffer", "it's $HOME", 'a"b`c', "工房", "two  spaces", "a\\b"]
)
def test_a_quoted_name_is_one_word_to_the_shell(name: str) -> None:
    line = f"printf %s {shell.quoted(name)}"
    said = subprocess.run(["/bin/sh", "-c", line], capture_output=True, check=True, env={"LANG": "C.UTF-8"})
    assert said.stdout.decode() == name
    assert (shell.quoted(name) == name) == name.isalnum()
