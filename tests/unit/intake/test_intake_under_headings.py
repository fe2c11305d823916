"""What a heading's row says of new work stands in the rows of the parts that the work was done on."""

from __future__ import annotations

import msgspec

from dossier.account.findings import assess
from dossier.intake.under_headings import said_of_parts
from dossier.model.job import Job, Workshop
from dossier.model.rows import Object, Part, Protected, Work
from dossier.words import Catalogue

NEW = {
    "new_material": "brass",
    "made_by": "ST",
    "why": "Two were broken",
    "told_by": "a bright rivet",
    "undone_by": "drive out the rivet",
    "old_piece": "given to the owner",
}
REEDS = Part(number="6", part="reeds", pieces=64, came_as="original", material="brass", **NEW)
TREBLE = Part(number="7", part="reeds, treble", part_of="6", pieces=32, came_as="original", material="brass")
BASS = Part(
    number="8", part="reeds, bass", part_of="6", pieces=32, came_as="original", material="brass", why="Bent"
)


def rows(work: Work, *parts: Part) -> dict[str, Part]:
    return {part.number: part for part in said_of_parts(parts, (work,))}


def test_new_work_on_a_heading_is_told_of_its_parts() -> None:
    """Nothing was recorded of them, said a record that had it all in the row above."""
    found = rows(Work(number=1, parts=("6",), pieces=2, done="replaced"), REEDS, TREBLE, BASS)
    assert found["6"] == REEDS
    assert {name: getattr(found["7"], name) for name in NEW} == NEW
    assert found["8"].why == "Bent" and found["8"].new_material == "brass"


def test_of_work_on_one_of_the_parts_its_own_row_speaks() -> None:
    """Iron tacks under brass rivets had become brass, because the shanks of the rivets were worn."""
    found = rows(Work(number=1, parts=("7",), done="replaced"), REEDS, TREBLE, BASS)
    assert found == {"6": REEDS, "7": TREBLE, "8": BASS}


def test_work_on_each_of_the_parts_is_work_on_the_heading() -> None:
    work = (Work(number=1, parts=("7",), done="replaced"), Work(number=2, parts=("8",), done="replaced"))
    found = {part.number: part for part in said_of_parts((REEDS, TREBLE, BASS), work)}
    assert found["7"].new_material == found["8"].new_material == "brass"


def test_what_the_nearer_heading_says_goes_first() -> None:
    """Pins of brass under fittings of steel, all of which were replaced."""
    fittings = Part(number="1", part="fittings", pieces=66, new_material="steel", made_by="HS")
    reeds = msgspec.structs.replace(REEDS, part_of="1", made_by="")
    hooks = Part(number="9", part="hooks", part_of="1", pieces=2, came_as="original")
    found = rows(Work(number=1, parts=("1",), done="replaced"), fittings, reeds, TREBLE, BASS, hooks)
    assert (found["7"].new_material, found["9"].new_material) == ("brass", "steel")
    assert found["7"].made_by == found["9"].made_by == "HS"


def test_of_a_heading_that_no_work_names_nothing_is_said() -> None:
    """Steel fittings over reeds of which nothing is said, and hooks: the reeds alone are replaced."""
    fittings = Part(number="1", part="fittings", pieces=66, new_material="steel", made_by="HS")
    reeds = Part(number="6", part="reeds", part_of="1", pieces=64)
    hooks = Part(number="9", part="hooks", part_of="1", pieces=2, came_as="original")
    every = (fittings, reeds, TREBLE, BASS, hooks)
    assert rows(Work(number=1, parts=("6",), done="replaced"), *every)["7"] == TREBLE
    both = (Work(number=1, parts=("6",), done="replaced"), Work(number=2, parts=("9",), done="replaced"))
    found = {part.number: part for part in said_of_parts(every, both)}
    assert found["7"].new_material == found["9"].new_material == "steel"


def test_of_what_was_missing_there_is_no_old_piece() -> None:
    lost = msgspec.structs.replace(BASS, came_as="missing")
    found = rows(Work(number=1, parts=("6",), done="replaced"), REEDS, TREBLE, lost)
    assert found["8"].new_material == "brass" and found["8"].old_piece == ""
    assert found["7"].old_piece == NEW["old_piece"]


def test_what_was_taken_away_has_a_reason_and_no_maker() -> None:
    found = rows(Work(number=1, parts=("6",), done="taken away"), REEDS, TREBLE)
    assert found["7"] == TREBLE  # one part alone makes no heading
    found = rows(Work(number=1, parts=("6",), done="taken away"), REEDS, TREBLE, BASS)
    assert (found["7"].why, found["7"].old_piece, found["7"].made_by) == (NEW["why"], NEW["old_piece"], "")
    assert rows(Work(number=1, parts=("6",), done="cleaned"), REEDS, TREBLE, BASS)["7"] == TREBLE


def test_a_container_that_counts_for_itself_says_nothing_of_what_it_contains() -> None:
    lid = Part(number="6", part="lid", pieces=1, material="brass", **NEW)
    assert rows(Work(number=1, parts=("6",), done="replaced"), lid, TREBLE, BASS)["7"] == TREBLE


def test_a_species_named_of_a_heading_is_named_of_its_parts() -> None:
    buttons = Part(number="7", part="buttons", pieces=64)
    old = Part(number="7.1", part="old buttons", part_of="7", pieces=55, material="ivory")
    new = Part(number="7.2", part="lost buttons", part_of="7", pieces=9, material="ivory")

    def asked(*named: str, parts: tuple[Part, ...] = (buttons, old, new)) -> list[tuple[str, ...]]:
        row = Protected(species="Elephantidae", parts=named)
        job = Job(
            number="1",
            workshop=Workshop(name="w"),
            object=Object(type="concertina"),
            parts=parts,
            protected=(row,),
        )
        return [one.parts for one in assess(job, Catalogue()) if one.code == "species-not-named"]

    assert asked("7") == [] == asked("7.1", "7.2")
    assert asked("7.1") == [("7.2",)]
    whip = msgspec.structs.replace(buttons, material="cowhide and ivory")
    cowhide = msgspec.structs.replace(old, material="cowhide")
    assert asked("7.2", parts=(whip, cowhide, new)) == []  # the ivory of the whole is that of its one part
    assert asked("7.1", parts=(whip, cowhide, new)) == [("7",), ("7.2",)]
    keys = msgspec.structs.replace(buttons, part="ivory and ebony keys")
    naturals = msgspec.structs.replace(old, material="")
    sharps = msgspec.structs.replace(new, material="ebony")
    assert asked("7.1", parts=(keys, naturals, sharps)) == []
    assert asked("7.2", parts=(keys, naturals, sharps)) == [("7",)]  # the ebony says nothing of the ivory
    unsaid = msgspec.structs.replace(new, material="")
    assert asked("7.1", parts=(keys, naturals, unsaid)) == [("7",)]  # either may be of it
    whale, hippo = (msgspec.structs.replace(one, material="bone of whale") for one in (old, new))
    assert asked("7.1", "7.2", parts=(keys, whale, hippo)) == []
    mounts = msgspec.structs.replace(buttons, part="ivory mounts and crocodile straps")
    straps = msgspec.structs.replace(new, material="crocodile")
    assert asked("7.2", parts=(mounts, cowhide, straps)) == [("7",)]  # of the ivory nothing is said
