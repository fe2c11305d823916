"""How many findings of one code look on a terminal: one line, and the places of all."""

from __future__ import annotations

import io
import json
import os
from pathlib import Path

import pytest
from click.testing import CliRunner

from dossier.cli import program, show
from dossier.intake.template import new_job
from dossier.model.finding import At, Finding, Level
from dossier.words import Catalogue


def finding(
    line: int,
    code: str = "no-reason",
    file: str = "parts.csv",
    *,
    level: Level = "gap",
    hint: str = "write it",
) -> Finding:
    return Finding(
        code=code,
        level=level,
        message=f"no reason for row {line}",
        hint=hint,
        at=At(file=file, line=line, column=1),
        parts=(str(line),),
    )


def lines(found: list[Finding], capsys: pytest.CaptureFixture[str]) -> list[str]:
    show.findings(found, Catalogue("en"))
    return [line.strip() for line in capsys.readouterr().out.splitlines() if line.strip()][1:]


def test_two_are_shown_each_in_full(capsys: pytest.CaptureFixture[str]) -> None:
    shown = lines([finding(2), finding(3)], capsys)
    assert [line for line in shown if "[no-reason]" in line] == [
        "parts.csv:2:1: no reason for row 2 [no-reason]",
        "parts.csv:3:1: no reason for row 3 [no-reason]",
    ]


def test_many_are_one_line_with_sixty_places_and_how_many_more(capsys: pytest.CaptureFixture[str]) -> None:
    shown = lines([finding(n) for n in range(2, 65)], capsys)
    places = ", ".join(f"{n} ({n})" for n in range(2, 62))
    assert shown == [
        "63 times, as: no reason for row 2 [no-reason]",
        "hint: write it",
        f"lines and parts: parts.csv: {places} +3",
    ]


def test_other_codes_and_files_keep_their_own(capsys: pytest.CaptureFixture[str]) -> None:
    found = [finding(2), finding(9, code="no-cover"), finding(3), finding(4, file="work.csv")]
    shown = lines(found, capsys)
    assert [line.rpartition("[")[2] for line in shown if "[" in line] == ["no-reason]", "no-cover]"]
    assert "parts.csv:2:1 (2), parts.csv:3:1 (3), work.csv:4:1 (4)" in shown[2]


def test_an_error_that_says_the_same_of_many_rows_is_said_once(capsys: pytest.CaptureFixture[str]) -> None:
    """A number of a part that is none, in seven lines of work, was seven errors of two lines each."""
    same = [
        Finding(
            code="unknown-part", level="error", message="no part 9", hint="see", at=At("work.csv", line, 15)
        )
        for line in range(5, 12)
    ]
    other = Finding(code="unknown-part", level="error", message="no part 8", at=At("work.csv", 12, 15))
    assert lines([*same, other], capsys) == [
        "7 times: no part 9 [unknown-part]",
        "hint: see",
        "lines and parts: work.csv: 5, 6, 7, 8, 9, 10, 11",
        "work.csv:12:15: no part 8 [unknown-part]",
    ]


def test_cells_of_many_rows_are_named_with_their_sheet(capsys: pytest.CaptureFixture[str]) -> None:
    """Of a workbook only "job.xlsx: B2, B3" was said, which is a cell of each of its twenty sheets."""
    same = [
        Finding(
            code="unknown-person",
            level="error",
            message="nobody is AB",
            at=At("job.xlsx", sheet="work", cell=f"B{n}"),
        )
        for n in (2, 3, 4)
    ]
    assert lines(same, capsys) == [
        "3 times: nobody is AB [unknown-person]",
        "cells and parts: job.xlsx, sheet work: B2, B3, B4",
    ]


def test_all_are_counted_in_the_head(capsys: pytest.CaptureFixture[str]) -> None:
    show.findings([finding(n) for n in range(2, 15)], Catalogue("en"))
    assert capsys.readouterr().out.splitlines()[0].startswith("13 gaps")


def test_beside_an_error_no_gap_says_that_the_job_can_be_compiled(capsys: pytest.CaptureFixture[str]) -> None:
    assert not any(
        "can be compiled" in line for line in lines([finding(2, level="error"), finding(3)], capsys)
    )
    show.findings([finding(3)], Catalogue("en"))
    assert "can be compiled" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("level", "code"),
    [("error", "unknown-word"), ("private", "private-name"), ("gap", "photograph-cannot-serve")],
)
def test_what_has_its_own_reason_is_never_put_together(
    level: Level, code: str, capsys: pytest.CaptureFixture[str]
) -> None:
    shown = lines([finding(n, code, level=level, hint=f"hint {n}") for n in range(2, 15)], capsys)
    for n in range(2, 15):
        assert f"parts.csv:{n}:1: no reason for row {n} [{code}]" in shown
        assert f"hint: hint {n}" in shown


def test_other_hints_are_kept_apart(capsys: pytest.CaptureFixture[str]) -> None:
    shown = lines([finding(n, hint=f"hint {n % 2}") for n in range(2, 10)], capsys)
    assert [line for line in shown if line.startswith("hint:")] == ["hint: hint 0", "hint: hint 1"]


def test_a_name_with_line_breaks_stays_on_its_line(capsys: pytest.CaptureFixture[str]) -> None:
    show.findings([finding(2, file="a\n\x1b[2Jb.jpg")], Catalogue("en"))
    out = capsys.readouterr().out
    assert "\x1b" not in out
    assert "a\ufffd\ufffd[2Jb.jpg:2:1: no reason" in out


def test_a_name_from_a_mac_can_be_shown_by_a_console_of_one_code_page(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """HFS+ spells ü as U+0075 U+0308 (UAX 15, NFD); Windows-1252 has U+00FC alone."""
    [shown] = [line for line in lines([finding(2, file="Tu\u0308r.jpg")], capsys) if "[no-reason]" in line]
    assert shown.encode("cp1252").startswith(b"T\xfcr.jpg:2:1: ")


@pytest.mark.skipif(os.name != "posix", reason="Windows takes no such names")
def test_no_name_of_a_photograph_moves_the_cursor(tmp_path: Path) -> None:
    """ECMA-48 8.3.39: ESC [ 2 J clears the screen."""
    new_job(tmp_path / "job")
    (tmp_path / "job" / "photos" / "a\x1b[2J.jpg").write_bytes(b"")
    ran = CliRunner().invoke(program, ["photographs", str(tmp_path / "job")], standalone_mode=False)
    assert ran.exception is None
    assert "[photograph-cannot-serve]" in ran.output
    assert "[2J.jpg" in ran.output
    assert "\x1b[2J" not in ran.output


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_the_bar_comes_with_the_first_step(monkeypatch: pytest.MonkeyPatch) -> None:
    """Before it a passphrase may be asked for, in a line of its own."""
    terminal = Terminal()
    monkeypatch.setattr("sys.stderr", terminal)
    with show.progress("Photographs") as step:
        assert terminal.getvalue() == ""
        step(1, 4)
        assert "Photographs" in terminal.getvalue() and "25%" in terminal.getvalue()
        step(4, 4)
    assert "100%" in terminal.getvalue()
    with show.progress("Photographs"):
        before = terminal.getvalue()
    assert terminal.getvalue() == before


def test_a_name_that_is_no_text_is_printed_for_machines_as_text(capsys: pytest.CaptureFixture[str]) -> None:
    """RFC 8259, 8.2, on half a pair of surrogates: what reads it may refuse it, or do something else."""
    show.machine({"file": os.fsdecode(b"a\xff.pdf"), "n": [1, "\u00fc", "\U0001f4dc"]})
    out = capsys.readouterr().out
    assert out.isascii() and json.loads(out) == {"file": "a?.pdf", "n": [1, "\u00fc", "\U0001f4dc"]}


def test_words_of_several_lines_are_shown_on_one(capsys: pytest.CaptureFixture[str]) -> None:
    """A break in what was typed is no strange character; one that moves the cursor is."""
    typed = Finding(code="x", level="gap", message='of "dry\ncracked\r"', hint="a\nb", at=At(file="job.toml"))
    shown = lines([typed], capsys)
    assert shown == ['job.toml: of "dry cracked\N{REPLACEMENT CHARACTER}" [x]', "hint: a b"]
