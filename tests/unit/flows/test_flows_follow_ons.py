"""An error is said once, at its place, and not a second time as the gap that it seems to leave."""

from __future__ import annotations

import shutil
from collections import Counter
from pathlib import Path

import openpyxl
import pytest

from dossier.account.codes import CODES as JUDGED
from dossier.flows import follow_ons, signing
from dossier.flows.check import check_job
from dossier.intake.codes import CODES as READ
from dossier.intake.template import new_job
from dossier.model.finding import At, Finding, Level
from dossier.words import Catalogue


def one(code: str, at: At, level: Level = "gap") -> Finding:
    return Finding(code=code, level=level, message=code, at=at)


def codes(folder: Path) -> list[str]:
    return sorted(f.code for f in check_job(folder, Catalogue("en")).findings)


@pytest.mark.parametrize("workbook", [False, True])
def test_only_of_the_line_it_is_in(workbook: bool) -> None:
    def row(number: int, column: str) -> At:
        if workbook:
            return At("job.xlsx", sheet="work", cell=f"{column}{number}")
        return At("work.csv", number, len(column))

    said = [one("date-ambiguous", row(3, "A"), "error"), one("unknown-person", row(12, "AB"), "error")]
    judged = [one("work-not-dated", row(n, "B")) for n in (3, 12, 13)]
    judged += [one("work-not-signed", row(n, "B")) for n in (2, 3, 12)]
    left = [(f.code, f.at) for f in follow_ons.without(judged, said)]
    assert left == [
        ("work-not-dated", row(12, "B")),
        ("work-not-dated", row(13, "B")),
        ("work-not-signed", row(2, "B")),
        ("work-not-signed", row(3, "B")),
    ]


def test_what_a_table_lacks_waits_until_it_is_read() -> None:
    lacking = [one("no-work-recorded", At("parts.csv", 4)), one("no-cover", At("job.toml"))]
    unread = one("unknown-word", At("work.csv", 9, 3), "error")
    assert [f.code for f in follow_ons.without(lacking, [unread])] == ["no-cover"]
    date = one("date-wrong", At("work.csv", 9, 1), "error")
    assert follow_ons.without(lacking, [date]) == lacking  # the row itself is there
    assert follow_ons.without(lacking, [one("figure-unclear", At("work.csv", 9))]) == lacking  # no error


@pytest.mark.parametrize("workbook", [False, True])
@pytest.mark.parametrize(("day", "said"), [("2020-01-01", []), ("2026-03-09", ["work-outside-dates"] * 2)])
def test_days_that_contradict_each_other_are_said_once(
    day: str, said: list[str], workbook: bool, tmp_path: Path
) -> None:
    """Returned before received: no line of work is outside a time that cannot be; in order, some are."""
    new_job(tmp_path / "job", workbook=workbook)
    if workbook:
        book = openpyxl.load_workbook(tmp_path / "job" / "job.xlsx")
        (cell,) = [row[1] for row in book["job"].iter_rows() if row[0].value == "dates returned"]
        cell.value = day
        book.save(tmp_path / "job" / "job.xlsx")
    else:
        file = tmp_path / "job" / "job.toml"
        text = file.read_text(encoding="utf-8")
        file.write_text(text.replace('# returned = ""', f'returned = "{day}"'), encoding="utf-8")
    found = codes(tmp_path / "job")
    assert [code for code in found if code in follow_ons._OF_ORDER] == said
    assert ("dates-out-of-order" in found) == (not said)
    assert ("now-hand-over" in found) == bool(said)


def test_an_agreement_answered_before_it_was_asked_leaves_the_days_of_the_job() -> None:
    at = At("job.toml", 40)
    judged = [one("dates-out-of-order", at, "error"), one("work-outside-dates", At("work.csv", 3))]
    assert follow_ons.without(judged, [], {"agreements/A1": at}) == judged


def test_every_code_spoken_of_is_one() -> None:
    named = {*follow_ons._OF_LINE, *follow_ons._LACKING, *follow_ons._OF_STAGE, *follow_ons._OF_ORDER}
    named.add(follow_ons._ORDER)
    named |= set().union(follow_ons._OF_COUNT, *follow_ons._OF_FIELD.values())
    assert named <= {*JUDGED, *signing.CODES}
    assert set().union(*follow_ons._OF_LINE.values()) <= set(READ)


@pytest.mark.parametrize(("typed", "too_many"), [("1", True), ("ninety-six", False)])
def test_of_a_part_whose_pieces_cannot_be_read_none_are_too_many(
    tmp_path: Path, typed: str, too_many: bool
) -> None:
    new_job(tmp_path / "job")
    parts, work = (tmp_path / "job" / name for name in ("parts.csv", "work.csv"))
    text = parts.read_text(encoding="utf-8-sig")
    parts.write_text(text.replace("1,body and flap,,1,", f"1,body and flap,,{typed},"), encoding="utf-8")
    work.write_text("date,who,parts,pieces,done\n2026-03-09,AB,1,9 of 96,cleaned\n", encoding="utf-8")
    found = codes(tmp_path / "job")
    assert ("count-wrong" in found) != too_many
    assert ("pieces-too-many" in found or "pieces-disagree" in found) == too_many


@pytest.mark.parametrize(
    ("typed", "wrong"), [(",outside,original,", ",outside,orig.,"), (",came as,", ",came,")]
)
def test_what_a_part_came_as_is_not_asked_for_where_it_could_not_be_read(
    tmp_path: Path, typed: str, wrong: str
) -> None:
    new_job(tmp_path / "job")
    (tmp_path / "job" / "work.csv").write_text("date,who,parts,done\n", encoding="utf-8")
    path = tmp_path / "job" / "parts.csv"
    text = path.read_text(encoding="utf-8-sig")
    path.write_text(text.replace("original", "", 1), encoding="utf-8")
    assert "now-came-as" in codes(tmp_path / "job")  # asked for at this stage where it is blank
    path.write_text(text.replace(typed, wrong, 1), encoding="utf-8")
    assert "now-came-as" not in codes(tmp_path / "job")


@pytest.mark.parametrize(
    ("file", "typed", "wrong", "error"),
    [
        ("work.csv", "cleaned", "cleand", "unknown-word"),
        ("parts.csv", "\n3,", "\nNr. 3,", "number-wrong"),  # named by work.csv, marks.csv
        ("work.csv", ",AB,", ",XY,", "unknown-person"),
        ("work.csv", ",A1,", ",A 1,", "number-wrong"),
        ("job.toml", "2026-03-02", "2026-13-02", "date-wrong"),
    ],
)
def test_one_slip_is_one_error(tmp_path: Path, file: str, typed: str, wrong: str, error: str) -> None:
    new_job(tmp_path / "job")
    before = codes(tmp_path / "job")
    path = tmp_path / "job" / file
    text = path.read_text(encoding="utf-8-sig")
    assert typed in text
    path.write_text(text.replace(typed, wrong, 1), encoding="utf-8")
    after = codes(tmp_path / "job")
    assert [code for code in after if code not in before] == [error] and after.count(error) == 1


DEMO = Path(__file__).parents[3] / "demo_jobs"


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo job without the photographs themselves: everything that is typed."""
    folder = tmp_path_factory.mktemp("demo") / "job"
    shutil.copytree(DEMO / "doctors_bag", folder)
    shutil.copy(DEMO / "workshop.toml", folder.parent)
    return folder


@pytest.fixture(scope="module")
def usual(demo: Path) -> Counter[str]:
    """What is said of it as it is."""
    return Counter(codes(demo))


@pytest.mark.parametrize(
    ("file", "typed", "misspelt"),
    [
        ("job.toml", "\nreceived =", "\nrecieved ="),
        ("job.toml", "\nreturned =", "\nretruned ="),
        ("job.toml", "[dates]", "[date]"),
        ("job.toml", "[looked_at]", "[lookd_at]"),
        ("job.toml", "[handover]", "[hand_over]"),
        ("job.toml", "[[know_it_by]]", "[[knowitby]]"),
        ("job.toml", "[[agreements]]", "[[agreement]]"),
        ("job.toml", 'answer = "agreed"', 'answer = "yes"'),
        ("job.toml", "\ncondition =", "\nconditon ="),
        ("parts.csv", "told by", "toldby"),
        ("parts.csv", "came as", "cameas"),
        ("work.csv", "agreed on", "agreedon"),
        ("work.csv", "date", "dat"),
        ("photos.csv", "stage", "stages"),
        ("job.toml", 'number = "A1"', 'numbr = "A1"'),
        ("job.toml", 'number = "A2"', 'Nr = "A2"'),
        ("job.toml", "\nnumber =", "\nnr ="),
        ("job.toml", "\ntype =", "\ntyp ="),
        ("job.toml", "\nwhat =", "\nwaht ="),
        ("parts.csv", "number", "numbr"),
        ("work.csv", "parts", "part"),
        ("work.csv", "done", "don"),
        ("photos.csv", "file", "fil"),
        ("work.csv", "date,", "Datum,"),
        ("work.csv", "who,", "wer,"),
        ("work.csv", ",parts,", ",Teile,"),
        ("parts.csv", "number,part,", "Nummer,part,"),
        ("parts.csv", "number,part,", "number,Teil,"),
        ("../workshop.toml", "[[people]]", "[[peple]]"),
        ("../workshop.toml", "\nname =", "\nnaem ="),
        ("../workshop.toml", "\nmark =", "\nmrak ="),
    ],
)
def test_a_misspelt_name_is_one_error_with_the_name_that_was_meant(
    demo: Path, usual: Counter[str], file: str, typed: str, misspelt: str
) -> None:
    """And not besides everything that is missing for it."""
    text = (demo / file).read_text(encoding="utf-8")
    assert typed in text
    (demo / file).write_text(text.replace(typed, misspelt, 1), encoding="utf-8")
    found = check_job(demo, Catalogue("en")).findings
    (demo / file).write_text(text, encoding="utf-8")
    new = list((Counter(f.code for f in found) - usual).elements())
    assert len(set(new)) == 1 and new[0] in ("unknown-key", "unknown-heading", "unknown-word")
    assert all("did you mean" in f.hint for f in found if f.code == new[0])


@pytest.mark.parametrize(
    ("file", "typed", "misspelt"),
    [
        ("measurements.csv", ",date", ",dat"),
        ("job.toml", "\ndate =", "\ndaet ="),  # of what is known of its history
        ("work.csv", "who,", "wo,"),
    ],
)
def test_a_misspelt_name_holds_back_what_is_judged_of_its_own_table_alone(
    demo: Path, file: str, typed: str, misspelt: str
) -> None:
    work = (demo / "work.csv").read_text(encoding="utf-8")
    (demo / "work.csv").write_text(work.replace("2026-04-10,", ",", 1), encoding="utf-8")
    text = (demo / file).read_text(encoding="utf-8")
    assert typed in text and "work-not-dated" in codes(demo)
    (demo / file).write_text(text.replace(typed, misspelt, 1), encoding="utf-8")
    found = codes(demo)
    (demo / file).write_text(text, encoding="utf-8")
    (demo / "work.csv").write_text(work, encoding="utf-8")
    assert "work-not-dated" in found and {"unknown-heading", "unknown-key"} & {*found}


@pytest.mark.parametrize(
    ("sheet", "cell", "misspelt"),
    [
        ("job", "number", "numbr"),
        ("job", "object type", "object typ"),
        ("job", "owner name", "owner nme"),
        ("agreements", "number", "nr."),
        ("agreements", "A1", "A 1?"),
        ("parts", "part", "prt"),
    ],
)
def test_in_a_workbook_too(tmp_path: Path, sheet: str, cell: str, misspelt: str) -> None:
    new_job(tmp_path / "job", workbook=True)
    before = codes(tmp_path / "job")
    book = openpyxl.load_workbook(tmp_path / "job" / "job.xlsx")
    place = next(one for row in book[sheet] for one in row if one.value == cell)
    place.value = misspelt
    book.save(tmp_path / "job" / "job.xlsx")
    new = Counter(codes(tmp_path / "job")) - Counter(before)
    assert sum(new.values()) == 1 and set(new) <= {"unknown-key", "unknown-heading", "number-wrong"}, new


@pytest.mark.parametrize(
    ("file", "typed", "slip", "error"),
    [
        ("job.toml", 'answer = "agreed"', 'a]swer = "agreed"', "toml-syntax"),
        ("job.toml", "[[agreements]]", "[]agreements]]", "toml-syntax"),
        ("job.toml", "[[agreements]]", "[[agreements}}", "toml-syntax"),
        ("../workshop.toml", "[[people]]", "[]people]]", "toml-syntax"),
        ("marks.csv", "part,note", "partnote", "heading-blank"),
        ("parts.csv", "new material,made by", ",Wrongg", "heading-blank"),
        ("work.csv", "agreed on,covered", ",Wrongg", "heading-blank"),
    ],
)
def test_what_a_slip_of_one_letter_hides_is_not_missing_besides(
    demo: Path, file: str, typed: str, slip: str, error: str
) -> None:
    """Nor is a column without a heading said of each of its rows."""
    before, text = codes(demo), (demo / file).read_text(encoding="utf-8")
    (demo / file).write_text(text.replace(typed, slip, 1), encoding="utf-8")
    found = list((Counter(codes(demo)) - Counter(before)).elements())
    (demo / file).write_text(text, encoding="utf-8")
    assert typed in text and sorted({*found, "unknown-heading"}) == sorted({error, "unknown-heading"})
    assert len(found) <= 2


@pytest.mark.parametrize(
    ("file", "list_", "besides"),
    [("../workshop.toml", "people", []), ("job.toml", "agreements", ["unknown-word"])],
)
def test_a_list_in_single_brackets_is_one_error_and_is_read(
    demo: Path, file: str, list_: str, besides: list[str]
) -> None:
    """What else is wrong in it is said in the same run, and nothing that only follows."""
    before, text = codes(demo), (demo / file).read_text(encoding="utf-8")
    head, *rest = text.split(f"[[{list_}]]\n")
    entry, _, after = rest[0].replace('answer = "agreed"', 'answer = "yes"').partition("\n\n")
    ends = "".join(one.partition("\n\n")[2] for one in rest[1:])
    (demo / file).write_text(f"{head}[{list_}]\n{entry}\n\n{after}{ends}", encoding="utf-8")
    found = list((Counter(codes(demo)) - Counter(before)).elements())
    (demo / file).write_text(text, encoding="utf-8")
    assert sorted(found) == sorted(["wrong-type", *besides])


@pytest.mark.parametrize("typed", ['key = "C:\\Keys\\key.pem"', 'keey = "keys/key.pem"'])
def test_a_key_whose_line_cannot_be_read_is_named(tmp_path: Path, typed: str) -> None:
    new_job(tmp_path / "job")
    (tmp_path / "job" / "workshop.toml").write_text(f'name = "Two Benches"\n{typed}\n', encoding="utf-8")
    assert "no-key" not in codes(tmp_path / "job")
    (tmp_path / "job" / "workshop.toml").write_text('name = "Two Benches"\n', encoding="utf-8")
    assert "no-key" in codes(tmp_path / "job")


def test_a_heading_like_none_of_ours_may_be_any_column_that_is_not_there(demo: Path) -> None:
    before, path = codes(demo), demo / "work.csv"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("date,who", "jour,ouvrier", 1), encoding="utf-8")
    found = list((Counter(codes(demo)) - Counter(before)).elements())
    path.write_text(text, encoding="utf-8")
    assert found == ["unknown-heading", "unknown-heading"]


@pytest.mark.parametrize("typed", ['"perhaps"', "perhaps"])
def test_of_a_row_whose_mark_of_privacy_cannot_be_read_no_private_word_is_said(
    demo: Path, typed: str
) -> None:
    """Of all others it is."""
    path = demo / "job.toml"
    text = path.read_text(encoding="utf-8")
    owner = text.replace('text = "E. M. T."', 'text = "Ottilie Zarenbach"', 1)
    both = owner.replace('where = "Front of the box lock"', 'where = "Ottilie Zarenbach"')
    said = []
    for one in (owner, both):
        path.write_text(one.replace("private = true", f"private = {typed}", 1), encoding="utf-8")
        said.append(
            {f.at.line: f.code for f in check_job(demo, Catalogue("en")).findings if f.level == "private"}
        )
    path.write_text(text, encoding="utf-8")
    places = [n for n, line in enumerate(both.splitlines(), 1) if line == 'where = "Ottilie Zarenbach"']
    assert said == [{}, dict.fromkeys(places, "private-name")]


@pytest.mark.parametrize(
    ("typed", "wrong", "error"),
    [
        ("file,", "The camera of Mrs X\nfile,", "no-headings"),
        ("\nIMG_20260311_092744.jpg", '\n"IMG_20260311_092744.jpg', "quote-not-closed"),
        ("\nIMG_20260309_101958.jpg", "\nIMG_2026.jpg", "unknown-photograph"),
        ("\nIMG_20260309_101958.jpg,", "\n,", "missing-value"),
    ],
)
def test_a_photograph_whose_row_was_not_read_is_not_said_to_have_no_stage(
    tmp_path: Path, typed: str, wrong: str, error: str
) -> None:
    job = tmp_path / "job"
    shutil.copytree(DEMO / "doctors_bag", job)
    shutil.copy(DEMO / "workshop.toml", tmp_path)
    photos = job / "photos.csv"
    text = photos.read_text(encoding="utf-8-sig")
    assert typed in text
    photos.write_text(text.replace(typed, wrong, 1), encoding="utf-8")
    found = codes(job)
    assert error in found
    assert "photograph-without-stage" not in found


@pytest.mark.parametrize("cells", ["A2:A4", "B2:B4", "A2:B2", "I2:I4"])
def test_what_merged_cells_leave_blank_is_no_gap(tmp_path: Path, cells: str) -> None:
    new_job(tmp_path / "job", workbook=True)
    before = Counter(codes(tmp_path / "job"))
    path = tmp_path / "job" / "job.xlsx"
    book = openpyxl.load_workbook(path)
    book["work"].merge_cells(cells)
    book.save(path)
    assert Counter(codes(tmp_path / "job")) - before == Counter({"merged-cells": 1})


def test_a_row_that_is_shifted_lacks_nothing_for_certain(tmp_path: Path) -> None:
    """An unquoted comma: what was agreed stands one column farther on, and the last cell has no heading."""
    job = tmp_path / "job"
    shutil.copytree(DEMO / "doctors_bag", job)
    shutil.copy(DEMO / "workshop.toml", tmp_path)
    before = Counter(codes(job))
    lines = (job / "work.csv").read_text(encoding="utf-8-sig").splitlines()
    at = next(n for n, line in enumerate(lines) if ",,A1," in line)
    lines[at] = lines[at].replace(",,A1,", ",,,A1,") + ",over"
    (job / "work.csv").write_text("\n".join(lines), encoding="utf-8")
    new = Counter(codes(job)) - before
    assert set(new) == {"unknown-word", "cell-without-heading"}
