"""A whole job folder: the same job in both forms, all problems in one run, places, hostile folders."""

from __future__ import annotations

import datetime as dt
import hashlib
import os
from collections.abc import Callable
from pathlib import Path

import msgspec
import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from dossier.intake.codes import CODES
from dossier.intake.folder import read_job
from dossier.model.finding import At, Finding
from dossier.model.job import Job
from dossier.words import Catalogue

VECTORS = Path(__file__).parents[2] / "vectors" / "intake"


def read(folder: Path) -> Job:
    job, findings = read_job(folder)
    assert findings == []
    assert job is not None
    return job


def bare(job: Job) -> Job:
    """The job without what tells one form from the other."""
    return msgspec.structs.replace(job, inputs=(), where={}, notes=())


def codes(folder: Path) -> list[str]:
    return [finding.code for finding in read_job(folder)[1]]


def test_the_base_job_reads_without_a_finding(job_folder: Path) -> None:
    job = read(job_folder)
    assert [part.number for part in job.parts] == ["1", "2", "3", "4", "7a"]
    assert job.work[2].pieces == 9
    assert job.work[3].parts == ("3", "7a")  # all others: 1, 2 and 4 are named by other lines
    assert job.photo_rows[0].parts == ("1", "2", "3")
    assert [row.file for row in job.photo_rows] == ["A.jpg", "C.jpg", "B.jpg"]  # by time of capture
    assert [row.file for row in job.photo_rows] == [fact.file for fact in job.photo_facts]
    assert job.photo_rows[1].stage == "working"  # from its date: begun on the 10th, done on the 20th
    assert job.photo_places["A.jpg"][0].at == (125, 400)
    assert [(note.title, note.private) for note in job.notes] == [
        ("How the handle was made", False),
        ("call", True),
    ]


def test_all_others_are_no_heading_and_nothing_that_is_named_by_one(job_folder: Path) -> None:
    """A heading is the same pieces over again: with "all others" on it, what a line of their own says of the
    parts under it was contradicted. And work on a heading names the parts under it. What was missing was not
    left as found.
    """
    for named in ("22", "20"):
        parts = ["number,part,part of,pieces,came as", "1,saddle,,1,", "20,bridle,,3,", "21,headstall,20,1,"]
        parts += ["22,reins,20,2,", "30,cinch,,1,", "31,lid,,1,", "32,lining,31,1,", "33,stirrups,,2,missing"]
        (job_folder / "parts.csv").write_text("\n".join(parts) + "\n", encoding="utf-8")
        work = ["date,who,parts,done", f"2026-03-12,AB,{named},cleaned", "2026-03-12,AB,31,cleaned"]
        work += ["2026-03-12,AB,all others,left as found"]
        (job_folder / "work.csv").write_text("\n".join(work) + "\n", encoding="utf-8")
        for name in ("photos.csv", "marks.csv", "measurements.csv"):
            (job_folder / name).unlink(missing_ok=True)
        job, _ = read_job(job_folder)
        assert job is not None
        left = ("1", "21", "30", "32") if named == "22" else ("1", "30", "32")
        assert job.work[2].parts == left  # a lid that holds a lining is no heading: 1 piece and 1 piece


@pytest.mark.parametrize(
    ("done", "parts"), [("left as found", ()), ("not examined", ()), ("cleaned", ()), ("added", ("2",))]
)
def test_all_others_are_none_where_only_what_was_missing_is_left(
    done: str, parts: tuple[str, ...], job_folder: Path
) -> None:
    """A handle that never came was "left as found", beside "still missing"."""
    (job_folder / "parts.csv").write_text("number,part,came as\n1,body,original\n2,handle,missing\n")
    (job_folder / "work.csv").write_text(f"parts,done\n1,cleaned\nall others,{done}\n")
    for name in ("photos.csv", "marks.csv", "measurements.csv"):
        (job_folder / name).unlink(missing_ok=True)
    job, findings = read_job(job_folder)
    assert job is not None and job.work[1].parts == parts
    assert ("no-other-parts" in {one.code for one in findings}) == (not parts)


@pytest.mark.skipif(os.path.normcase("A") == "a", reason="case does not tell two files apart here")
def test_photographs_told_apart_by_case_alone_keep_their_own_lines(job_folder: Path) -> None:
    """POSIX names differ by case (XBD 3.170); a name nobody has is found whatever its case, as on Windows."""
    photos = job_folder / "photos"
    if (photos / "a.JPG").exists():
        pytest.skip("this disk does not tell case apart")
    (photos / "a.jpg").write_bytes((photos / "B.jpg").read_bytes())
    (photos / "b.jpg").write_bytes(b"")
    with (job_folder / "photos.csv").open("a", encoding="utf-8") as table:
        table.write("a.jpg\nb.jpg\n")
    job, findings = read_job(job_folder)
    assert job is not None
    rows = {row.file: row for row in job.photo_rows}
    assert rows.keys() == {"A.jpg", "B.jpg", "C.jpg", "a.jpg"}
    assert rows["A.jpg"].parts == ("1", "2", "3")
    assert rows["a.jpg"].parts == ()
    assert [(f.code, f.at.file) for f in findings] == [("photograph-cannot-serve", "photos/b.jpg")]


def test_every_row_has_its_place(job_folder: Path) -> None:
    job = read(job_folder)
    assert job.where["parts/7a"] == At("parts.csv", 6, 1)
    assert job.where["parts/2.told_by"] == At("parts.csv", 3, 84)
    assert job.where["work/3"] == At("work.csv", 4, 1)
    assert job.where["photos/B.jpg"] == At("photos.csv", 3, 1)
    assert job.where["photos/C.jpg"] == At("photos/C.jpg")
    assert job.where["job/object.maker"] == At("job.toml", 11, 10)
    assert job.where["job/condition"] == At("job.toml", 3, 1)
    assert job.where["agreements/A1"] == At("job.toml", 38, 1)
    assert job.where["inscriptions/1"] == At("job.toml", 33, 1)
    assert job.where["notes/2"] == At("notes/private/call.md", 1)
    assert job.where["workshop"] == At("workshop.toml")
    keys = [f"parts/{row.number}" for row in job.parts] + [f"work/{row.number}" for row in job.work]
    keys += [f"photos/{row.file}" for row in job.photo_rows] + ["history/1", "values/1", "advised/1"]
    assert set(keys) <= set(job.where)


def test_inputs_are_the_bytes_that_were_read(job_folder: Path) -> None:
    inputs = {name: (size, digest) for name, size, digest in read(job_folder).inputs}
    assert set(inputs) == {
        "workshop.toml",
        "job.toml",
        "parts.csv",
        "work.csv",
        "photos.csv",
        "marks.csv",
        "measurements.csv",
        "notes/handle.md",
        "notes/private/call.md",
    }
    for name, (size, digest) in inputs.items():
        data = (job_folder / name).read_bytes()
        assert (size, digest) == (len(data), hashlib.sha256(data).hexdigest())


def test_the_same_job_as_a_workbook_is_the_same_job(
    job_folder: Path, as_workbook: Callable[[Path], Path]
) -> None:
    plain = read(job_folder)
    as_workbook(job_folder)
    book = read(job_folder)
    assert bare(book) == bare(plain)
    assert [name for name, _, _ in book.inputs][1] == "job.xlsx"
    assert book.where["parts/7a"] == At("job.xlsx", sheet="parts", cell="A6")
    assert set(plain.where) <= set(book.where)


def test_typed_cells_of_a_workbook(job_folder: Path, as_workbook: Callable[[Path], Path]) -> None:
    """Numbers and dates as a spreadsheet program stores them, not as text."""
    path = as_workbook(job_folder)
    plain = bare(read(job_folder))
    book = openpyxl.load_workbook(path)
    book["parts"]["A2"], book["parts"]["D5"] = 1, 64
    book["work"]["C2"] = 1
    book["work"]["A2"] = dt.datetime(2026, 3, 10)
    book["measurements"]["B2"] = 312
    book["photos"]["F3"] = True
    book.save(path)
    assert bare(read(job_folder)) == plain


def test_a_workbook_without_parts_is_sent_to_its_sheet(
    job_folder: Path, as_workbook: Callable[[Path], Path]
) -> None:
    path = as_workbook(job_folder)
    book = openpyxl.load_workbook(path)
    for name in ("parts", "work", "photos", "marks", "measurements", "advised", "history"):
        book[name].delete_rows(2, 20)
    book.save(path)
    _, findings = read_job(job_folder)
    assert [(f.code, f.at) for f in findings] == [("no-parts", At("job.xlsx", sheet="parts"))]


def test_no_stitch_hole_counted_is_a_number_and_blank_is_not_said(
    job_folder: Path, as_workbook: Callable[[Path], Path]
) -> None:
    path = as_workbook(job_folder)
    book = openpyxl.load_workbook(path)
    columns = {cell.value: cell.column for cell in book["work"][1]}
    book["work"].cell(2, columns["holes before"]).value = 0
    book["work"].cell(2, columns["holes after"]).value = 64
    book.save(path)
    first, second, *_ = read(job_folder).work
    assert (first.holes_before, first.holes_after) == (0, 64)
    assert (second.holes_before, second.holes_after) == (None, None)


def test_a_range_that_excel_made_a_date_is_said(
    job_folder: Path, as_workbook: Callable[[Path], Path]
) -> None:
    path = as_workbook(job_folder)
    book = openpyxl.load_workbook(path)
    book["work"]["C2"] = dt.datetime(2026, 2, 4)
    book.save(path)
    _, findings = read_job(job_folder)
    assert [(f.code, f.at) for f in findings] == [
        ("range-as-date", At("job.xlsx", sheet="work", cell="C2")),
    ]
    assert "2 to 4" in findings[0].hint


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("separator", [";", "\t"])
def test_files_as_other_programs_save_them(job_folder: Path, encoding: str, separator: str) -> None:
    expected = bare(read(job_folder))
    for name in ("parts", "work", "photos", "measurements"):  # no quoted cell with a comma in these
        path = job_folder / f"{name}.csv"
        text = path.read_text().replace(",", separator).replace("\n", "\r\n")
        path.write_bytes(text.encode(encoding))
    assert bare(read(job_folder)) == expected


def test_a_mark_that_stands_twice_is_no_letter(job_folder: Path) -> None:
    """A marked UTF-8 file made UTF-16 by a converter (iconv) has the mark of both."""
    expected = bare(read(job_folder))
    path = job_folder / "parts.csv"
    path.write_bytes(("\ufeff" + path.read_text()).encode("utf-16"))
    assert bare(read(job_folder)) == expected


def test_all_problems_of_all_files_in_one_run(job_folder: Path) -> None:
    """Every bad vector's file that is a plain overlay on another file, together."""
    (job_folder / "job.toml").write_text((VECTORS / "toml-syntax/over/job.toml").read_text())
    (job_folder / "workshop.toml").write_text((VECTORS / "time-zone-unknown/over/workshop.toml").read_text())
    (job_folder / "parts.csv").write_text((VECTORS / "count-wrong/over/parts.csv").read_text())
    (job_folder / "work.csv").write_text((VECTORS / "unknown-word/over/work.csv").read_text())
    (job_folder / "marks.csv").write_text((VECTORS / "place-wrong/over/marks.csv").read_text())
    job, findings = read_job(job_folder)
    assert job is not None and job.number == "2026-07"  # what can be read of the file is
    assert [(f.code, str(f.at)) for f in findings] == [
        ("toml-syntax", "job.toml:2:12"),
        ("place-wrong", "marks.csv:2:15"),
        ("count-wrong", "parts.csv:5:10"),
        ("unknown-word", "work.csv:2:18"),
        ("time-zone-unknown", "workshop.toml:6:1"),
    ]


def test_workshop_in_a_folder_above_and_the_nearest_wins(job_folder: Path) -> None:
    above = job_folder.parent / "workshop.toml"
    above.write_text((job_folder / "workshop.toml").read_text().replace("Bench and Last", "Above"))
    assert read(job_folder).workshop.name == "Bench and Last"
    (job_folder / "workshop.toml").unlink()
    job = read(job_folder)
    assert job.workshop.name == "Above"
    assert job.where["workshop"] == At("../workshop.toml")


def test_reading_writes_nothing(job_folder: Path) -> None:
    def state() -> dict[str, tuple[int, int]]:
        found = {}
        for root, _, files in os.walk(job_folder):
            for name in files:
                status = (Path(root) / name).stat()
                found[f"{root}/{name}"] = (status.st_mtime_ns, status.st_size)
        return found

    before = state()
    read_job(job_folder)
    assert state() == before


def test_every_code_has_words_and_no_words_are_left_over() -> None:
    words = Catalogue("en").table("intake.finding")
    assert set(words) == set(CODES)
    assert all(set(entry) == {"message", "hint"} for entry in words.values())


def test_a_pipe_is_not_waited_for(job_folder: Path, pipe: Callable[[Path], None]) -> None:
    (job_folder / "work.csv").unlink()
    pipe(job_folder / "work.csv")
    assert codes(job_folder) == ["cannot-read"]


@pytest.mark.parametrize("entry", ["a paper of 1981", "x" * 400, "notes"])
def test_what_is_no_earlier_record_is_told_where_a_paper_goes(job_folder: Path, entry: str) -> None:
    text = (job_folder / "job.toml").read_text()
    (job_folder / "job.toml").write_text(f'earlier_records = ["{entry}"]\n{text}')
    _, (found,) = read_job(job_folder)
    assert (found.code, str(found.at)) == ("earlier-record-not-here", "job.toml:1:1")
    assert "a paper says is typed in under history" in found.hint


def test_links_inside_the_folder_are_read_and_endless_ones_said(job_folder: Path) -> None:
    (job_folder / "work.csv").rename(job_folder / "log.txt")
    (job_folder / "work.csv").symlink_to("log.txt")
    assert codes(job_folder) == []
    (job_folder / "notes" / "round.md").symlink_to("round.md")
    assert codes(job_folder) in (["link-outside"], ["cannot-read"])


FILES = ["job.toml", "workshop.toml", "parts.csv", "work.csv", "photos.csv", "marks.csv", "measurements.csv"]


@settings(deadline=None, max_examples=80, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    name=st.sampled_from(FILES),
    data=st.binary(max_size=60),
    place=st.floats(0, 1),
    cut=st.integers(0, 40),
)
def test_any_damage_to_a_file_gives_findings_never_a_crash(
    job_folder: Path, name: str, data: bytes, place: float, cut: int
) -> None:
    path = job_folder / name
    whole = (VECTORS / "base" / name).read_bytes()
    at = int(place * len(whole))
    path.write_bytes(whole[:at] + data + whole[at + cut :])
    try:
        job, findings = read_job(job_folder)
    finally:
        path.write_bytes(whole)
    assert all(isinstance(finding, Finding) for finding in findings)
    assert job is not None or any(finding.level == "error" for finding in findings)


@pytest.fixture
def book_folder(job_folder: Path, as_workbook: Callable[[Path], Path]) -> Path:
    as_workbook(job_folder)
    return job_folder


@settings(deadline=None, max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.binary(min_size=1, max_size=40), place=st.floats(0, 1))
def test_any_damage_to_a_workbook_gives_findings_never_a_crash(
    book_folder: Path, data: bytes, place: float
) -> None:
    path = book_folder / "job.xlsx"
    whole = path.read_bytes()
    at = int(place * len(whole))
    path.write_bytes(whole[:at] + data + whole[at + len(data) :])
    try:
        _, findings = read_job(book_folder)
    finally:
        path.write_bytes(whole)
    assert all(isinstance(finding, Finding) for finding in findings)


def test_photographs_nobody_may_list_are_an_error(job_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No dossier is signed without its photographs because the folder is closed to us (EACCES, POSIX)."""
    listing = Path.iterdir

    def closed(self: Path) -> object:
        if self.name == "photos":
            raise PermissionError(13, "Permission denied")
        return listing(self)

    monkeypatch.setattr(Path, "iterdir", closed)
    _, findings = read_job(job_folder)
    assert [(f.code, f.level, f.at.file) for f in findings if f.level == "error"] == [
        ("cannot-read", "error", "photos/")
    ]


def test_the_day_of_the_hand_over_is_when_the_object_went_back(job_folder: Path) -> None:
    """A receipt of October stood in a dossier whose cover said that it was not yet returned."""
    job_file = job_folder / "job.toml"
    typed = job_file.read_text("utf-8")
    assert "returned" not in typed and typed.count("[handover]") == 1
    job_file.write_text(typed.replace("[handover]", '[handover]\ndate = "2026-04-02"'), encoding="utf-8")
    job, _ = read_job(job_folder)
    assert job is not None and job.dates.returned == job.handover.date == "2026-04-02"
    assert job.where["job/dates.returned"] == job.where["job/handover.date"]
