"""What the template says of a satchel is named, where nobody wrote over it, before it is signed."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest

from dossier.flows import template_words
from dossier.flows.check import check_job
from dossier.intake.template import new_job
from dossier.words import Catalogue


def left(folder: Path) -> list[str]:
    found = check_job(folder, Catalogue("en")).findings
    return sorted(str(one.at) for one in found if one.code == template_words.CODE)


def test_a_job_in_which_nothing_was_written_yet_is_the_example(tmp_path: Path) -> None:
    new_job(tmp_path / "job")
    assert left(tmp_path / "job") == []


def test_each_place_is_named_until_it_is_written_over(tmp_path: Path) -> None:
    new_job(tmp_path / "job")
    path = tmp_path / "job" / "job.toml"
    text = path.read_text(encoding="utf-8").replace('type = "satchel"', 'type = "sewing machine"')
    path.write_text(text, encoding="utf-8")
    lines = text.splitlines()
    said = [
        "Brown school",
        "The owner's",
        "A scratch",
        "K 17",
        "new end of the",
        "A new lin",
        "The buckle is",
        "the inside of",
        "Dry, the",
    ]
    places = {number for words in said for number, line in enumerate(lines, 1) if f'"{words}' in line}
    found = left(tmp_path / "job")
    assert {int(at.split(":")[1]) for at in found if at.startswith("job.toml")} == places and len(places) == 9
    rows = [at.rpartition(":")[0] for at in found if not at.startswith("job.toml")]
    assert rows == ["measurements.csv:2", "parts.csv:3", "work.csv:2", "work.csv:3"]
    path.write_text(text.replace("A scratch like a hook", "A dent in the arm"), encoding="utf-8")
    assert len(left(tmp_path / "job")) == len(found) - 1


def test_in_a_workbook_the_sheet_and_cell(tmp_path: Path) -> None:
    new_job(tmp_path / "job", workbook=True)
    book = openpyxl.load_workbook(tmp_path / "job" / "job.xlsx")
    next(row[1] for row in book["job"].iter_rows() if row[0].value == "object type").value = "sewing machine"
    book.save(tmp_path / "job" / "job.xlsx")
    found = left(tmp_path / "job")
    assert "job.xlsx, sheet inscriptions, cell A2" in found and len(found) == 13


def test_the_same_words_of_another_thing_are_nobody_s_oversight(tmp_path: Path) -> None:
    """A lining is advised and leather brushed in any workshop; the reason, the day or the place differ."""
    new_job(tmp_path / "job")
    was = len(left_of_another_object(tmp_path / "job"))
    changed = {
        "job.toml": [
            ("left of the lock", "on the handle"),
            ("under the flap", "on the lock"),
            ("The owner wishes to keep the old one.", "Too dear."),
            ('"about 1970"', '"1988"'),
        ],
        "work.csv": [("2026-03-09", "2026-05-02")],
        "measurements.csv": [("2026-03-03", "2026-05-01")],
    }
    for file, words in changed.items():
        text = (tmp_path / "job" / file).read_text(encoding="utf-8")
        for old, new in words:
            assert old in text
            text = text.replace(old, new)
        (tmp_path / "job" / file).write_text(text, encoding="utf-8")
    assert len(left(tmp_path / "job")) == was - 6


def left_of_another_object(folder: Path) -> list[str]:
    path = folder / "job.toml"
    text = path.read_text(encoding="utf-8").replace('type = "satchel"', 'type = "sewing machine"')
    path.write_text(text, encoding="utf-8")
    return left(folder)


@pytest.mark.parametrize("trade", ["doctors_bag", "mantel_clock"])
def test_no_word_of_the_demo_jobs_is_the_template_s(trade: str) -> None:
    assert left(Path(__file__).parents[3] / "demo_jobs" / trade) == []
