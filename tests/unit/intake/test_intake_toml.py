"""Places in TOML text: every key and list item the standard library reads has a place, the right one."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.intake import tomlmend
from dossier.intake.folder import read_job
from dossier.intake.plainform import toml_file
from dossier.intake.report import Report
from dossier.intake.template_plain import toml_value
from dossier.intake.tomltext import Path as Way
from dossier.intake.tomltext import TomlTextError, read_toml
from dossier.intake.values import SAID

TEXT = """\
number = "1" # not a "key = 2"
"quoted key" = 'x'
long = \"\"\"
inside = "no key"
[not.a.table]
\"\"\"
raw = '''
[[neither]]'''
list = [
  "one", # remark
  "two",
]
object.maker = {what = "a", known_from = "seen"}

[dates]
received = 2026-03-02

[[agreements]]
number = "A1"

[[agreements]]
number = "A2"
[agreements.more]
x = [{a = 1}, {b = 2}]
"""


def paths(value: Any, path: Way = ()) -> set[Way]:
    """Every path of keys and list items in `value`."""
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    found = set() if not path else {path}
    return found.union(*(paths(item, (*path, key)) for key, item in items))


def test_every_value_has_a_place() -> None:
    values, places = read_toml(TEXT)
    assert paths(values) <= set(places)
    assert set(places) == paths(values)


@pytest.mark.parametrize(
    ("path", "place"),
    [
        (("number",), (1, 1)),
        (("quoted key",), (2, 1)),
        (("raw",), (7, 1)),
        (("list", 1), (11, 3)),
        (("object", "maker"), (13, 1)),
        (("object", "maker", "known_from"), (13, 29)),
        (("dates", "received"), (16, 1)),
        (("agreements", 0, "number"), (19, 1)),
        (("agreements", 1), (21, 1)),
        (("agreements", 1, "number"), (22, 1)),
        (("agreements", 1, "more", "x", 1, "b"), (24, 16)),
    ],
)
def test_places_are_those_an_editor_shows(path: Way, place: tuple[int, int]) -> None:
    assert read_toml(TEXT)[1][path] == place


KEYS = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), min_size=1, max_size=8)
LEAVES = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=12) | st.booleans()


@settings(deadline=None, max_examples=150)
@given(table=st.dictionaries(KEYS, LEAVES | st.lists(LEAVES, max_size=4), max_size=6))
def test_what_the_template_writes_reads_back_equal_with_every_place(table: dict[str, Any]) -> None:
    text = "".join(f"{toml_value(key)} = {toml_value(value)}\n" for key, value in table.items())
    values, places = read_toml(text)
    assert values == table
    assert set(places) == paths(table)
    assert [places[key,][0] for key in table] == list(range(1, len(table) + 1))


@pytest.mark.parametrize(
    ("text", "line", "column"),
    [("a = 1\nb = \n", 2, 5), ("a = 1\na = 2\n", 2, 6), ('a = "x', 1, 7), ("[a\n", 1, 3)],
)
def test_a_fault_is_placed(text: str, line: int, column: int) -> None:
    with pytest.raises(TomlTextError) as caught:
        read_toml(text)
    assert (caught.value.line, caught.value.column) == (line, column)
    assert "(at" not in caught.value.message


@pytest.mark.parametrize("text", ["a = " + "[" * 5000, "a = " + "[" * 400 + "]" * 400, "a = " + "9" * 5000])
def test_hostile_text_is_refused_or_read_but_never_escapes(text: str) -> None:
    try:
        read_toml(text)
    except TomlTextError as error:
        assert error.line == 1


WRONG = """number = 26-031
for_whom = \u201cprivate owner\u201d
[object]
type = "rocking horse"
maker = 'a "good" one' 'or two'
description = "the "old" horse"
[looked at]
by = "AB"
light =
how = [
  "by eye",
  lamp
]
[dates]
received = 01.09.2026
done = "2026-09-20"
done = "2026-09-21"
[object]
title = "again"
[[know_it_by]]
what = "a scratch"
"""


def test_every_line_that_cannot_be_read_is_said_in_one_run(job_folder: Path) -> None:
    """Each with its own words, the rest read all the same; what they were to say is not missing besides."""
    (job_folder / "job.toml").write_text(WRONG, encoding="utf-8")
    job, findings = read_job(job_folder)
    said = {f.at.line: f.message for f in findings if f.code == "toml-syntax"}
    assert sorted(said) == [1, 2, 5, 6, 7, 9, 12, 15, 17, 18]
    for line, word in (
        (1, "quotation marks"),
        (2, "curved"),
        (6, "among"),
        (7, "_"),
        (9, "#"),
        (17, "twice"),
    ):
        assert word in said[line]
    assert {f.code for f in findings if f.at.file == "job.toml"} == {"toml-syntax"}
    assert job is not None and (job.object.type, job.object.title) == ("rocking horse", "")
    assert (job.dates.done, job.looked_at.by, job.looked_at.how) == ("2026-09-20", "AB", ("by eye",))
    assert [one.what for one in job.know_it_by] == ["a scratch"]


SLIPS = {
    'price = """a C:\\Users\nmore of it\nto the D:\\end"""': {1: "\\", 3: "\\"},
    'price = """one\nfor_whom = C:\\Users\nend"""': {2: "\\"},
    'earlier_records = [ a,\n  "b",\n  "c",\n]': {1: "quotation marks"},
    'earlier_records =\n  "b", # why\n  "c"\n]': {1: "#"},
    'earlier_records = [\n  "a",\n  "b"\n  "c"\n]': {4: "comma"},
    'earlier_records = ["a" "b" "c" "d"]': {1: "comma"},
    'earlier_records = ["a", "the "old" way"]': {1: "among"},
    'earlier_records = [\n  "a",\n  "the "old" way",\n]': {3: "among"},
    'price = "EUR 20': {1: "not closed"},
    "price = 'EUR 20": {1: "not closed"},
    'price: "EUR 20"': {1: "="},
    "[object]\ntype = 'bag'\n[[object]]": {3: "brackets"},
    'größe = "large"': {1: "a to z"},
    'price? = "EUR 20"': {1: "a to z"},
    "[owner]]": {1: "alone on its line"},
    "[[owner]": {1: "alone on its line"},
    '[owner] name = "Quince"': {1: "alone on its line"},
    'price = "EUR 20",': {1: "behind"},
    'price = "EUR 20" in cash': {1: "behind"},
    "maker = {what = 'Quince'": {1: "}"},
    "maker = {what = 'Quince', what = 'Ash'}": {1: "twice"},
    "price = 'EUR \x0120'": {1: "printed"},
    "// a remark": {1: "#"},
    "Two Benches": {1: "neither"},
}


@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("slip", SLIPS)
def test_one_slip_is_said_once_in_plain_words_and_what_stands_below_is_read(slip: str, end: str) -> None:
    """One that opens, closes or goes on over several lines too."""
    report = Report()
    read = toml_file(
        f'{slip}\n[dates]\nreceived = "2026-03-09"\ndone = now\n'.replace("\n", end), "x", report
    )
    assert read is not None and read.values["dates"] == {"received": "2026-03-09", "done": SAID}
    said = {found.at.line: found.message for found in report.findings}
    last = slip.count("\n") + 4
    assert sorted(said) == [*SLIPS[slip], last] and len(report.findings) == len(said)
    assert all(word in said[line] for line, word in SLIPS[slip].items())


@settings(deadline=None, max_examples=150)
@given(
    table=st.dictionaries(st.sampled_from("abcdefgh"), LEAVES | st.lists(LEAVES, max_size=4), max_size=6),
    wrong=st.sampled_from(["y = no", 'y: "a"', "y =", 'y = "a', "some words", "y = ['a' 'b']", "[ [y]"]),
    place=st.integers(0, 6),
)
def test_a_line_that_cannot_be_read_changes_no_other(table: dict[str, Any], wrong: str, place: int) -> None:
    """Lists over several lines and texts with their own beginnings of lines are among them."""
    lines = [f"{key} = {toml_value(value)}\n".replace(", ", ",\n") for key, value in table.items()]
    if wrong.startswith("["):
        place = len(lines)
    values, _, problems = tomlmend.read_as_far("".join([*lines[:place], f"{wrong}\n", *lines[place:]]))
    kept = {key: value for key, value in (values or {}).items() if key in table}
    expected, _ = read_toml("".join(lines))
    assert (kept, len(problems)) == (expected, 1)


@pytest.mark.parametrize("start", ['how = [\n"by eye",\n', 'number = """\n', "number = '''\n"])
def test_after_what_is_never_closed_nothing_else_is_said(job_folder: Path, start: str) -> None:
    text = (job_folder / "job.toml").read_text(encoding="utf-8")
    (job_folder / "job.toml").write_text(start + text.replace('"""', '"'), encoding="utf-8")
    job, findings = read_job(job_folder)
    assert job is None
    assert [f.code for f in findings if f.at.file == "job.toml"] == ["toml-syntax"]
    if "how" not in start:
        assert [str(f.at) for f in findings if f.at.file == "job.toml"] == ["job.toml:1:10"]  # where it opens


def test_a_text_that_is_none_is_given_up_after_so_many_lines(
    job_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    read: list[int] = []

    def counted(text: str) -> object:
        read.append(len(text))
        return read_toml(text)

    monkeypatch.setattr(tomlmend, "read_toml", counted)
    for text in ("no line of it\n" * 5_000, "x = \u201c\u201d\n" * 60_000):
        read.clear()
        (job_folder / "job.toml").write_text(text, encoding="utf-8")
        job, findings = read_job(job_folder)
        assert job is None and 1 <= sum(f.code == "toml-syntax" for f in findings) <= tomlmend.MOST_LINES + 1
        assert sum(read) <= max(tomlmend.MOST_READ, len(text) + 1)


def test_of_a_text_with_no_line_of_ours_nothing_is_called_missing(job_folder: Path) -> None:
    (job_folder / "job.toml").write_text("Hallo\nwie geht es\n", encoding="utf-8")
    said = [found.code for found in read_job(job_folder)[1] if found.at.file == "job.toml"]
    assert said == ["toml-syntax", "toml-syntax"]
