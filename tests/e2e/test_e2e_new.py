"""A job that follows what an owner brings back: the PDF alone, taken apart by pdfdetach for comparison."""

from __future__ import annotations

import stat
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., Any]


def test_a_job_follows_the_pdf_alone(output: Path, run: Run, tmp_path: Path) -> None:
    """What is laid in is the record that poppler takes out; the job checks, and names it."""
    ran = run("new", tmp_path / "next", "--from", output / "dossier.pdf")
    assert ran.code == 0, ran.err
    taken = tmp_path / "record.json"
    detach = ["pdfdetach", "-savefile", "record.json", "-o", str(taken), str(output / "dossier.pdf")]
    subprocess.run(detach, check=True, capture_output=True)
    laid_in = tmp_path / "next" / "earlier" / "record.json"
    assert laid_in.read_bytes() == taken.read_bytes() == (output / "record.json").read_bytes()
    assert "earlier/record.json" in (tmp_path / "next" / "job.toml").read_text("utf-8")
    checked = run("check", tmp_path / "next")
    assert "earlier record" not in checked.out.split("error")[0] or checked.code == 0


@pytest.mark.parametrize(("own", "told"), [("de", True), ("en", False)])
def test_another_language_than_the_workshops_own_is_told(
    own: str, told: bool, output: Path, run: Run, tmp_path: Path
) -> None:
    """What is taken over is written in the earlier record's language, so the job is: English here."""
    (tmp_path / "workshop.toml").write_text(f'name = "Bench"\nlanguage = "{own}"\n', encoding="utf-8")
    ran = run("new", tmp_path / "next", "--from", output / "record.json")
    assert ran.code == 0, ran.err
    assert 'language = "en"' in (tmp_path / "next" / "job.toml").read_text("utf-8")
    assert ("the workshop's own is de" in ran.out) == told


def test_what_check_finds_is_said_in_one_language(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Labels in the shell's own language had stood amid findings, which are said in English alone."""
    run("new", tmp_path / "next")
    (tmp_path / "next" / "work.csv").write_text("date,parts,done\n2026-03-01,1,cleaned\n", encoding="utf-8")
    said = set()
    for shell in ("it_IT.UTF-8", "de_DE.UTF-8", "en_GB.UTF-8"):  # English last: the language stays
        monkeypatch.setenv("LC_ALL", shell)
        said.add(run("check", tmp_path / "next").out)
    assert len(said) == 1 and "nobody signed for work line 1 (cleaned)" in said.pop()


def test_another_pdf_is_no_earlier_record(output: Path, run: Run, tmp_path: Path) -> None:
    ran = run("new", tmp_path / "next", "--from", output / "card.pdf")
    assert ran.code not in (0, 70)
    assert "{" not in ran.err
    assert not (tmp_path / "next").exists()


def test_a_file_that_is_no_record_is_refused_in_plain_words(run: Run, tmp_path: Path) -> None:
    (tmp_path / "some.json").write_text('{"payload": 3}', encoding="utf-8")
    ran = run("new", tmp_path / "next", "--from", tmp_path / "some.json")
    assert ran.code not in (0, 70)
    assert "could not be read as a sealed record" in ran.err
    assert "Expecting" not in ran.err
    assert not (tmp_path / "next").exists()


def test_a_new_folder_keeps_to_the_usual_permissions(run: Run, tmp_path: Path) -> None:
    """As mkdir would make it under the same umask (POSIX)."""
    run("new", tmp_path / "next")
    (tmp_path / "plain").mkdir()
    modes = [stat.S_IMODE((tmp_path / name).stat().st_mode) for name in ("next", "plain")]
    assert modes[0] == modes[1]
