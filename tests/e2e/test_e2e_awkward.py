"""What newcomers and their machines do: a key in the job folder, links, odd names, pipes, system files."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
import zxingcpp

from dossier.flows.check import check_job
from dossier.words import Catalogue

Run = Callable[..., Any]


@pytest.fixture
def workshop(job: Path, tmp_path: Path) -> Path:
    """A job folder of one's own, with the key inside it as beginners do."""
    shutil.copytree(job.parent, tmp_path / "ws")
    folder = tmp_path / "ws" / "satchel"
    shutil.copytree(tmp_path / "ws" / "keys", folder / "keys")
    return folder


def test_a_private_key_in_the_job_folder_is_not_put_away(workshop: Path, run: Run, tmp_path: Path) -> None:
    assert run("compile", workshop).code == 0
    ran = run("archive", workshop, "--to", tmp_path / "archive")
    assert ran.code == 0, ran.err
    assert "trial-key.pem" in ran.err
    (bag,) = (tmp_path / "archive" / "bags").iterdir()
    kept = [p for p in bag.rglob("*") if p.is_file()]
    assert not any(b"PRIVATE KEY" in p.read_bytes() for p in kept)  # RFC 7468 section 10
    assert (bag / "data" / "job" / "keys" / "trial-certificate.pem").is_file()


def test_a_link_in_the_job_folder_is_named_with_the_reason(workshop: Path, run: Run, tmp_path: Path) -> None:
    assert run("compile", workshop).code == 0
    (workshop / "notes" / "elsewhere").symlink_to(tmp_path / "gone")
    ran = run("archive", workshop, "--to", tmp_path / "archive")
    assert ran.code == 64
    assert "elsewhere" in ran.err
    assert "link" in ran.err
    assert not (tmp_path / "archive").exists()


@pytest.mark.skipif(sys.platform != "linux", reason="other systems take no such names")
def test_a_name_that_is_no_text_is_refused_in_plain_words(workshop: Path, run: Run, tmp_path: Path) -> None:
    assert run("compile", workshop).code == 0
    Path(os.fsdecode(os.fsencode(workshop) + b"/odd\xff.txt")).write_text("x")
    ran = run("archive", workshop, "--to", tmp_path / "archive")
    assert ran.code == 64
    assert "cannot be written down" in ran.err


def test_an_archive_where_none_can_be_made_is_said_plainly(output: Path, run: Run, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    ran = run("archive", output, "--to", tmp_path / "file" / "archive", "--without-job")
    assert ran.code == 74
    assert "cannot be written" in ran.err


def test_what_a_system_leaves_in_a_folder_is_passed_over(output: Path, run: Run, tmp_path: Path) -> None:
    copy = tmp_path / "dossier"
    shutil.copytree(output, copy)
    for place in (copy, copy / "photographs"):
        for name in (".DS_Store", "Thumbs.db", "desktop.ini", "._photo-001.jpg", "x:Zone.Identifier"):
            (place / name).write_bytes(b"x")
    assert run("verify", copy).code == run("verify", output).code == 2
    (copy / "photographs" / "photo-999.jpg").write_bytes(b"x")
    assert "photograph-surplus" in run("verify", copy).out


def test_a_dossier_that_was_looked_at_can_be_replaced(job: Path, run: Run, tmp_path: Path) -> None:
    target = tmp_path / "dossier"
    target.mkdir()
    (target / ".DS_Store").write_bytes(b"x")
    assert run("compile", job, "--to", target, "--draft").code == 0
    (target / "letter.txt").write_text("x")
    assert run("compile", job, "--to", target, "--draft").code == 73


def test_a_check_of_a_folder_names_what_it_did_not_look_at(output: Path, run: Run, tmp_path: Path) -> None:
    copy = tmp_path / "dossier"
    shutil.copytree(output, copy)
    (copy / "sheet.pdf").write_bytes(b"another")
    (copy / "letter.pdf").write_bytes(b"x")
    ran = run("verify", copy)
    assert ran.code == 2
    assert "file-beside-not-checked" in ran.out
    assert "letter.pdf" in ran.out
    assert "sheet.pdf" in ran.out


def test_another_list_with_the_photographs_does_not_match(output: Path, run: Run, tmp_path: Path) -> None:
    copy = tmp_path / "dossier"
    shutil.copytree(output, copy)
    (copy / "photographs" / "manifest.sha256").write_text(f"{'0' * 64}  photo-001.jpg\n")
    ran = run("verify", copy)
    assert ran.code == 1
    assert "photographs/manifest.sha256" in ran.out


def test_a_pipe_among_the_files_keeps_nobody_waiting(
    output: Path, run: Run, tmp_path: Path, pipe: Callable[[Path], None]
) -> None:
    copy = tmp_path / "dossier"
    shutil.copytree(output, copy)
    (copy / "earlier").mkdir()
    pipe(tmp_path / "pipe")
    pipe(copy / "earlier" / "pipe")
    assert run("verify", copy).code == 2
    assert run("verify", copy / "dossier.pdf", tmp_path / "pipe").code == 4
    (copy / "certificate.pem").unlink()
    pipe(copy / "certificate.pem")
    assert run("verify", copy / "record.json").code == 2


def test_nobody_reading_on_is_no_answer_of_a_check(output: Path) -> None:
    read, write = os.pipe()
    os.close(read)
    program = "import sys; from dossier.cli import main; main(sys.argv[1:])"
    done = subprocess.run(
        [sys.executable, "-c", program, "verify", str(output)],
        stdout=write,
        stderr=subprocess.PIPE,
        check=False,
    )
    os.close(write)
    assert done.returncode not in range(5)  # the exit codes of a check
    assert b"Traceback" not in done.stderr


def test_letters_a_terminal_cannot_carry_stop_nothing(workshop: Path, run: Run) -> None:
    job = workshop / "job.toml"
    job.write_text(job.read_text("utf-8").replace('"tool satchel"', '"道具鞄 🧰"'), encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "dossier", "check", str(workshop)],
        env={**os.environ, "PYTHONIOENCODING": "ascii"},
        capture_output=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    for_machines = run("check", "--json", workshop).out
    assert for_machines.isascii()
    assert json.loads(for_machines)["stage"] == "returned"


def test_the_text_of_a_code_without_a_page_is_checked(workshop: Path, run: Run, tmp_path: Path) -> None:
    shared = workshop.parent / "workshop.toml"
    lines = shared.read_text("utf-8").splitlines(keepends=True)
    shared.write_text("".join(line for line in lines if not line.startswith("verification_page")), "utf-8")
    target = tmp_path / "dossier"
    assert run("compile", workshop, "--to", target).code == 0
    page = pypdfium2.PdfDocument(target / "dossier.pdf")[0].render(scale=200 / 72).to_pil()
    (code,) = zxingcpp.read_barcodes(page, formats=zxingcpp.BarcodeFormat.QRCode)
    assert code.text.startswith("#")
    assert run("verify", code.text).code == 2
    for name, start in (("plain.txt", b""), ("marked.txt", b"\xef\xbb\xbf")):
        (tmp_path / name).write_bytes(start + code.text.encode() + b"\r\n")
        assert run("verify", tmp_path / name).code == 2


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"geheim", 0),
        (b"\xef\xbb\xbfgeheim\r\n", 0),
        (b"", 66),
        (b"geheim\nsecond line\n", 66),
        (b"\xff\xfeg\x00", 66),
        (b"wrong", 66),
        (None, 66),
    ],
)
def test_a_passphrase_comes_from_a_file(
    workshop: Path, run: Run, tmp_path: Path, content: bytes | None, code: int
) -> None:
    (tmp_path / "right").write_text("geheim", encoding="utf-8")
    made = run("keys", "new", tmp_path / "k", "--name", "W", "--passphrase-file", tmp_path / "right")
    assert made.code == 0
    assert 'key = "k/workshop-key.pem"' in made.out  # for a workshop.toml beside the folder k
    assert "-certificate.pem" in run("keys", "show", tmp_path / "k" / "workshop-key.pem").err  # nobody types
    shared = workshop.parent / "workshop.toml"
    text = shared.read_text("utf-8").replace(
        "keys/trial-key.pem", (tmp_path / "k/workshop-key.pem").as_posix()
    )
    text = text.replace("keys/trial-certificate.pem", (tmp_path / "k/workshop-certificate.pem").as_posix())
    shared.write_text(text, encoding="utf-8")
    if content is not None:
        (tmp_path / "given").write_bytes(content)
    target = tmp_path / "dossier"
    ran = run("compile", workshop, "--to", target, "--passphrase-file", tmp_path / "given")
    assert ran.code == code, ran.err
    assert target.exists() == (code == 0)
    assert "should not have happened" not in ran.err


def test_an_empty_file_makes_no_key_without_a_passphrase(run: Run, tmp_path: Path) -> None:
    (tmp_path / "empty").write_bytes(b"\n")
    ran = run("keys", "new", tmp_path / "k", "--name", "W", "--passphrase-file", tmp_path / "empty")
    assert ran.code == 66
    asked = run("keys", "new", tmp_path / "k", "--name", "W")  # nobody types
    assert (asked.code, "--no-passphrase" in asked.err) == (66, True)
    assert not (tmp_path / "k").exists()


def test_a_run_ended_between_two_renames_loses_nothing(job: Path, run: Run, tmp_path: Path) -> None:
    target = tmp_path / "dossier"
    assert run("compile", job, "--to", target).code == 0
    before = (target / "dossier.pdf").read_bytes()
    target.rename(tmp_path / ".dossier.4711.old")  # as it stands when the power goes at the worst moment
    assert run("compile", job, "--to", target).code == 73  # the signed dossier is there again
    assert (target / "dossier.pdf").read_bytes() == before


def test_what_the_system_refuses_is_said_without_alarm(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied", "archive/bags")

    monkeypatch.setattr("dossier.archive.bags.bag_folders", refuse)
    (tmp_path / "bags").mkdir()
    ran = run("find", "bag", "--in", tmp_path)
    assert ran.code == 74
    assert ran.err == "dossier: archive/bags: Permission denied\n"


def test_what_a_killed_run_left_goes_after_a_day(job: Path, run: Run, tmp_path: Path) -> None:
    left = {
        name: tmp_path / name for name in (".dossier.11.partial", ".dossier.12.partial", ".dossier.x.partial")
    }
    for folder in left.values():
        folder.mkdir()
        (folder / "dossier.pdf").write_bytes(b"half")
    for name in (".dossier.11.partial", ".dossier.x.partial"):
        os.utime(left[name], (1_000_000_000, 1_000_000_000))
    assert run("compile", job, "--to", tmp_path / "dossier", "--draft").code == 0
    assert [name for name, folder in left.items() if not folder.exists()] == [".dossier.11.partial"]


def test_a_folder_of_photographs_written_large(workshop: Path, run: Run, tmp_path: Path) -> None:
    (workshop / "photos").rename(workshop / "Photos")
    done = run("compile", workshop, "--to", tmp_path / "dossier", "--draft")
    assert done.code == 0, done.err


@pytest.mark.skipif(os.name != "posix", reason="folders cannot be flushed everywhere")
def test_all_that_was_written_is_on_the_disk_before_it_is_given_its_name(
    job: Path, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """POSIX fsync(2), rename(2): what was not flushed before a rename may be empty after a power cut."""
    flushed: set[int] = set()
    moved: list[set[int]] = []
    fsync, rename = os.fsync, Path.rename

    def seen(handle: int) -> None:
        flushed.add(os.fstat(handle).st_ino)
        fsync(handle)

    def renamed(self: Path, target: Path) -> Path:
        if Path(target).name == "dossier":
            moved.append(set(flushed))
        return rename(self, target)

    monkeypatch.setattr(os, "fsync", seen)
    monkeypatch.setattr(Path, "rename", renamed)
    assert run("compile", job, "--to", tmp_path / "dossier").code == 0
    (before,) = moved
    there = [tmp_path / "dossier", *(tmp_path / "dossier").rglob("*")]
    assert any(path.parent.name == "photographs" for path in there)
    assert [path.name for path in there if path.stat().st_ino not in before] == []
    assert tmp_path.stat().st_ino in flushed


@pytest.mark.parametrize(("letters", "codes"), [(20, []), (120, []), (238, ["code-too-long"])])
def test_a_page_that_the_code_has_no_room_for_is_an_error_of_the_job(
    job: Path, tmp_path: Path, run: Run, letters: int, codes: list[str]
) -> None:
    """At most 450 characters (FORMAT.md, 7.1): what `check` lets pass is compiled."""
    home = shutil.copytree(job.parent, tmp_path / "home")
    shop = home / "workshop.toml"
    page = "https://example.org/".ljust(letters, "a")
    text = re.sub(r"(?m)^verification_page.*\n", "", shop.read_text(encoding="utf-8"))
    shop.write_text(f'verification_page = "{page}"\n{text}', encoding="utf-8")
    found = check_job(home / job.name, Catalogue("en"), to_sign=True).findings
    assert [(one.code, one.at.file) for one in found if one.level == "error"] == [
        (code, "../workshop.toml") for code in codes
    ]
    ran = run("compile", home / job.name, "--to", tmp_path / "out")
    assert ran.code == (65 if codes else 0), ran.err
