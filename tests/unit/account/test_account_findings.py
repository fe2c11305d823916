"""One vector for each finding code: the whole job with one thing changed gives that code."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest

from dossier.account.codes import CODES
from dossier.account.findings import assess, gaps_of
from dossier.account.history import with_history
from dossier.account.to_record import to_record_now
from dossier.model.earlier import EarlierOpened
from dossier.model.finding import Finding
from dossier.model.job import Job, Workshop
from dossier.model.rows import Object, Part, Work
from dossier.words import LANGUAGES, Catalogue

Change = Callable[[dict[str, Any]], Job]
Opened = Callable[..., EarlierOpened]
TODAY = "2026-11-25"
VECTORS = Path(__file__).parents[2] / "vectors" / "account"


def found_in(job: Job, code: str, earlier: Sequence[EarlierOpened] = ()) -> list[Finding]:
    return to_record_now(job) if CODES[code] == "now" else assess(job, None, earlier, today=TODAY)


def earlier_in(folder: Path, opened: Opened) -> list[EarlierOpened]:
    """The earlier records of a vector: the whole job with changes, one each."""
    file = folder / "earlier.json"
    changes = json.loads(file.read_text(encoding="utf-8")) if file.exists() else []
    return [opened(change, n) for n, change in enumerate(changes, 1)]


def test_every_code_has_a_vector_and_every_vector_a_code(vectors: Path) -> None:
    folders = {folder.name for folder in vectors.iterdir() if folder.is_dir()}
    assert folders == set(CODES)


def test_the_whole_job_has_nothing_to_find(job_with: Change) -> None:
    assert assess(job_with({})) == []
    assert to_record_now(job_with({})) == []


@pytest.mark.parametrize("code", CODES)
def test_vector(code: str, vectors: Path, job_with: Change, opened: Opened) -> None:
    change = json.loads((vectors / code / "change.json").read_text(encoding="utf-8"))
    expect = json.loads((vectors / code / "expect.json").read_text(encoding="utf-8"))
    found = found_in(job_with(change), code, earlier_in(vectors / code, opened))
    assert {f.code for f in found} == {code, *expect.get("also", ())}
    one = next(f for f in found if f.code == code)
    assert (one.at.file, one.at.line, list(one.parts)) == (expect["file"], expect["line"], expect["parts"])
    assert one.level == CODES[code]
    assert one.hint and one.message and "{" not in one.message + one.hint
    assert not one.message[0].isupper()


@pytest.mark.parametrize("code", [code for code, level in CODES.items() if level == "gap"])
def test_a_gap_is_said_openly_in_the_record(
    code: str, vectors: Path, job_with: Change, words: Catalogue, opened: Opened
) -> None:
    job = job_with(json.loads((vectors / code / "change.json").read_text(encoding="utf-8")))
    story = with_history(job, earlier_in(vectors / code, opened))
    said = {gap.code: gap for gap in gaps_of(job, words, story, today=TODAY)}
    assert code in said
    text = said[code].text
    assert text.endswith(".") and text[0].isupper() and "{" not in text
    assert not any(row.file in text for row in job.photo_rows)
    assert not any(key.startswith("photos/") for key in said[code].rows)


def test_only_gaps_stand_in_the_record(
    vectors: Path, job_with: Change, words: Catalogue, opened: Opened
) -> None:
    for code, level in CODES.items():
        if level != "gap":
            job = job_with(json.loads((vectors / code / "change.json").read_text(encoding="utf-8")))
            story = with_history(job, earlier_in(vectors / code, opened))
            assert code not in {gap.code for gap in gaps_of(job, words, story, today=TODAY)}


def test_our_own_stock_needs_no_agreement(job_with: Change) -> None:
    change = {"/work/0/agreed_on": ""}
    assert [f.code for f in assess(job_with(change))] == ["work-not-agreed"]
    assert assess(job_with(change | {"/for_whom": "our own stock"})) == []


def test_a_day_still_to_come(job_with: Change) -> None:
    """Tomorrow may be today elsewhere; a month or year that holds today is none; the hand-over lies ahead."""
    for date, found in (("2026-11-26", []), ("2026-11", []), ("2026", []), ("2026-11-27", ["dated-ahead"])):
        dates = {"received": "", "begun": date, "done": "", "returned": "2026-12-24"}
        change = {f"/dates/{name}": date for name, date in dates.items()}
        codes = [f.code for f in assess(job_with(change), today=TODAY)]
        assert [code for code in codes if code == "dated-ahead"] == found


@pytest.mark.parametrize(
    ("date", "found"), [("2027-02-25", 0), ("2027-02-26", 1), ("2027", 0), ("2028", 1), ("2062-11-03", 1)]
)
def test_a_hand_over_months_ahead(job_with: Change, date: str, found: int) -> None:
    dates = {"/dates/returned": date, "/handover/date": date}
    codes = [f.code for f in assess(job_with(dates), today=TODAY)]
    assert codes.count("dated-ahead") == found


def test_a_month_is_not_before_a_day_within_it(job_with: Change) -> None:
    assert assess(job_with({"/work/0/date": "2026-03"})) == []


def test_unfinished_jobs_are_not_told_what_is_not_yet_due(job_with: Change) -> None:
    change = {
        "/stage": "working",
        "/photo_rows/5/pair": "",
        "/work/6/parts": ["6"],
        "/work/5/agreed_on": "A1",
    }
    assert [f.code for f in assess(job_with(change))] == ["not-finished", "photograph-ahead"]


def test_before_is_before_the_work_on_what_it_shows(job_with: Change) -> None:
    """b.jpg shows the bellows, replaced on 12 March."""
    for day, found in (("11", 0), ("12", 0), ("13", 1)):
        taken = {"/photo_facts/1/taken": f"2026-03-{day}T09:00:00+01:00"}
        assert [f.code for f in assess(job_with(taken))].count("photograph-against-time") == found


def test_while_the_work_goes_on_what_was_worked_on_is_asked_for(job_with: Change) -> None:
    change = {"/stage": "working", "/photo_rows/5/pair": ""}
    asked = [f for f in to_record_now(job_with(change)) if f.code == "now-photograph-after"]
    assert asked
    assert not [
        f for f in to_record_now(job_with(change | {"/work": []})) if f.code == "now-photograph-after"
    ]


def test_capture_times_are_compared_as_instants(job_with: Change) -> None:
    """08:30 at +01:00 is 07:30 UTC, before 09:00 at +01:00 (08:00 UTC) but after 07:00 UTC."""
    before = {"/photo_facts/1/taken": "2026-03-11T07:00:00+00:00"}
    assert assess(job_with(before | {"/photo_facts/5/taken": "2026-03-11T08:30:00+01:00"})) == []
    earlier = before | {"/photo_facts/5/taken": "2026-03-11T07:30:00+01:00"}
    assert [f.code for f in assess(job_with(earlier))] == ["pair-order"]


@pytest.mark.parametrize(
    ("photograph", "day", "told"),
    [
        (5, "2026-03-09", True),  # called done, and from before the day on which the work began
        (5, "2026-03-10", False),
        (5, "1980-01-01", True),  # a clock that lost its battery
        (0, "2026-03-29", True),  # called received, and from after the day on which it was done
        (0, "2026-03-28", False),
        (0, "1980-01-01", False),  # from before the object came in: the owner's own, it may be
        (4, "2026-05-01", False),
    ],
)
def test_a_stage_and_a_time_on_two_sides_of_the_work(
    job_with: Change, photograph: int, day: str, told: bool
) -> None:
    """Only within a pair it had been said."""
    alone = {"/photo_rows/1/pair": "", "/photo_rows/5/pair": ""}
    found = assess(job_with({f"/photo_facts/{photograph}/taken": f"{day}T09:00:00+01:00"} | alone))
    assert ("photograph-against-time" in {f.code for f in found}) is told


def test_a_circle_of_parts_ends(job_with: Change) -> None:
    found = assess(job_with({"/parts/0/part_of": "7", "/parts/5/part_of": "6"}))
    assert {part for f in found if f.code == "part-of-circle" for part in f.parts} >= {"1", "6"}


def test_rows_of_one_part_that_come_to_more_than_it_has(job_with: Change) -> None:
    """12 screws in rows of 7 and 6 under them (13), all of brass."""
    under = [
        {"number": f"3{n}", "part": "screws", "part_of": "3", "pieces": k, "material": "Brass"}
        for n, k in (("a", 7), ("b", 6))
    ]
    job = job_with({"/work": []})
    plain = [
        *({"number": p.number, "part": p.part, "pieces": p.pieces, "material": p.material} for p in job.parts)
    ]
    found = assess(job_with({"/work": [], "/parts": [*plain, *under]}))
    (one,) = (f for f in found if f.code == "split-exceeds")
    assert "13 pieces" in one.message and "has 12" in one.message and one.parts == ("3",)


def test_replacing_more_pieces_than_there_are(job_with: Change) -> None:
    """7 of 12 and 6 of 12 replaced: 13."""
    row = {"date": "2026-03-12", "who": "AL", "parts": ["3"], "done": "replaced", "agreed_on": "A1"}
    change = {"/work/2": {"number": 3, "pieces": 7, **row}, "/work/3": {"number": 4, "pieces": 6, **row}}
    assert [f.code for f in assess(job_with(change))] == ["split-exceeds"]


@pytest.mark.parametrize(("pieces", "said"), [(3, False), (12, True)])
def test_a_new_part_of_one_that_is_new_in_some_pieces(job_with: Change, pieces: int, said: bool) -> None:
    """Wax renewed on 12 reeds of which three are new did not come with them."""
    change = {"/parts/1/part_of": "3", "/work/2/pieces": pieces}
    found = assess(job_with(change | {"/parts/1/why": ""}))
    assert ("container-replaced-too" in {f.code for f in found}) is said
    answered = assess(job_with(change | {"/parts/1/why": "kam mit der neuen Platte"}))
    assert "container-replaced-too" not in {f.code for f in answered}


def test_pictures_of_a_heading_show_the_parts_under_it(job_with: Change) -> None:
    change = {
        "/parts/5": {"number": "6", "part": "hinge pins", "pieces": 4, "came_as": "original"},
        "/parts/6": {
            "number": "6a",
            "part": "hinge pins",
            "part_of": "6",
            "pieces": 2,
            "came_as": "original",
        },
        "/parts/7": {
            "number": "6b",
            "part": "hinge pins",
            "part_of": "6",
            "pieces": 2,
            "came_as": "original",
        },
        "/work/6/parts": ["6"],
    }
    assert "part-not-photographed" not in {f.code for f in assess(job_with(change))}


def test_a_long_list_in_a_gap_is_cut_and_its_rows_are_not(job_with: Change, words: Catalogue) -> None:
    rows = [
        {"number": n, "done": "cleaned", "parts": ["1"], "date": "2026-03-10", "agreed_on": "A1"}
        for n in range(100)
    ]
    gap = next(g for g in gaps_of(job_with({"/work": rows}), words) if g.code == "work-not-signed")
    assert len(gap.rows) == 100
    assert gap.text.endswith("and 80 more.")


def test_an_outside_firm_that_made_a_part_needs_a_name_too(job_with: Change) -> None:
    """Nobody of the firm stands in the work log; it only made the focusing screen (part 5)."""
    change = {"/workshop/firms/0/name": "", "/work/5/who": "AL"}
    assert [(f.code, f.parts) for f in assess(job_with(change))] == [("firm-not-named", ("5",))]


@pytest.mark.parametrize(("back", "asked"), [("2026-03-02", False), ("", True)])
def test_what_was_taken_away_and_put_back_is_kept_nowhere(back: str, asked: bool) -> None:
    """Taken away, then refitted in the same job: it is here, and nobody asks where it is kept, or why."""
    work = [Work(number=1, date="2026-03-01", parts=("1",), done="taken away")]
    if back:
        work.append(Work(number=2, date=back, parts=("1",), done="taken off and refitted"))
    job = Job(
        number="1",
        workshop=Workshop(name="Hand & Bench"),
        object=Object(type="chair"),
        parts=(Part(number="1", part="leg", came_as="original"),),
        work=tuple(work),
    )
    codes = {finding.code for finding in assess(job)}
    assert ({"old-piece-not-said", "no-reason"} <= codes) == asked
    assert codes.isdisjoint({"old-piece-not-said", "no-reason"}) != asked


@pytest.mark.parametrize(
    ("changes", "asked"),
    [
        ({"/parts/3/new_material": "calf leather", "/parts/3/old_piece": "not kept"}, True),
        ({"/parts/3/old_piece": "not kept"}, False),  # of a strap that was fed it may be a cut end
        ({"/parts/3/new_material": "calf leather"}, False),
        (
            {"/parts/7/new_material": "ash wood", "/parts/7/old_piece": "not kept"},
            False,
        ),  # went with the bellows
        (
            {
                "/parts/3/new_material": "calf leather",
                "/parts/3/old_piece": "none came",
                "/parts/3/came_as": "missing",
            },
            False,
        ),
        (
            {
                "/parts/3/new_material": "calf leather",
                "/parts/3/old_piece": "not kept",
                "/work/4/done": "part renewed",
            },
            False,
        ),
    ],
)
def test_an_old_piece_that_no_work_took_out(
    job_with: Callable[[dict[str, Any]], Job], changes: dict[str, Any], asked: bool
) -> None:
    """Asked of a part that is said to be new, where neither it nor what it is in was renewed."""
    found = [f for f in assess(job_with(changes)) if f.code == "old-piece-without-work"]
    assert bool(found) == asked


def test_an_agreement_is_answered_after_it_was_asked(job_with: Callable[[dict[str, Any]], Job]) -> None:
    day = {"/agreements/0/asked": "2026-03-09"}
    early = assess(job_with({**day, "/agreements/0/answered": "2026-02-09"}))
    (found,) = [f for f in early if f.code == "dates-out-of-order"]
    assert '"answered" (2026-02-09) is before "asked" (2026-03-09)' in found.message and found.at.file
    same = assess(job_with({**day, "/agreements/0/answered": "2026-03-09"}))
    assert not [f for f in same if f.code == "dates-out-of-order"]


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_a_permit_lacks_is_no_number_of_a_part(
    job_with: Callable[[dict[str, Any]], Job], language: str
) -> None:
    change = json.loads((VECTORS / "permit-not-complete" / "change.json").read_text(encoding="utf-8"))
    job = job_with({**change, "/language": language})
    told = gaps_of(job, Catalogue(language), with_history(job, ()), today=TODAY)
    (text,) = [gap.text for gap in told if gap.code == "permit-not-complete"]
    for word in ("part", "Teil", "élément", "pieza", "parte", "部材"):
        assert f"({word} " not in text and f"（{word}" not in text


@pytest.mark.parametrize(
    ("done", "came_as", "paper", "asked"),
    [
        ("replaced", "original", False, True),
        ("replaced", "earlier replacement", False, False),  # as the account counts it
        ("cleaned", "original", False, False),
        ("replaced", "original", True, False),  # a paper says the same
    ],
)
def test_what_the_history_tells_by_no_paper(
    job_with: Callable[[dict[str, Any]], Job], done: str, came_as: str, paper: bool, asked: bool
) -> None:
    told = {"what": "Strap exchanged", "date": "1960", "parts": ["4"], "done": done}
    rows = [{**told, "known_from": "owner says"}, *([{**told, "known_from": "paper"}] if paper else [])]
    found = assess(job_with({"/history": rows, "/parts/3/came_as": came_as}))
    assert any(f.code == "claim-not-counted" for f in found) == asked


@pytest.mark.parametrize(
    ("change", "span"),
    [
        ({}, "(from 2026-03-02 to 2026-04-01)"),
        ({"/dates/returned": ""}, "(from 2026-03-02)"),
        ({"/dates/received": "", "/work/0/date": "2027-01-01"}, "(to 2026-04-01)"),
    ],
)
def test_the_time_it_was_here_is_told_as_far_as_it_is_known(
    change: dict[str, Any], span: str, job_with: Change
) -> None:
    job = job_with({"/work/0/date": "2025-01-01", **change})
    [found] = [f.message for f in assess(job) if f.code == "work-outside-dates"]
    assert found.endswith(span)


@pytest.mark.parametrize(
    ("one", "other", "near"), [("objective", "objektiv", True), ("left", "right", False)]
)
def test_pairs_of_one_side_with_names_nearly_alike(
    one: str, other: str, near: bool, job_with: Change
) -> None:
    found = assess(job_with({"/photo_rows/1/pair": one, "/photo_rows/5/pair": other}))
    said = [f.message for f in found if f.code == "pairs-nearly-alike"]
    assert (said == [f'pair {one} has a before alone, and pair "{other}" an after alone']) is near
