"""What was probably meant is named; a photograph with another number is another photograph."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest

from dossier.intake import photographs
from dossier.intake.folder import read_job
from dossier.intake.photolist import photos_of
from dossier.intake.report import Report
from dossier.intake.schema import TABLES
from dossier.model.finding import Finding
from dossier.model.words import ANSWERS, CAME_AS, DONE, FOR_WHOM, KNOWN_FROM, STAGES


@pytest.mark.parametrize(
    ("typed", "known", "meant"),
    [
        ("orig.", CAME_AS, "original"),
        ("replaced", CAME_AS, "earlier replacement"),
        ("owner", KNOWN_FROM, "owner says"),
        ("owner", FOR_WHOM, "private owner"),
        ("private", FOR_WHOM, "private owner"),
        ("fed", DONE, "fed or protected"),
        ("cleaned and waxed", DONE, "cleaned"),
        ("re", DONE, ""),
        ("new", DONE, "replaced"),
        ("material new", ("material", "new material"), "new material"),
        ("lwo", ("low", "high"), "low"),
        ("not", DONE, "not examined"),
        ("yes", ANSWERS, "agreed"),
        ("after", STAGES, "done"),
        ("r", STAGES, ""),
    ],
)
def test_the_word_that_was_begun(typed: str, known: tuple[str, ...], meant: str) -> None:
    assert Report().nearest(typed, known) == meant


def of(folder: Path, code: str) -> list[Finding]:
    return [finding for finding in read_job(folder)[1] if finding.code == code]


@pytest.mark.parametrize(("typed", "meant"), [("IMG_0099.JPG", ""), ("IMG 0098.JPG", "IMG_0098.JPG")])
def test_a_photograph_with_another_number_is_not_proposed(job_folder: Path, typed: str, meant: str) -> None:
    (job_folder / "photos" / "C.jpg").rename(job_folder / "photos" / "IMG_0098.JPG")
    rows = f"file,stage\n{typed},received\n"
    (job_folder / "photos.csv").write_text(rows, encoding="utf-8")
    found = next(one for one in of(job_folder, "unknown-photograph") if one.at.file == "photos.csv")
    assert (f'did you mean "{meant}"' in found.hint) if meant else "did you mean" not in found.hint


def test_a_column_that_is_not_there_is_said_once(job_folder: Path) -> None:
    """Not once more for each row that has no value there."""
    rows = "Nr.,part,seen,came as\n1,lid,outside,original\n2,base,outside,original\n"
    (job_folder / "parts.csv").write_text(rows, encoding="utf-8")
    assert 'did you mean "number"' in of(job_folder, "unknown-heading")[0].hint
    assert of(job_folder, "missing-heading") == [] == of(job_folder, "missing-value")
    rows = rows.replace("Nr.", "Kennung")
    (job_folder / "parts.csv").write_text(rows, encoding="utf-8")
    assert "no column yet (number, part of" in of(job_folder, "unknown-heading")[0].hint
    assert of(job_folder, "missing-heading") == [] == of(job_folder, "missing-value")


@pytest.mark.parametrize(("heading", "code"), [("colour", "unknown-heading"), ("", "heading-blank")])
def test_where_every_heading_has_its_column_none_is_proposed(
    heading: str, code: str, job_folder: Path
) -> None:
    headings = ",".join(field.heading for field in TABLES["photos"])
    rows = f"{heading},{headings}\nblue,A.jpg,received,1,,,,,\n"
    (job_folder / "photos.csv").write_text(rows, encoding="utf-8")
    (found,) = [one for one in of(job_folder, code) if one.at.file == "photos.csv"]
    assert "every heading has its column already" in found.hint and "(-)" not in found.hint


@pytest.mark.parametrize("workbook", [False, True])
def test_a_break_in_a_name_is_a_blank(
    workbook: bool, job_folder: Path, as_workbook: Callable[[Path], Path]
) -> None:
    """In a cell the line went on because the column was narrow; a longer text keeps its paragraphs."""
    file = job_folder / "parts.csv"
    rows = file.read_text(encoding="utf-8").replace("2,handle,", '2,"carrying \r\n\nhandle",', 1)
    file.write_text(rows.replace(",dry,", ',"dry\ncracked",', 1), encoding="utf-8")
    if workbook:
        as_workbook(job_folder)
    job, _ = read_job(job_folder)
    assert job is not None
    assert (job.parts[1].part, job.parts[0].condition) == ("carrying handle", "dry\ncracked")


@pytest.mark.parametrize(
    ("price", "said"),
    [
        *((price, True) for price in ("540", "1.200,50", "540,-")),
        *((price, False) for price in ("EUR 540", "£540", "54000円", "540 francs", "by agreement")),
    ],
)
def test_a_price_without_a_currency_is_told(price: str, said: bool, job_folder: Path) -> None:
    file = job_folder / "job.toml"
    text = file.read_text(encoding="utf-8").replace('price = "420 EUR"', f'price = "{price}"', 1)
    file.write_text(text, encoding="utf-8")
    assert bool(of(job_folder, "price-without-currency")) == said


def test_a_spreadsheet_s_own_number_of_a_day(job_folder: Path) -> None:
    """45703 is 15 February 2025 (ECMA-376 part 1, 18.17.4.1: 45658 is 1 January 2025)."""
    rows = "date,who,parts,done\n45703,AB,1,cleaned\n"
    (job_folder / "work.csv").write_text(rows, encoding="utf-8")
    assert 'did you mean "2025-02-15"' in of(job_folder, "date-wrong")[0].hint
    (job_folder / "work.csv").write_text(rows.replace("45703", "14.9.26"), encoding="utf-8")
    assert 'did you mean "2026-09-14"' in of(job_folder, "date-wrong")[0].hint
    for typed, meant in (("14.9.68", "2068-09-14"), ("14.9.69", "1969-09-14")):  # POSIX strptime, %y
        (job_folder / "work.csv").write_text(rows.replace("45703", typed), encoding="utf-8")
        assert f'did you mean "{meant}"' in of(job_folder, "date-wrong")[0].hint


def test_a_path_too_long_for_windows_is_no_damaged_photograph(
    job_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """There it cannot be opened, and the system says that there is no such file."""

    def refused(path: Path, *rest: object) -> None:
        raise FileNotFoundError(2, "The system cannot find the path specified")

    monkeypatch.setattr(photographs, "too_long", lambda path: True)
    monkeypatch.setattr(photographs, "_file_facts", refused)
    assert all("Windows" in one.message for one in of(job_folder, "photograph-not-opened"))
    assert len(of(job_folder, "photograph-not-opened")) == 3


def test_the_folder_of_photographs_in_any_case(job_folder: Path) -> None:
    """Found by the check as Photos, it is opened as that by whoever works on the pictures."""
    assert photos_of(job_folder) == job_folder / "photos"
    (job_folder / "photos").rename(job_folder / "Photos")
    assert photos_of(job_folder) == job_folder / "Photos"
    job, found = read_job(job_folder)
    assert job is not None and len(job.photo_facts) == 3 and not found


def test_what_is_in_the_cloud_alone_is_no_photograph_and_no_note(job_folder: Path) -> None:
    """Until macOS 14 a mark stands for it that begins with a full stop, as nothing else that is read."""
    (job_folder / "photos" / "A.jpg").rename(job_folder / "photos" / ".A.jpg.icloud")
    (job_folder / "notes" / "handle.md").rename(job_folder / "notes" / ".handle.md.icloud")
    (job_folder / "photos" / "..DS_Store.icloud").touch()
    job, found = read_job(job_folder)
    assert job is not None and "A.jpg" not in {fact.file for fact in job.photo_facts}
    away = [one for one in found if "cloud" in one.message]
    assert [(one.code, one.level, one.at.file) for one in away] == [
        ("in-cloud", "error", "notes/.handle.md.icloud"),
        ("photograph-not-opened", "error", "photos/A.jpg"),
    ]


def test_a_mark_left_behind_beside_its_file_is_nothing(job_folder: Path) -> None:
    """The file is on this computer, whatever the mark said once: no error, and no photograph twice."""
    for name in (".parts.csv.icloud", "photos/.A.jpg.icloud", "notes/.handle.md.icloud"):
        (job_folder / name).touch()
    job, found = read_job(job_folder)
    assert job is not None and not found
    assert [fact.file for fact in job.photo_facts].count("A.jpg") == 1 and len(job.notes) == 2


@pytest.mark.parametrize(
    ("column", "typed", "meant"),
    [("covered", "?", "not said"), ("parts", "rest", "all others")],
)
def test_words_that_people_put_in_odd_places(job_folder: Path, column: str, typed: str, meant: str) -> None:
    row = {"parts": "1", "covered": "no"} | {column: typed}
    rows = f"date,who,parts,done,covered\n2026-03-09,AB,{row['parts']},cleaned,{row['covered']}\n"
    (job_folder / "work.csv").write_text(rows, encoding="utf-8")
    (found,) = [one for one in read_job(job_folder)[1] if one.at.file == "work.csv"]
    assert f'did you mean "{meant}"' in found.hint


@pytest.mark.parametrize("typed", ["?", "-", "--", "n/a", "N.A.", "k. A.", "…", "/"])
def test_a_sign_for_nothing_is_no_answer(job_folder: Path, typed: str) -> None:
    """Where the old piece went is then not said; "not known" and "none" are answers."""
    said = {}
    for words in (typed, "not known"):
        rows = f"number,part,material,difference,old piece\n2,handle,leather,{typed},{words}\n"
        (job_folder / "parts.csv").write_text(rows, encoding="utf-8")
        job, _ = read_job(job_folder)
        assert job is not None and job.parts[0].difference == typed
        said[words] = job.parts[0].old_piece, len(of(job_folder, "says-nothing"))
    assert said == {typed: ("", 1), "not known": ("not known", 0)}


def look_again(job_folder: Path, line: str) -> None:
    """Another line under "looked at"; none of that name is there."""
    job_file = job_folder / "job.toml"
    typed = job_file.read_text("utf-8")
    assert typed.count("[looked_at]\n") == 1 and line.split(" = ", maxsplit=1)[0] not in typed
    job_file.write_text(typed.replace("[looked_at]\n", f"[looked_at]\n{line}\n"), "utf-8")


@pytest.mark.parametrize(("typed", "told"), [("no", 1), ("Nothing", 1), ("nein", 1), ("no light inside", 0)])
def test_no_is_nothing_that_could_not_be_seen(job_folder: Path, typed: str, told: int) -> None:
    """ "Could not be seen: no", said a page."""
    look_again(job_folder, f'could_not_see = "{typed}"')
    job, _ = read_job(job_folder)
    assert job is not None and len(job.looked_at.could_not_see) == 1 - told
    assert len(of(job_folder, "says-nothing")) == told


@pytest.mark.parametrize(("typed", "kept"), [("no", False), ("nothing", True), ("none", True)])
def test_that_nothing_was_found_inside_is_an_answer(job_folder: Path, typed: str, kept: bool) -> None:
    look_again(job_folder, f'found_inside = "{typed}"')
    job, _ = read_job(job_folder)
    assert job is not None and (job.looked_at.found_inside == (typed,)) == kept


def test_a_sheet_of_ones_own_with_a_name_like_one_of_ours(
    job_folder: Path, as_workbook: Callable[[Path], Path]
) -> None:
    """German for a reckoning; "calculations" is read."""
    book = openpyxl.load_workbook(path := as_workbook(job_folder))
    book.create_sheet("Kalkulation").append(["Stunden", 6])
    book.save(path)
    assert [found.code for found in read_job(job_folder)[1]] == ["sheet-not-read"]


def test_of_a_folder_without_a_job_nothing_is_said_that_a_job_would_lack(tmp_path: Path) -> None:
    (tmp_path / "photographs").mkdir()
    (tmp_path / "photographs" / "photo-001.jpg").touch()
    assert [found.code for found in read_job(tmp_path)[1]] == ["no-job-file"]
