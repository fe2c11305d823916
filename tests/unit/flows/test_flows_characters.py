"""Characters that no page can show are errors of `check`, each at its place."""

from __future__ import annotations

import tomllib
import unicodedata
from pathlib import Path

import openpyxl
import pytest
from fontTools.ttLib import TTFont

from dossier.flows import characters
from dossier.flows.check import check_job
from dossier.intake.template import new_job
from dossier.model.finding import At, Finding
from dossier.pages import fonts, script_fonts
from dossier.words import Catalogue

WORDS = Catalogue("en")
PYPROJECT = Path(__file__).parents[3] / "pyproject.toml"


def _found(folder: Path) -> list[Finding]:
    return [f for f in check_job(folder, WORDS).findings if f.code == characters.CODE]


def _job(folder: Path, change: str, to: str, file: str = "job.toml") -> Path:
    new_job(folder)
    path = folder / file
    text = path.read_text(encoding="utf-8")
    assert change in text
    path.write_text(text.replace(change, to, 1), encoding="utf-8")
    return folder


def test_a_new_job_and_any_living_script_print(tmp_path: Path) -> None:
    names = "Łódź, Ἀθῆναι, Київ, יוסף, محمد, राजेन्द्र, กรุงเทพ, 髙橋ヨシ子"
    assert _found(_job(tmp_path / "job", "Dry, the shoulder strap", f"{names}; the shoulder strap")) == []


def test_each_has_file_line_and_column(tmp_path: Path) -> None:
    folder = _job(tmp_path / "job", "Dry, the", "Dry \U00013001, the")
    parts = folder / "parts.csv"
    lines = parts.read_text(encoding="utf-8").splitlines()
    lines[1] = (
        lines[1].replace("strap", "str\U00012000ap", 1) if "strap" in lines[1] else lines[1] + "\U00012000"
    )
    parts.write_text("\n".join(lines) + "\n", encoding="utf-8")
    (folder / "notes" / "one.md").write_text("# Title\n\nSome words\nand \u1820 more\n", encoding="utf-8")
    source = (folder / "job.toml").read_text(encoding="utf-8").splitlines()
    line = next(n for n, text in enumerate(source, 1) if "\U00013001" in text)
    assert {f.at for f in _found(folder)} == {
        At("job.toml", line, source[line - 1].index("\U00013001") + 1),
        At("parts.csv", 2, lines[1].index("\U00012000") + 1),
        At("notes/one.md", 4, 5),
    }
    assert all(f.level == "error" and f.hint for f in _found(folder))
    assert "U+13001" in _found(folder)[0].message


def test_in_a_workbook_the_cell(tmp_path: Path) -> None:
    folder = tmp_path / "job"
    new_job(folder, workbook=True)
    book = openpyxl.load_workbook(folder / "job.xlsx")
    sheet = next(sheet for sheet in book if sheet.title.casefold().startswith("parts"))
    cell = next(c for row in sheet.iter_rows(min_row=2) for c in row if isinstance(c.value, str))
    cell.value += "\u1823"
    book.save(folder / "job.xlsx")
    [found] = _found(folder)
    assert (found.at.file, found.at.sheet, found.at.cell) == ("job.xlsx", sheet.title, cell.coordinate)


def test_what_turns_letters_round_is_refused(tmp_path: Path) -> None:
    [found] = _found(_job(tmp_path / "job", "Dry, the", "Dry, \u202eeht"))
    assert "right-to-left override" in found.message


def test_an_escape_is_found_where_it_is_typed(tmp_path: Path) -> None:
    [found] = _found(_job(tmp_path / "job", "Dry, the", "Dry, \\u1824 the"))
    assert found.at.file == "job.toml" and found.at.line > 1


def test_without_the_extra_its_name_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(script_fonts, "has_extra", lambda: False)
    monkeypatch.setattr(fonts, "missing_glyphs", lambda text: "".join(c for c in text if c == "수"))
    [found] = _found(_job(tmp_path / "job", "Dry, the", "Dry, 김민수, the"))
    wanted = tomllib.loads(PYPROJECT.read_text(encoding="utf-8"))["project"]["optional-dependencies"]["cjk"]
    named = found.hint.partition("-m pip install ")[2].split()
    assert named and set(named) <= set(wanted)  # fewer where what is installed is older


def test_the_usual_letters_are_in_both_faces() -> None:
    """By another reader of the font files: what is passed without the fonts can be printed."""
    sets = [set(TTFont(f.path).getBestCmap()) for f in fonts.fonts() if f.name in (fonts.SERIF, fonts.SANS)]
    usual = [chr(c) for c in range(0x20, 0x10000) if characters.SURE.fullmatch(chr(c))]
    assert len(usual) > 300
    lacking = {c for c in usual if ord(c) not in set.union(*sets)}
    assert {c for c in lacking if unicodedata.category(c) != "Cc"} <= {"\u00a0", "\u00ad"}
