"""Plating, cuts, protected materials and a workshop's own rules: read as written, faults at their places.

What was typed and what must be said of it stand side by side here, counted by hand (line and column from 1).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from dossier.intake.folder import read_job
from dossier.model.job import TradeRule
from dossier.model.rows import Calculation, Plating, Protected

GOOD = """
[[plating]]
parts = "2"
by = "AB"
date = "2026-03-12"
metal = "gold"
karat = "585"
base = "sterling"
thickness = "2,5 µm"
thickness_is = "least"
known_from = "paper"
stripped = "yes"
polished = "no"
stamps = "softened"
density = "13.1 g/cm3"
current = "0.5 A"
time = "12 min"
area = "0.8 dm2"
efficiency = "95 %"
valence = "1"

[[calculations]]
what = "tray base"
kind = "board"
parts = "1"
cavity_length = "10 in"
cavity_width = "180 mm"
leather = "2 oz"

[[protected]]
species = "Crocodylus niloticus"
what = "skin"
parts = "1"
quantity = "1 skin"
acquired = "about 1930"
known_from = "owner says"
permit = "26-0001"
"""

RULES = """[[rules]]
name = "soap"
answer = "test first"
use = ["saddle soap"]
done = ["cleaned"]
on = ["calf"]
unless = ["soap-free"]
why = "it can darken"
source = "our own bench"
"""

# Each fault with the line below that it stands in, and what the hint must name.
BAD = """[[plating]]
parts = "99"
by = "nobody"
date = "in spring"
metal = "gold"
thickness_is = "everywhere"
stripped = "perhaps"

[[plating]]
parts = "1"

[[calculations]]
what = "tray base"
kind = "lid"
skiving = "1 mm"

[[protected]]
species = "Python"
known_from = "hearsay"

[[protected]]
what = "veneer"
"""
SAID = [
    (2, "unknown-part", ""),
    (3, "unknown-person", "AB"),
    (4, "date-wrong", ""),
    (6, "unknown-word", "least, mean, one place"),
    (7, "unknown-word", "yes, no"),
    (9, "missing-value", "metal"),
    (14, "unknown-word", "board"),
    (15, "unknown-key", "cavity_length"),
    (19, "unknown-word", "paper"),
    (21, "missing-value", "species"),
]
BAD_RULES = """[[rules]]
name = "soap"
answer = "never"
use = ["soap"]

[[rules]]
name = "heat"
answer = "keep off"
hot_from = "hot"
done = ["boiled"]
why = "it shrinks"
source = "our own bench"
"""


@pytest.mark.parametrize("workbook", [False, True])
def test_figures_of_the_trade_are_read_as_they_were_written(
    lay_out: Callable[..., Path], as_workbook: Callable[[Path], Path], workbook: bool
) -> None:
    folder = lay_out()
    with (folder / "job.toml").open("a", encoding="utf-8") as stream:
        stream.write(GOOD)
    (folder / "rules.toml").write_text(RULES, encoding="utf-8")
    if workbook:
        as_workbook(folder)
    job, findings = read_job(folder)
    assert job is not None and not findings, [(str(f.at), f.code, f.message) for f in findings]
    assert job.plating == (
        Plating(
            parts=("2",),
            by="AB",
            date="2026-03-12",
            metal="gold",
            karat="585",
            base="sterling",
            thickness="2,5 µm",
            thickness_is="least",
            known_from="paper",
            stripped="yes",
            polished="no",
            stamps="softened",
            density="13.1 g/cm3",
            current="0.5 A",
            time="12 min",
            area="0.8 dm2",
            efficiency="95 %",
            valence="1",
        ),
    )
    assert job.calculations == (
        Calculation(
            what="tray base",
            kind="board",
            parts=("1",),
            cavity_length="10 in",
            cavity_width="180 mm",
            leather="2 oz",
        ),
    )
    assert job.protected == (
        Protected(
            species="Crocodylus niloticus",
            what="skin",
            parts=("1",),
            quantity="1 skin",
            acquired="about 1930",
            known_from="owner says",
            permit="26-0001",
        ),
    )
    assert job.workshop.rules == (
        TradeRule(
            name="soap",
            answer="test first",
            use=("saddle soap",),
            done=("cleaned",),
            on=("calf",),
            unless=("soap-free",),
            why="it can darken",
            source="our own bench",
        ),
    )


def test_every_fault_is_said_in_one_run_at_its_line(lay_out: Callable[..., Path]) -> None:
    folder = lay_out()
    before = (folder / "job.toml").read_text(encoding="utf-8").rstrip("\n") + "\n"
    (folder / "job.toml").write_text(before + BAD, encoding="utf-8")
    _, findings = read_job(folder)
    lines = before.count("\n")
    found = [((f.at.line or 0) - lines, f.code) for f in findings]
    assert sorted(found) == [(line, code) for line, code, _ in SAID]
    for line, code, hint in SAID:
        (one,) = [f for f in findings if (f.at.line or 0) - lines == line]
        assert one.at.file == "job.toml" and one.at.column == 1 and one.level == "error"
        assert hint in one.hint + one.message, (code, one.hint)


def test_faults_of_own_rules_are_said_at_their_line(lay_out: Callable[..., Path]) -> None:
    """A rule without its reason and source is none: its advice had been "test first, since ()"."""
    folder = lay_out()
    (folder / "rules.toml").write_text(BAD_RULES, encoding="utf-8")
    _, findings = read_job(folder)
    assert [(f.at.file, f.at.line, f.code) for f in findings] == [
        ("rules.toml", 1, "missing-value"),
        ("rules.toml", 3, "unknown-word"),
        ("rules.toml", 9, "degrees-wrong"),
        ("rules.toml", 10, "unknown-word"),
    ]
    assert "why, source" in findings[0].message
    assert "keep off" in findings[1].hint and "cleaned" in findings[3].hint


UNCLEAR = """
[[plating]]
metal = "gold"
karat = "18"
thickness = "about 2.5 µm"
density = "15"
current = "half an ampere"
time = "12"
area = "80"
efficiency = "120 %"
valence = "1 or 3"

[[calculations]]
what = "floor"
kind = "wrapped leather"
cavity_length = "about 200 mm"
cavity_width = "-5 mm"
leather = "3 kg"
board = "1 mm"
"""
UNCLEAR_LINES = dict(
    zip(
        (4, 5, 6, 7, 8, 9, 10, 11, 16, 17, 18),
        ("18 kt", "2-3 µm", "g/cm3", "0.5 A", "12 min", "80 cm2", "95 %", "1 or 3", *["300 mm"] * 3),
        strict=True,
    )
)


@pytest.mark.parametrize("workbook", [False, True])
def test_every_figure_that_is_not_clear_is_said_with_what_to_write(
    lay_out: Callable[..., Path], as_workbook: Callable[[Path], Path], workbook: bool
) -> None:
    """As gaps: the job can be compiled, and what was written stays."""
    folder = lay_out()
    before = (folder / "job.toml").read_text(encoding="utf-8").rstrip("\n") + "\n"
    (folder / "job.toml").write_text(before + UNCLEAR, encoding="utf-8")
    if workbook:
        as_workbook(folder)
    job, findings = read_job(folder)
    assert job is not None and job.plating[0].thickness == "about 2.5 µm"
    unclear = [found for found in findings if found.code == "figure-unclear"]
    assert len(findings) == len(unclear) + 1 == 12 and {found.level for found in findings} == {"gap"}
    assert any(found.code == "cut-lacks" and "wrapped leather" in found.hint for found in findings)
    if workbook:
        assert {found.at.sheet for found in unclear} == {"plating", "calculations"}
        assert len({(found.at.sheet, found.at.cell) for found in unclear}) == 11
        return
    said = {(found.at.line or 0) - before.count("\n"): found.hint for found in unclear}
    assert said.keys() == UNCLEAR_LINES.keys()
    assert all(example in said[line] for line, example in UNCLEAR_LINES.items())


def test_our_opinion_of_worth_is_the_workshops_and_a_name_is_whose_it_says(job_folder: Path) -> None:
    typed = (job_folder / "job.toml").read_text(encoding="utf-8")
    ours = (
        "Our opinion",
        "notre avis",
        "À notre avis",
        "avis de l’atelier",
        "unsere Meinung",
        "nostro parere",
    )
    ours += ("a nuestro parecer", "当方の見解")
    for by, whose in (*((text, "Bench and Last") for text in ours), ("Q. Quillfeather", "Q. Quillfeather")):
        (job_folder / "job.toml").write_text(
            typed.replace('by = "AB"\nbasis', f'by = "{by}"\nbasis'), encoding="utf-8"
        )
        job, findings = read_job(job_folder)
        assert job and not findings
        assert [value.by for value in job.values] == [whose]


@pytest.mark.parametrize("name", ["by", "date", "basis"])
def test_what_an_opinion_of_worth_lacks_is_named(name: str, job_folder: Path) -> None:
    """A date that is wrong has been said, and is not said to be blank too."""
    path = job_folder / "job.toml"
    head, tail = path.read_text(encoding="utf-8").split("[[values]]")
    path.write_text(f"{head}[[values]]" + re.sub(rf"(?m)^{name} = .*\n", "", tail, count=1), encoding="utf-8")
    (finding,) = read_job(job_folder)[1]
    assert (finding.code, finding.level) == ("value-lacks", "gap")
    assert finding.message.endswith(f": {name}")
    path.write_text(f"{head}[[values]]" + tail.replace("2026-03-03", "next week"), encoding="utf-8")
    assert [finding.code for finding in read_job(job_folder)[1]] == ["date-wrong"]


@pytest.mark.parametrize(
    ("low", "codes"),
    [("about 300", ["amount-wrong", "currency-unknown"]), ("300.005", ["currency-unknown"])],
)
def test_beside_an_unknown_currency_what_is_no_amount_in_any_is_said(
    low: str, codes: list[str], job_folder: Path
) -> None:
    """All faults in one run; how many decimals an unknown currency has nobody can say."""
    path = job_folder / "job.toml"
    head, tail = path.read_text(encoding="utf-8").split("[[values]]")
    tail = re.sub(r"(?m)^low = .*$", f'low = "{low}"', tail, count=1)
    tail = re.sub(r"(?m)^currency = .*$", 'currency = "EURO"', tail, count=1)
    path.write_text(f"{head}[[values]]{tail}", encoding="utf-8")
    assert sorted(finding.code for finding in read_job(job_folder)[1]) == codes
