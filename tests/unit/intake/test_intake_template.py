"""The template is itself a valid job in both forms; from an earlier record it follows the stated rule.

The rule for `came as` is worked out by hand below; drop-downs are read back with openpyxl.
"""

from __future__ import annotations

import base64
import csv
import hashlib
import io
import json
import os
import zipfile
from pathlib import Path
from typing import Any

import msgspec
import openpyxl
import pytest

from dossier.errors import OutputError, UnreadableError
from dossier.intake.draft_earlier import parts_carried
from dossier.intake.folder import read_job
from dossier.intake.schema import LISTS, SECTIONS, TABLES
from dossier.intake.template import new_job
from dossier.intake.template_plain import table_csv
from dossier.model.counted import PartNow
from dossier.model.job import Job
from dossier.model.plain import to_plain
from dossier.model.record import Apart, Digest, Payload, WorkshopId
from dossier.model.rows import Claim, Dates, Feature, Mark, Object, Part, Protected
from dossier.model.words import NOW


def read(folder: Path) -> Job:
    job, findings = read_job(folder)
    assert findings == []
    assert job is not None
    return job


@pytest.mark.parametrize("workbook", [False, True])
def test_a_new_job_is_valid_and_numbered_after_its_folder(tmp_path: Path, workbook: bool) -> None:
    new_job(tmp_path / "2026-14", workbook=workbook)
    job = read(tmp_path / "2026-14")
    assert job.number == "2026-14"
    assert len(job.parts) >= 3
    assert len(job.work) >= 3
    assert (tmp_path / "2026-14" / "photos").is_dir()
    assert (tmp_path / "2026-14" / "job.xlsx").exists() == workbook


@pytest.mark.parametrize("workbook", [False, True])
@pytest.mark.parametrize(("people", "by"), [('[[people]]\nmark = "EK"\n', "EK"), ("", "")])
def test_a_new_job_of_a_workshop_that_is_there_is_by_its_people(
    tmp_path: Path, workbook: bool, people: str, by: str
) -> None:
    """The second job is as valid as the first: nobody in it is unknown."""
    (tmp_path / "workshop.toml").write_text(f'name = "Ferrule & Rib"\n{people}', encoding="utf-8")
    new_job(tmp_path / "2026-15", workbook=workbook)
    assert {row.who for row in read(tmp_path / "2026-15").work} == {by}


def test_both_forms_say_the_same(tmp_path: Path) -> None:
    for form in ("plain", "workbook"):
        new_job(tmp_path / form / "job", workbook=form == "workbook")
    one, other = (read(tmp_path / form / "job") for form in ("plain", "workbook"))
    assert [msgspec.structs.replace(job, inputs=(), where={}) for job in (one, other)].count(
        msgspec.structs.replace(one, inputs=(), where={})
    ) == 2


def test_the_template_speaks_of_every_key_and_column(tmp_path: Path) -> None:
    new_job(tmp_path / "job")
    text = (tmp_path / "job" / "job.toml").read_text()
    for table, fields in LISTS.items():
        assert f"[[{table}]]" in text
        assert all(f"{field.name} = " in text for field in fields)
    explained = (tmp_path / "job" / "read me.txt").read_text()
    assert all(f"  {field.heading} " in explained for fields in TABLES.values() for field in fields)


def test_uncommenting_every_line_leaves_it_readable(tmp_path: Path) -> None:
    """A person takes the # away from a line; then every key must still be one that is known."""
    new_job(tmp_path / "job")
    path = tmp_path / "job" / "job.toml"
    lines = path.read_text().split("\n")
    opened = [
        line[2:] if line.startswith("# ") and ("= " in line or line.startswith("# [")) else line
        for line in lines
    ]
    path.write_text("\n".join(opened))
    _, findings = read_job(tmp_path / "job")
    assert {finding.code for finding in findings} <= {"missing-value"}


def test_the_workbook_has_a_drop_down_for_every_closed_list(tmp_path: Path) -> None:
    new_job(tmp_path / "job", workbook=True)
    book = openpyxl.load_workbook(tmp_path / "job" / "job.xlsx")
    assert book.sheetnames[:2] == ["read me", "job"]
    for table, fields in (TABLES | LISTS).items():
        sheet = book[table.replace("_", " ")]
        assert sheet.freeze_panes == "B2"
        assert [cell.value for cell in sheet[1]] == [field.heading for field in fields]
        lists = {
            str(validation.sqref).split(":")[0]: validation.formula1.strip('"').split(",")
            for validation in sheet.data_validations.dataValidation
        }
        for cell, field in zip(sheet[1], fields, strict=True):
            expected = ["yes", "no"] if field.kind == "yes" else list(field.words)
            assert lists.get(f"{cell.column_letter}2", []) == expected
            form = {"date": "yyyy-mm-dd", "count": "General", "tally": "General"}.get(field.kind, "@")
            assert sheet.column_dimensions[cell.column_letter].number_format == form


def test_a_row_of_the_workbook_is_as_high_as_its_lines_and_grows(tmp_path: Path) -> None:
    """ISO/IEC 29500-1, 18.3.1.73: `ht` in points; with `customHeight` it would stay what it is. LibreOffice
    7.4 gives a row without it one line, so that the second stood over the row below.
    """
    new_job(tmp_path / "job", workbook=True)
    sheet = openpyxl.load_workbook(tmp_path / "job" / "job.xlsx")["job"]
    (materials,) = (row for row in sheet.iter_rows() if row[0].value == "object materials")
    assert materials[1].value.count("\n") == 2
    with zipfile.ZipFile(tmp_path / "job" / "job.xlsx") as book:
        text = book.read("xl/worksheets/sheet2.xml").decode()
    assert f'<row r="{materials[0].row}" ht="45">' in text
    assert "customHeight" not in text


def test_a_cell_with_any_mark_that_parts_cells_stands_in_quotation_marks() -> None:
    """LibreOffice parts at commas, semicolons and tabs unless told otherwise: "1-5; 8" was two cells."""
    typed = {"parts": "1-5; 8", "how": 'soft "hog"\tbrush', "product": "soap, neutral", "test": "tried"}
    text = table_csv(TABLES["work"], [typed]).decode("utf-8-sig")
    heads, row = csv.reader(io.StringIO(text, newline=""))
    assert {name: cell for name, cell in zip(heads, row, strict=True) if cell} == typed
    assert {'"1-5; 8"', '"soft ""hog""\tbrush"', "tried"} <= {*text.splitlines()[1].split(",")}


def test_a_folder_with_contents_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "job").mkdir()
    new_job(tmp_path / "job")  # an empty folder is as good as none
    before = sorted((path, path.stat().st_mtime_ns) for path in tmp_path.rglob("*"))
    with pytest.raises(OutputError):
        new_job(tmp_path / "job")
    (tmp_path / "file").write_text("x")
    with pytest.raises(OutputError):
        new_job(tmp_path / "file")
    (tmp_path / "file").unlink()
    assert sorted((path, path.stat().st_mtime_ns) for path in tmp_path.rglob("*")) == before


@pytest.mark.parametrize("workbook", [False, True])
def test_who_stands_in_an_empty_folder_still_stands_in_the_job(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, workbook: bool
) -> None:
    """A shell keeps the folder itself (POSIX chdir), not its name; Windows removes none that is in use."""
    home = tmp_path / "2026-15"
    home.mkdir()
    before = home.stat().st_ino
    monkeypatch.chdir(home)
    new_job(Path(), workbook=workbook)
    assert read(Path.cwd()).number == "2026-15"
    assert home.stat().st_ino == before
    assert [p.name for p in tmp_path.iterdir()] == ["2026-15"]
    assert not [p for p in home.iterdir() if p.name.startswith(".")]


@pytest.mark.parametrize("there", [False, True])
def test_no_folder_of_a_job_is_its_makers_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, there: bool
) -> None:
    """Mode 0o700 shuts everybody else out on Windows too, for good (Python 3.13, os.mkdir)."""
    modes: list[int] = []
    real = os.mkdir

    def mkdir(path: object, mode: int = 0o777, **more: Any) -> None:
        modes.append(mode)
        real(path, mode, **more)  # type: ignore[arg-type]

    if there:
        (tmp_path / "job").mkdir()
    monkeypatch.setattr(os, "mkdir", mkdir)
    new_job(tmp_path / "job")
    assert set(modes) == {0o777}


def test_a_workshop_above_is_not_written_again(tmp_path: Path) -> None:
    new_job(tmp_path / "one")
    (tmp_path / "one" / "workshop.toml").rename(tmp_path / "workshop.toml")
    new_job(tmp_path / "two")
    assert not (tmp_path / "two" / "workshop.toml").exists()
    assert read(tmp_path / "two").workshop.people[0].mark == "AB"


def now(part: str, state: Any, low: int = 1, high: int | None = None) -> PartNow:
    return PartNow(part=part, now=state, pieces_low=low, pieces_high=low if high is None else high)


CARRIED = {
    "original, left as found": "original",
    "original, no work recorded": "original",
    "original, treated": "original",
    "original, new surface": "original",
    "original, part renewed": "original",
    "earlier replacement": "earlier replacement",
    "later addition": "later addition",
    "from another object": "from another object",
    "new, like for like": "earlier replacement",
    "new, with a difference": "earlier replacement",
    "new, likeness not known": "earlier replacement",
    "missing": "missing",
    "taken away": "missing",
    "not known": "not known",
}


@pytest.mark.parametrize("state", NOW)
def test_what_is_there_now_is_what_comes_in_next(state: str) -> None:
    part = Part(number="3", part="lining", came_as="original", material="cotton", new_material="linen")
    part = msgspec.structs.replace(part, known_from="seen")
    (row,) = parts_carried((part,), (now("3", state),))
    assert row["number"] == "3"
    assert row["came_as"] == CARRIED[state]
    assert row["material"] == ("linen" if state.startswith("new,") else "cotton")
    assert row["known_from"] == ("not known" if state == "not known" else "paper")


@pytest.mark.parametrize("known_from", ["our opinion", "owner says", "not known"])
def test_what_was_an_opinion_is_none_the_better_known(known_from: Any) -> None:
    """Nor is it this workshop's own, or what the present owner says."""
    part = Part(number="3", part="lining", came_as="original", known_from=known_from)
    kept = parts_carried((part,), (now("3", "original, treated"),))[0]["known_from"]
    own = parts_carried((part,), (now("3", "original, treated"),), own=True)[0]["known_from"]
    assert kept == "not known"
    assert own == ("our opinion" if known_from == "our opinion" else "not known")
    assert parts_carried((part,), (now("3", "new, like for like"),))[0]["known_from"] == "paper"
    assert parts_carried((part,), (now("3", "missing"),))[0]["known_from"] == "paper"


def test_a_heading_whose_part_is_of_another_material_now_stays_one() -> None:
    """Else its pieces were counted beside those of its parts in the job that follows."""
    whole = Part(number="3", part="wallpapers", pieces=2, material="paper")
    hall = Part(number="4", part="of the hall", part_of="3", came_as="original", material="paper")
    parlour = msgspec.structs.replace(hall, number="5", new_material="paper, acid free")
    states = (now("4", "original, treated"), now("5", "new, with a difference"))
    rows = parts_carried((whole, hall, parlour), states)
    assert [row.get("material", "") for row in rows] == ["", "paper", "paper, acid free"]
    same = parts_carried((whole, hall, parlour), (states[0], now("5", "original, treated")))
    assert [row["material"] for row in same] == ["paper"] * 3
    papers = (  # of all these together, of which one says no material any more
        Part(number="1", part="papers", pieces=8, material="paper and silk"),
        Part(number="2", part="silks", part_of="1", pieces=6, material="silk"),
        Part(number="3", part="blue", part_of="2", pieces=3, came_as="original", material="silk"),
        Part(number="4", part="red", part_of="2", pieces=3, came_as="original", new_material="brass"),
        Part(number="5", part="maps", part_of="1", pieces=2, came_as="original", material="paper"),
    )
    red = now("4", "new, with a difference", 3)
    states = (now("3", "original, treated", 3), red, now("5", "original, treated", 2))
    rows = parts_carried(papers, states)
    assert [row.get("material", "") for row in rows] == ["", "", "silk", "brass", "paper"]


def test_a_replaced_later_addition_stays_a_later_addition() -> None:
    part = Part(number="3", part="tag", came_as="later addition")
    assert parts_carried((part,), (now("3", "new, like for like"),))[0]["came_as"] == "later addition"


def test_nine_of_sixty_four_pins_become_a_row_of_their_own_number() -> None:
    """64 pins, 9 replaced: 55 come as original under the old number, 9 under an unused one (4.2 is taken)."""
    parts = (
        Part(number="4", part="pin", pieces=64, came_as="original"),
        Part(number="4.2", part="box", came_as="original"),
    )
    rows = parts_carried(
        parts,
        (
            now("4", "original, no work recorded", 50),
            now("4", "original, treated", 5),
            now("4", "new, like for like", 9),
            now("4.2", "taken away"),
        ),
    )
    assert [(row["number"], row["pieces"], row["came_as"]) for row in rows] == [
        ("4", "55", "original"),
        ("4.3", "9", "earlier replacement"),
        ("4.2", "1", "missing"),
    ]


def carried(part: Part, states: tuple[PartNow, ...]) -> list[tuple[Any, Any, Any]]:
    return [(row["number"], row["pieces"], row["came_as"]) for row in parts_carried((part,), states)]


def test_pieces_whose_numbers_are_not_certain_come_as_a_range() -> None:
    """Of 64 pins 30 cleaned and 30 to 39 replaced: 64 - 39 = 25 are surely original, 30 surely new, and of
    the 9 that are left nobody knows which they are.
    """
    part = Part(number="4", part="pin", pieces=64, came_as="original", material="brass", new_material="steel")
    states = (now("4", "original, treated", 25, 34), now("4", "new, like for like", 30, 39))
    assert carried(part, states) == [
        ("4", "30", "earlier replacement"),
        ("4.2", "25", "original"),
        ("4.3", "9", "not known"),
    ]
    rows = parts_carried((part,), states)
    assert [row.get("material", "") for row in rows] == ["steel", "brass", ""]


def test_ranges_of_one_kind_that_are_certain_together_are_certain() -> None:
    """9 of 64 replaced, 20 cleaned, 20 fed: how many of 55 were treated is a range, that 55 came is none."""
    part = Part(number="4", part="pin", pieces=64, came_as="original")
    states = (
        now("4", "new, like for like", 9),
        now("4", "original, treated", 11, 40),
        now("4", "original, no work recorded", 15, 44),
    )
    assert carried(part, states) == [("4", "55", "original"), ("4.2", "9", "earlier replacement")]


def test_a_rest_that_cannot_be_original_is_not_split() -> None:
    """20 are original; of 44 others some are gone and some new. "Not known" for the rest would say that more
    may be original.
    """
    part = Part(number="4", part="pin", pieces=64, came_as="original")
    states = (
        now("4", "original, no work recorded", 20),
        now("4", "taken away", 10, 34),
        now("4", "new, like for like", 10, 34),
    )
    assert carried(part, states) == [("4", "64", "not known")]


def test_the_measure_of_a_row_that_is_split_is_not_counted_twice() -> None:
    """64 pins of 128 g together: 128 g beside the 55 and again beside the 9 would be 256 g."""
    states = (now("4", "original, no work recorded", 55), now("4", "new, like for like", 9))
    for measure, kept in (("128 g", ""), ("2 g each", "2 g each")):
        part = Part(number="4", part="pin", pieces=64, came_as="original", measure=measure)
        assert [row.get("measure", "") for row in parts_carried((part,), states)] == [kept, kept]
        assert parts_carried((part,), states[:1])[0]["measure"] == measure


def b64(data: bytes) -> str:
    return base64.urlsafe_b64encode(data).rstrip(b"=").decode()


def sealed_record(language: str = "en") -> tuple[bytes, bytes]:
    """A record in the sealed form with one private mark; written here by RFC 9901, not by our own code."""
    disclosure = b64(json.dumps(["salt", {"text": "Q.Q.", "where": "flap", "private": True}]).encode())
    digest = b64(hashlib.sha256(disclosure.encode()).digest())
    payload = Payload(
        format="1.0",
        sd_alg="sha-256",
        iat=0,
        record="urn:uuid:00000000-0000-4000-8000-000000000001",
        job="2020-3",
        language=language,
        workshop=WorkshopId(name="Bench and Last"),
        object=Object(type="bag", maker=Claim(what="=not marked", known_from="seen"), materials=("calf",)),
        know_it_by=(Feature(what="a scratch", photograph="photo-001.jpg"),),
        marks=(Mark(text="K 17", photograph="photo-002.jpg"),),
        for_whom="dealer",
        dates=Dates(returned="2020-05-01"),
        parts=(
            Part(number="1", part="body", came_as="original"),
            Part(number="2", part="-strap", part_of="1"),
        ),
        parts_now=(now("1", "original, treated"), now("2", "new, like for like")),
        apart=Apart(private_marks=(Digest(digest=digest),)),
        protected=(
            Protected(species="Varanus salvator", parts=("1", "2"), permit="AT-12", known_from="paper"),
            Protected(species="Caretta caretta", parts=("2",)),  # which has been taken off
        ),
    )
    plain = to_plain(payload)
    signed = json.dumps(plain, sort_keys=True, separators=(",", ":")).encode()
    header = {"disclosures": [disclosure]}
    return json.dumps({"payload": b64(signed), "signatures": [{"header": header}]}).encode(), signed


@pytest.mark.parametrize("workbook", [False, True])
@pytest.mark.parametrize("as_folder", [False, True])
def test_from_an_earlier_record(tmp_path: Path, workbook: bool, as_folder: bool) -> None:
    data, signed = sealed_record()
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "record.json").write_bytes(data)
    earlier = tmp_path / "out" if as_folder else tmp_path / "out" / "record.json"
    new_job(tmp_path / "again", workbook=workbook, earlier=earlier)
    job = read(tmp_path / "again")
    assert job.object == Object(
        type="bag", maker=Claim(what="=not marked", known_from="paper"), materials=("calf",)
    )
    assert [mark.known_from for mark in job.marks] == ["paper", "paper"]
    assert [(part.number, part.part, part.came_as) for part in job.parts] == [
        ("1", "body", "original"),
        ("2", "-strap", "earlier replacement"),
    ]
    assert [(mark.text, mark.private) for mark in job.marks] == [("K 17", False), ("Q.Q.", True)]
    assert job.know_it_by == (Feature(what="a scratch"),)
    assert job.for_whom == "dealer"
    assert job.owner is None
    (record,) = job.earlier_records
    assert record.record == "urn:uuid:00000000-0000-4000-8000-000000000001"
    assert record.sha256 == hashlib.sha256(signed).hexdigest()
    assert (record.job, record.workshop, record.date) == ("2020-3", "Bench and Last", "2020-05-01")
    (species,) = job.protected
    assert (species.species, species.parts, species.permit) == ("Varanus salvator", ("1",), "AT-12")


@pytest.mark.parametrize("workbook", [False, True])
@pytest.mark.parametrize(("language", "taken"), [("de", "de"), ("xx", "en")])
def test_a_job_that_follows_another_is_in_its_language(
    tmp_path: Path, workbook: bool, language: str, taken: str
) -> None:
    """What is taken over is in it, and its figures are read by it; the workshop writes English."""
    (tmp_path / "record.json").write_bytes(sealed_record(language)[0])
    new_job(tmp_path / "again", workbook=workbook, earlier=tmp_path / "record.json")
    assert read(tmp_path / "again").language == taken


@pytest.mark.parametrize("workbook", [False, True])
def test_what_reaches_the_receipt_alone_says_so_where_it_is_typed(workbook: bool, tmp_path: Path) -> None:
    new_job(tmp_path / "job", workbook=workbook)
    if workbook:
        rows = openpyxl.load_workbook(tmp_path / "job" / "job.xlsx")["job"].iter_rows(values_only=True)
        told = {str(row[0]): str(row[3]) for row in rows}
        of_receipt = [line for line, help_ in told.items() if "not in the dossier" in help_]
        assert all(line.startswith("taken in ") for line in of_receipt)
        assert len(of_receipt) == len(SECTIONS["taken_in"])
        return
    text = (tmp_path / "job" / "job.toml").read_text(encoding="utf-8")
    block = text.split("[taken_in]")[1].split("\n\n")[0].strip().splitlines()
    assert len(block) == len(SECTIONS["taken_in"])
    assert all("On the receipt alone, not in the dossier." in line for line in block)


@pytest.mark.parametrize(
    ("workshop", "made"), [("Another Bench", "not known"), ("bench  and LAST", "our opinion")]
)
def test_another_workshops_opinion_is_not_this_ones(workshop: str, made: str, tmp_path: Path) -> None:
    """Of the object and its marks as of its parts; a workshop's own record has its own opinion."""
    (tmp_path / "workshop.toml").write_text(f'name = "{workshop}"\n', encoding="utf-8")
    sealed = json.loads(sealed_record()[0])
    payload = json.loads(base64.urlsafe_b64decode(sealed["payload"] + "=="))
    payload["object"]["made"] = {"what": "about 1925", "known_from": "our opinion"}
    payload["object"]["place"] = {"what": "Leeds", "known_from": "owner says"}
    sealed["payload"] = b64(json.dumps(payload).encode())
    (tmp_path / "record.json").write_text(json.dumps(sealed), encoding="utf-8")
    new_job(tmp_path / "again", earlier=tmp_path / "record.json")
    job = read(tmp_path / "again")
    assert (job.object.made.what, job.object.made.known_from) == ("about 1925", made)
    assert (job.object.place.what, job.object.place.known_from) == ("Leeds", "not known")
    assert {mark.known_from for mark in job.marks} == {"paper"}


@pytest.mark.parametrize(
    "text", ["", "[]", '{"payload": 3}', '{"payload": "e30", "signatures": []}', "[" * 9999]
)
def test_what_is_no_record_is_refused_and_nothing_is_made(tmp_path: Path, text: str) -> None:
    (tmp_path / "record.json").write_text(text)
    with pytest.raises(UnreadableError):
        new_job(tmp_path / "again", earlier=tmp_path / "record.json")
    with pytest.raises(UnreadableError):
        new_job(tmp_path / "again", earlier=tmp_path / "not there")
    assert [path.name for path in tmp_path.iterdir()] == ["record.json"]
