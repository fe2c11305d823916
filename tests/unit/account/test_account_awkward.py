"""Awkward jobs, counted by hand first: a concertina across three records, a paper and two languages.

The counts are arithmetic, written beside each; the ways of the trade are common practice, no source.
"""

from __future__ import annotations

from typing import Any

import msgspec
import pytest

from dossier.account.findings import assess
from dossier.account.history import with_history
from dossier.account.joint import joints
from dossier.account.lines import account_of
from dossier.account.parts import parts_now
from dossier.account.payload import build
from dossier.account.sentences import disclosure
from dossier.model.counted import PartNow
from dossier.model.earlier import EarlierOpened
from dossier.model.job import Job, Workshop
from dossier.model.record import Payload, WorkshopId
from dossier.model.rows import Dates, HistoryClaim, Object, Part, Work, Worker
from dossier.model.words import Done
from dossier.words import LANGUAGES, Catalogue
from dossier.words.marks import with_names

_HERE = WorkshopId(name="Here")
Rows = list[tuple[str, str, int, int]]


def part(number: str, name: str, **members: Any) -> Part:
    return Part(number=number, part=name, **{"came_as": "original", "known_from": "seen"} | members)


def done(*typed: tuple[Done, str, int]) -> tuple[Work, ...]:
    return tuple(
        Work(number=n, done=word, parts=(number,), pieces=pieces)
        for n, (word, number, pieces) in enumerate(typed, 1)
    )


def job(parts: list[Part], work: tuple[Work, ...] = (), **members: Any) -> Job:
    thing = Object(type=members.pop("type", "concertina"))
    return Job(
        number="J", workshop=Workshop(name="Here"), object=thing, parts=tuple(parts), work=work, **members
    )


def record(year: int, of: Job, *earlier: EarlierOpened) -> EarlierOpened:
    """What was signed of that job in that year."""
    story = with_history(of, earlier)
    payload = Payload(
        format="1.0",
        sd_alg="sha-256",
        iat=(year - 1970) * 31_557_600,
        record=f"urn:uuid:00000000-0000-4000-8000-{year:012d}",
        job=str(year),
        language=of.language,
        workshop=WorkshopId(name=f"Workshop of {year}"),
        object=of.object,
        for_whom="museum",
        dates=Dates(returned=f"{year}-05-01"),
        parts=of.parts,
        work=of.work,
        parts_now=now(of, *earlier),
        part_history=story.histories,
        history=of.history,
    )
    return EarlierOpened(payload=payload, sha256=f"{year:064x}", checked="", path=f"{year}.json")


def now(of: Job, *earlier: EarlierOpened) -> tuple[PartNow, ...]:
    story = with_history(of, earlier)
    return parts_now(story.job.parts, of.work, story.origins)


def states(of: Job, *earlier: EarlierOpened) -> Rows:
    return [(row.part, row.now, row.pieces_low, row.pieces_high) for row in now(of, *earlier)]


def told(of: Job, *earlier: EarlierOpened) -> list[str]:
    """The sentences of the disclosure."""
    story = with_history(of, earlier)
    counted = parts_now(story.job.parts, of.work, story.origins)
    return [s.text for s in disclosure(story.job, counted, Catalogue(of.language), story.histories, of.parts)]


def codes(of: Job, *earlier: EarlierOpened) -> list[str]:
    return [finding.code for finding in assess(of, Catalogue(of.language), earlier)]


NEW_BELLOWS = HistoryClaim(
    what="bill", date="1988", by="Canal Works", known_from="paper", parts=("3",), done="replaced"
)


def bellows(**members: Any) -> Job:
    """A bellows (1 piece), 30 gussets and 36 hinges in it: as natural numbers run, 3, 3.1 and 3.2."""
    parts = [
        part("3", "bellows"),
        part("3.1", "gussets", part_of="3", pieces=30),
        part("3.2", "hinges", part_of="3", pieces=36),
    ]
    return job(parts, done(("left as found", "3", 0)), **members)


def test_a_paper_on_a_part_says_nothing_of_pieces_of_the_parts_in_it() -> None:
    """The bill of 1988 says the bellows was replaced: 0 of 1 original. 30 and 36 as they are read. 3.2 is
    a part in the bellows and no split row of it, though its number might be one.
    """
    counted = [
        ("3", "earlier replacement", 1, 1),
        ("3.1", "original, no work recorded", 30, 30),
        ("3.2", "original, no work recorded", 36, 36),
    ]
    assert states(bellows(history=(NEW_BELLOWS,))) == counted
    before = record(2020, bellows())
    assert states(bellows(history=(NEW_BELLOWS,)), before) == counted
    assert states(bellows(), record(2023, bellows(history=(NEW_BELLOWS,)), before)) == counted


def test_a_part_found_in_another_later_leaves_that_one_as_it_was() -> None:
    """2020: a bellows, replaced. 2026: 36 hinges found in it. Bellows 0 of 1 original, hinges 36 of 36."""
    before = record(2020, job([part("3", "bellows")], done(("replaced", "3", 0))))
    opened = job([part("3", "bellows"), part("3.2", "hinges", part_of="3", pieces=36)])
    assert states(opened, before) == [
        ("3", "earlier replacement", 1, 1),
        ("3.2", "original, no work recorded", 36, 36),
    ]


def test_pieces_split_off_into_a_row_inside_their_own_are_still_those_pieces() -> None:
    """64 pins, 9 replaced in 2020; rows of 55 and, written as in it, 9: at most 55 original, not 64."""
    before = record(2020, job([part("4", "pins", pieces=64)], done(("replaced", "4", 9))))
    split = job([part("4", "pins", pieces=55), part("4.2", "pins", part_of="4", pieces=9)])
    story = with_history(split, [before])
    now_ = parts_now(split.parts, split.work, story.origins)
    account = account_of(split.parts, now_, joints(split.parts, (), story.families, story.joint))
    assert sum(line.pieces_high for line in account if line.now.startswith("original")) == 55


def test_rows_that_are_read_alike_are_as_uncertain_as_the_part_they_were() -> None:
    """Of 2 pins one was taken away and one refitted, maybe the same: 1 to 2 original, in one row or two."""
    of_2020 = job(
        [part("1", "pins", pieces=2)], done(("taken away", "1", 1), ("taken off and refitted", "1", 1))
    )
    before = record(2020, of_2020)
    for parts in (
        [part("1", "pins", pieces=2)],
        [part("1", "pins", pieces=2), part("1a", "pins", part_of="1"), part("1b", "pins", part_of="1")],
    ):
        story = with_history(job(parts), [before])
        counted = parts_now(story.job.parts, (), story.origins)
        account = account_of(
            story.job.parts, counted, joints(story.job.parts, (), story.families, story.joint)
        )
        assert [(line.now, line.pieces_low, line.pieces_high) for line in account] == [
            ("original, no work recorded", 1, 2),
            ("earlier replacement", 0, 1),
        ]


def test_what_is_read_differently_is_held_against_the_reading_that_differs() -> None:
    """1988 replaced (paper), 2020 and 2026 read as original: 2026 differs from 1988, and not from 2020."""
    job_ = bellows(history=(NEW_BELLOWS,))
    found, *more = (f for f in assess(job_, None, [record(2020, bellows())]) if f.code == "read-differently")
    assert not more
    assert found.message == (
        'bellows (part 3) is read differently: "original" here, "replaced" before (1988, Canal Works)'
    )


def test_readings_are_told_with_their_counts() -> None:
    """2020: 9 of 30 gussets new, 21 not. 2023 reads all 30 as original: the account counts 9 and 21."""
    same = {"material": "goatskin", "new_material": "goatskin"}
    before = record(2020, job([part("3.1", "gussets", pieces=30, **same)], done(("replaced", "3.1", 9))))
    assert (
        "The gussets, as said before: 9 of 30: new, like for like / 21 of 30: original, no work recorded "
        "(Workshop of 2020, 1 May 2020). This record reads them as original. All readings stand, and the "
        "account counts them as: 9 of 30: earlier replacement / 21 of 30: original."
    ) in told(job([part("3.1", "gussets", pieces=30, **same)]), before)


def test_an_earlier_record_in_another_language_is_of_the_same_object() -> None:
    """An English record says the strap was replaced. A German job that names it as an earlier record counts
    it, and does not call its own words another name. An English job of another thing does not.
    """
    before = record(2020, job([part("8", "strap")], done(("replaced", "8", 0))))
    german = job([part("8", "Riemen")], language="de", type="Konzertina")
    assert states(german, before) == [("8", "earlier replacement", 1, 1)]
    assert "called-otherwise" not in codes(german, before)
    assert "called-otherwise" in codes(job([part("8", "handle")]), before)
    assert states(job([part("8", "handle")], type="trunk"), before)[0][1] == "original, no work recorded"


def test_parts_of_one_name_are_told_apart_by_their_numbers() -> None:
    """A strap at each end: one kept, one taken away. "The strap" would be either."""
    straps = [part("8", "strap", old_piece="given back"), part("9", "Strap"), part("10", "bellows")]
    text = " ".join(told(job(straps, done(("taken away", "8", 0), ("left as found", "9", 0)))))
    assert "left as found: Strap (part 9)" in text
    assert "The strap (part 8) was taken away. The original was given back." in text
    assert "bellows (part" not in text


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", "seams (part 4)"),
        ("de", "seams (Teil 4)"),
        ("fr", "seams (élément 4)"),
        ("es", "seams (pieza 4)"),
        ("it", "seams (parte 4)"),
        ("ja", "seams（部材4）"),
    ],
)
def test_the_number_of_a_part_is_not_taken_for_a_count(language: str, said: str) -> None:
    """Elsewhere brackets hold counts: "seams (4)" reads as four seams."""
    seams = [part("4", "seams"), part("5", "seams")]
    text = " ".join(told(job(seams, done(("repaired", "4", 0)), language=language)))
    assert said in text or said.replace("s", "S", 1) in text
    assert "(4)" not in text


def test_what_is_not_known_is_no_more_than_the_pieces_that_are_left() -> None:
    """Of 64 pads that came as not known 40 were replaced: of 64 - 40 = 24 it is not known."""
    pads = part("5", "pads", pieces=64, came_as="not known")
    assert "Whether original is not known: 24 of the 64 pads." in told(
        job([pads], done(("replaced", "5", 40)))
    )
    worked = done(("replaced", "5", 40), ("cleaned", "5", 24))
    (text,) = (t for t in told(job([pads], worked)) if t.startswith("Whether"))
    assert text == "Whether 24 of the 64 pads are original is not known. Cleaned: 24 of the 64 pads."


@pytest.mark.parametrize(
    ("made_by", "said"),
    [
        ("bought, old stock", "brass; bought, old stock. "),
        ("not known", "brass, maker not known. "),
        ("Bought Brothers", "brass, Bought Brothers. "),  # as typed: never made more of
        ("Byron and Son", "brass, made by Byron and Son. "),
        ("from old stock", "brass, from old stock. "),
        ("in Solingen", "brass, in Solingen. "),
        ("in the workshop", "brass, made by the workshop. "),
        ("workshop", "brass, made by the workshop. "),
    ],
)
def test_who_made_a_part_reads_as_it_is_typed(made_by: str, said: str) -> None:
    """Pins, screws and the like are bought (common practice, no source)."""
    pin = part("1", "pin", material="brass", new_material="brass", made_by=made_by, why="lost")
    assert said in told(job([pin], done(("replaced", "1", 0))))[0]


def test_a_mark_is_named_also_where_a_part_was_bought() -> None:
    pin = part("1", "pin", new_material="brass", made_by="bought, cut to length by JO", why="lost")
    here = Workshop(name="Here", people=(Worker(mark="JO", name="Jorin Oake"),))
    typed = msgspec.structs.replace(job([pin], done(("replaced", "1", 0))), workshop=here)
    assert "brass; bought, cut to length by Jorin Oake. " in told(typed)[0]


@pytest.mark.parametrize("made_by", ["Hs, by hand", "hs", "H, by hand", "\u00c4B by hand", "l-2 (by hand)"])
def test_sentence_and_table_name_the_same_maker(made_by: str) -> None:
    """What the pages write is made of the people of the record alone (`Setting.persons`)."""
    pin = part("1", "pin", new_material="brass", made_by=made_by, why="lost")
    marks = ("Hs", "hs", "H", "\u00c4B", "l-2")
    people = tuple(Worker(mark=mark, name=f"Person {place}") for place, mark in enumerate(marks))
    here = Workshop(name="Here", people=people)
    job_here = msgspec.structs.replace(job([pin], done(("replaced", "1", 0))), workshop=here)
    made = build(job_here, Catalogue("en"), workshop=_HERE, pictures=(), iat=0, record_id="urn:uuid:0")
    payload = made.payload
    (who,) = payload.people
    assert with_names(made_by, {who.mark: who.name}) == made_by.replace(who.mark, who.name)
    assert f"made by {made_by.replace(who.mark, who.name)}" in payload.disclosure[0].text


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_word_of_the_template_for_the_workshop_is_known_in_every_language(language: str) -> None:
    pin = part("1", "x", material="y", new_material="y", made_by="workshop", why="z")
    (text, *_) = told(job([pin], done(("replaced", "1", 0)), language=language))
    assert Catalogue(language).say("sentences.new.workshop") in text
    assert ("workshop" in text) == (language == "en")


def test_what_was_missing_is_not_said_to_have_been_there() -> None:
    strap = part("1", "strap", came_as="missing", new_material="cowhide", difference="10 mm wider")
    (text,) = (t for t in told(job([strap], done(("added", "1", 0)))) if "10 mm" in t)
    assert "in place of what was missing" in text
    assert "Difference: 10 mm wider." in text
    assert "what was there" not in text


def test_a_reason_that_keeps_its_capital_stands_by_itself() -> None:
    """ "Because Old repairs show" would read as a name; the typed words are not changed."""
    case = part("1", "case", kept_why="Old repairs show how it was used")
    assert "The case was kept. Reason: Old repairs show how it was used." in told(job([case]))


@pytest.mark.parametrize("language", ["de", "fr", "it", "es", "ja"])
def test_each_is_read_in_english_too(language: str) -> None:
    """The template shows "3 g each" in English: 9 pieces of 1.5 g each are 13.5 g, in any language."""
    pins = part("4", "x", pieces=9, measure="1.5 g each")
    (line,) = account_of([pins], parts_now([pins], ()), (), language)
    assert [(one.dimension, one.low, one.high) for one in line.measured] == [("mass", "13.5", "13.5")]


def test_what_is_original_in_a_part_that_is_not_is_asked_about() -> None:
    """A bellows new in 1988 with gussets read as original: reused, or read wrongly (no source)."""
    job_ = bellows(history=(NEW_BELLOWS,))
    found = [f.parts for f in assess(job_) if f.code == "original-in-replacement"]
    assert found == [("3.1",), ("3.2",)]
    assert "original-in-replacement" not in codes(bellows())


def test_a_heading_without_its_pieces_is_pointed_out() -> None:
    """Fittings, of which nothing is said, over a lock and two handles: with 3 pieces they are a heading."""
    under = [part("2.1", "lock", part_of="2"), part("2.2", "handles", part_of="2", pieces=2)]
    bare = part("2", "fittings", came_as="not known", material="")
    assert "container-unsaid" in codes(job([bare, *under]))
    for said in ({"pieces": 3}, {"came_as": "original"}, {"material": "brass"}):
        told_of = msgspec.structs.replace(bare, **said)
        assert "container-unsaid" not in codes(job([told_of, *under]))


def test_what_stands_behind_a_name_in_brackets_does_not_count_it() -> None:
    buttons = part("1", "buttons (brass)", pieces=4)
    (text,) = (t for t in told(job([buttons], done(("cleaned", "1", 0)))) if "leaned" in t)
    assert text == "Cleaned: buttons (brass)."
    named = job([buttons], (Work(number=1, done="cleaned", parts=("1",), how="dry"),))
    assert "The buttons (brass) were cleaned: dry." in told(named)
