"""Scales, targets and what is to be measured, as `marks.csv` has them. Units: 1 in is 25.4 mm (1959)."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from dossier.account.payload import number
from dossier.intake.folder import read_job
from dossier.model.finding import Finding
from dossier.model.job import Aid, Job
from dossier.pictures.plan import plan

HEAD = "file,number,place,at,part,note,size\n"
ALL = (
    'A.jpg,1,scale,"10.25,90 60,90",,,100 mm\n'
    'A.jpg,2,scale,"10,90 60,90 60,50 10,50",,,10 cm x 60 mm\n'
    'A.jpg,3,target,"1,1 20,1 20,15 1,15",,,From November 2014\n'
    'A.jpg,4,grey card,"70,70 80,80",,,\n'
    'A.jpg,5,length,"10,10 40,10 40,20",2,strap,\n'
    'A.jpg,6,area,"10,10 40,10 40,20",,,\n'
    'A.jpg,7,pitch,"10,10 12,10",,,\n'
    'A.jpg,8,colour,"50,50",2,thread,\n'
    'A.jpg,9,colour,"50,50 52.125,51",2,leather,\n'
    'A.jpg,10,point,"12.34,40",2,a place,\n'
)


def read(folder: Path, rows: str, language: str = "") -> tuple[Job, list[Finding]]:
    (folder / "marks.csv").write_text(HEAD + rows, encoding="utf-8")
    if language:
        job = folder / "job.toml"
        job.write_text(f'language = "{language}"\n' + job.read_text(encoding="utf-8"), encoding="utf-8")
    job, findings = read_job(folder)
    assert job is not None
    return job, [f for f in findings if f.at.file.startswith("marks") or f.at.sheet == "marks"]


def test_every_kind_is_read(job_folder: Path) -> None:
    job, findings = read(job_folder, ALL)
    assert findings == []
    aids = job.photo_aids["A.jpg"]
    assert [aid.kind for aid in aids] == [
        *("scale", "scale", "target", "grey card", "length", "area", "pitch", "colour", "colour")
    ]
    assert aids[0].at == (102.5, 900, 600, 900)
    assert [aid.lengths for aid in aids[:2]] == [(100,), (100, 60)]
    assert aids[2].made == "from November 2014"
    assert (aids[4].part, aids[4].note) == ("2", "strap")
    # One in the last place written: 10.25 %, 10 %, 52.125 %.
    assert [aids[n].step for n in (0, 1, 8)] == [0.1, 10, 0.01]


def test_places_stay_whole_and_aids_are_no_places(job_folder: Path) -> None:
    job, _ = read(job_folder, ALL)
    (place,) = job.photo_places["A.jpg"]
    assert (place.kind, place.at) == ("point", (123, 400))
    assert not any(isinstance(row, Aid) for rows in job.photo_places.values() for row in rows)


def test_a_photograph_with_aids_alone_is_planned_as_one_without_places(job_folder: Path) -> None:
    with_aids, _ = read(job_folder, ALL.rsplit("\n", 2)[0] + "\n")
    without, _ = read(job_folder, "")
    assert plan(with_aids) == plan(without)
    assert number(with_aids, []) == number(without, [])


def test_the_same_as_a_workbook(job_folder: Path, as_workbook: Callable[[Path], Path]) -> None:
    plain, _ = read(job_folder, ALL)
    as_workbook(job_folder)
    book, findings = read_job(job_folder)
    assert book is not None
    assert [f for f in findings if f.at.sheet == "marks"] == []
    assert book.photo_aids == plain.photo_aids


@pytest.mark.parametrize(
    ("language", "size", "mm"),
    [
        ("en", "4 in", 101.6),
        ("en", '1 3/16"', 30.1625),
        ("de", "2,5 Zoll", 63.5),
        ("fr", "3 pouces", 76.2),
        ("it", "12,5 cm", 125),
    ],
)
def test_units_in_the_language_of_the_job(job_folder: Path, language: str, size: str, mm: float) -> None:
    quoted = size.replace('"', '""')
    job, findings = read(job_folder, f'A.jpg,1,scale,"10,90 60,90",,,"{quoted}"\n', language)
    assert findings == []
    assert job.photo_aids["A.jpg"][0].lengths == pytest.approx((mm,))


@pytest.mark.parametrize(
    ("row", "code", "column"),
    [
        ('A.jpg,1,scale,"10,90 60,90 70,90",,,100 mm', "points-wrong", 15),
        ('A.jpg,1,scale,"10,90 10,90",,,100 mm', "place-flat", 15),
        ('A.jpg,1,scale,"10,90 60,90",,,100 x 60 mm', "size-wrong", 31),
        ('A.jpg,1,scale,"10,90 60,90 60,50 10,50",,,100 mm', "size-wrong", 43),
        ('A.jpg,1,scale,"10,90 60,90",,,"100 mm to 120 mm"', "size-wrong", 31),
        ('A.jpg,1,scale,"10,90 60,90",,,"1,250 mm"', "size-wrong", 31),
        ('A.jpg,1,scale,"10,90 60,90",,,5 g', "size-wrong", 31),
        ('A.jpg,1,scale,"10,90 60,90",,,0 mm', "size-wrong", 31),
        ('A.jpg,1,target,"1,1 20,1 20,15 1,15",,,2014', "size-wrong", 40),
        ('A.jpg,1,target,"1,1 20,1 20,15 1,15",,,', "size-missing", 9),
        ('A.jpg,1,target,"1,1 20,1 20,15",,,from November 2014', "points-wrong", 16),
        ('A.jpg,1,scale,"1,1 20,15 20,1 1,15",,,100 x 60 mm', "corners-crossed", 15),
        ('A.jpg,1,target,"20,1 1,1 1,15 20,15",,,from November 2014', "corners-crossed", 16),  # mirrored
        ('A.jpg,1,scale,"10,90 60,90",,,-5 mm', "size-wrong", 31),
        ('A.jpg,1,grey card,"1,1 1,20",,,', "place-flat", 19),
        ('A.jpg,1,colour,"1,1",,,', "missing-value", 1),
        ('A.jpg,1,pitch,"1,1",,,', "points-wrong", 15),
        ('A.jpg,1,area,"1,1 2,2",,,', "points-wrong", 14),
        ('A.jpg,1,length,"1,1 2,2",,,100 mm', "size-wrong", 28),
        ('A.jpg,1,point,"1,1",,,100 mm', "size-wrong", 23),
        ('A.jpg,1,lenght,"1,1 2,2",,,', "unknown-word", 9),
    ],
)
def test_what_cannot_measure_is_said_where_it_stands(
    job_folder: Path, row: str, code: str, column: int
) -> None:
    job, findings = read(job_folder, f'A.jpg,7,length,"1,1 2,2",,,\n{row}\n')
    assert [(f.code, f.at.line, f.at.column) for f in findings] == [(code, 3, column)]
    assert job.photo_aids["A.jpg"][0].number == "7"


def test_the_workshop_may_say_once_which_target_it_has(job_folder: Path) -> None:
    shop = job_folder / "workshop.toml"
    shop.write_text('colour_target = "before November 2014"\n' + shop.read_text(encoding="utf-8"))
    job, findings = read(job_folder, 'A.jpg,1,target,"1,1 20,1 20,15 1,15",,,\n')
    assert findings == []
    assert job.photo_aids["A.jpg"][0].made == "before November 2014"


def test_a_proposal_lying_there_is_no_fault(job_folder: Path) -> None:
    (job_folder / "measurements.proposed.csv").write_text("what,value\n")
    (job_folder / "measurments.csv").write_text("what,value\n")
    _, findings = read_job(job_folder)
    assert [f.at.file for f in findings if f.code == "unknown-file"] == ["measurments.csv"]


BOX = 'A.jpg,1,box,"10,20 30,20 30,40 10,40"'
WHOLE = "20,30 60,30 70,50 60,70 20,70 10,50"


@pytest.mark.parametrize(
    ("rows", "codes"),
    [
        ('A.jpg,1,outline,"17,0 42,0 49,0 42,0 49,0 61,0 17,0 61,0",,,', ["place-unclear"]),
        ('A.jpg,1,area,"17,05 42,0 49,00 42,0 49,0 61,0",,,', ["place-unclear"]),
        ('A.jpg,1,length,"17,5 42,0 49,0 42,0",,,', ["place-unclear"]),
        ('A.jpg,1,pitch,"17,5 42,0 49,0 42,0",,,', ["place-unclear"]),
        ('A.jpg,1,scale,"17,5 42,0 49,0 42,0",,,100 mm', ["place-unclear"]),
        (f'A.jpg,1,outline,"{WHOLE}",,,', ["place-unclear"]),
        # Other lines tell how commas are meant, but not of one that looks like decimals all along.
        (f'A.jpg,1,point,"20,30",,,\nA.jpg,2,outline,"{WHOLE}",,,', []),
        ('A.jpg,1,point,"20,30",,,\nA.jpg,2,length,"17,5 42,0 49,0 42,0",,,', ["place-unclear"]),
        (f'A.jpg,1,point,"20,5 30,5",,,\nA.jpg,2,outline,"{WHOLE}",,,', ["place-commas", "place-unclear"]),
        (f'A.jpg,1,point,"20,5;30",,,\nA.jpg,2,outline,"{WHOLE}",,,', ["place-unclear"]),
        ('A.jpg,1,point,"20;30",,,\nA.jpg,2,outline,"17,5;42 49;42 49;61,5",,,', []),
        ('A.jpg,1,box,"17,5 42,0 49,0 61,0",,,', ["place-commas"]),
        # Four corners of a box and two ends of a point, in whole percent: no decimals for certain.
        (f"{BOX},,,", ["place-unclear"]),
        (f'{BOX},,,\nA.jpg,2,point,"20,30",,,\nA.jpg,3,outline,"{WHOLE}",,,', ["place-unclear"]),
        ('A.jpg,1,point,"17,5 42",,,', ["place-commas"]),
        ('A.jpg,1,outline,"17,5 42 49 42 49 61",,,', ["place-commas"]),
        ('A.jpg,1,outline,"17,5 42,6 49,9 42,7 49,1 61,125",,,', ["place-commas"]),
        ('A.jpg,1,outline,"20,30 60,30 60,70 20,70",,,', []),  # with decimal commas it would be two points
    ],
)
def test_decimal_commas_are_never_guessed(job_folder: Path, rows: str, codes: list[str]) -> None:
    job, findings = read(job_folder, f"{rows}\n")
    assert [finding.code for finding in findings] == codes
    left = len(job.photo_places.get("A.jpg", ())) + len(job.photo_aids.get("A.jpg", ()))
    assert left == rows.count("A.jpg") - len(codes)


def test_what_can_be_read_in_two_ways_is_written_out_in_both(job_folder: Path) -> None:
    _, (finding,) = read(job_folder, 'A.jpg,1,length,"17,5 42,0 49,0 42,0",,,\n')
    assert "17,5;42,0 49,0;42,0 where" in finding.hint
    assert "17;5 42;0 49;0 42;0 where" in finding.hint


def test_decimal_commas_in_a_workbook(job_folder: Path, as_workbook: Callable[[Path], Path]) -> None:
    rows = 'A.jpg,1,length,"17,5 42,0 49,0 42,0",,,\nA.jpg,2,point,"17,5 42,5",,,\n'
    (job_folder / "marks.csv").write_text(HEAD + rows, encoding="utf-8")
    as_workbook(job_folder)
    _, findings = read_job(job_folder)
    told = [(f.code, f.at.cell) for f in findings if f.at.sheet == "marks"]
    assert told == [("place-unclear", "D2"), ("place-commas", "D3")]
