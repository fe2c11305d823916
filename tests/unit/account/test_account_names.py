"""Names of parts in a sentence: one thing or several, so many of its pieces."""

from __future__ import annotations

import msgspec
import pytest

from dossier.account.findings import assess
from dossier.account.parts import parts_now
from dossier.account.sentences import disclosure
from dossier.account.speech import Speech
from dossier.model.job import Job, Workshop
from dossier.model.rows import Object, Part, Work
from dossier.words import Catalogue


def told_of(parts: list[Part], work: list[Work], words: Catalogue, group: str) -> list[str]:
    job = Job(
        number="1",
        workshop=Workshop(name="w"),
        object=Object(type="case"),
        parts=tuple(parts),
        work=tuple(work),
    )
    told = disclosure(job, parts_now(job.parts, job.work), words)
    return [one.text for one in told if one.group == group]


def worked_on(parts: list[Part], work: list[Work], words: Catalogue) -> list[str]:
    return told_of(parts, work, words, "worked_on")


@pytest.mark.parametrize(
    ("name", "pieces", "many"),
    [
        ("straps", 1, True),
        ("lining of the lids", 1, False),
        ("feet of the stand", 4, True),
        ("canvas", 1, False),
        ("lens", 2, True),  # 2 lenses
        ("leather", 2, False),  # 2 pieces of it
        ("brass", 1, False),
        ("corner pieces", 8, True),
        ("handle", 1, False),
        ("body, head and legs", 1, True),
        ("handle & strap", 1, True),
        ("strap, left", 1, False),
        ("lining of lid and base", 1, False),
        ("lid: hinge and lock", 1, False),
    ],
)
def test_number_of_a_name(name: str, pieces: int, many: bool, words: Catalogue) -> None:
    assert Speech([], [], words).whole(Part(number="1", part=name, pieces=pieces)).many == many


# Plurals as any grammar of English gives them.
@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("nail", "9 of the 64 nails"),
        ("brass nail", "9 of the 64 brass nails"),
        ("key of the upper row", "9 of the 64 keys of the upper row"),
        ("corner (inside)", "9 of the 64 corners (inside)"),
        ("brush", "9 of the 64 brushes"),
        ("box", "9 of the 64 boxes"),
        ("baby's boot", "9 of the 64 baby's boots"),
        ("glass lens", "9 of the 64 glass lenses"),
        ("assembly", "9 of the 64 assemblies"),
        ("bun foot", "9 of the 64 bun feet"),
        ("leaf", "9 of the 64 leaves"),
        ("gold leaf", "9 of 64 pieces of gold leaf"),
        ("leather", "9 of 64 pieces of leather"),
        ("red leather of the seat", "9 of 64 pieces of red leather of the seat"),
        ("peg A", "9 of 64 pieces of peg A"),
        ("nails", "9 of the 64 nails"),
        ("lining of the body", "9 of 64 pieces of lining of the body"),
        ("frame, two jaws", "9 of 64 pieces of frame, two jaws"),
        ("row of nails", "9 of 64 pieces of row of nails"),  # not 9 rows
        ("pair of hinges", "9 of 64 pieces of pair of hinges"),
        ("mother of pearl", "9 of 64 pieces of mother of pearl"),
        ("silver", "9 of 64 pieces of silver"),
        ("picture frame", "9 of 64 pieces of picture frame"),  # may be one of so many pieces
        ("small brass nail", "9 of the 64 small brass nails"),
        ("reed", "9 of the 64 reeds"),
        # named as several, and going on in any way
        ("pins found loose", "9 of the 64 pins found loose"),
        ("screws which hold the end", "9 of the 64 screws which hold the end"),
        ("buttons that came with it", "9 of the 64 buttons that came with it"),
        ("buttons not cracked", "9 of the 64 buttons not cracked"),
        ("beads against the rim", "9 of the 64 beads against the rim"),
        ("S hook", "9 of the 64 S hooks"),
        # of several things, or of one that is called by them: nobody knows
        ("clothes hanger", "9 of the 64 clothes hangers"),
        ("teeth uncut", "9 of 64 pieces of teeth uncut"),
        ("drawers lining", "9 of 64 pieces of drawers lining"),
        ("pages uncut", "9 of 64 pieces of pages uncut"),
        ("screws 3 mm", "9 of 64 pieces of screws 3 mm"),
        ("pearls strung anew", "9 of 64 pieces of pearls strung anew"),
        # what may be no noun is given no plural
        ("pin found loose", "9 of 64 pieces of pin found loose"),
        ("nail put in later", "9 of 64 pieces of nail put in later"),
        ("button cracked", "9 of 64 pieces of button cracked"),
        ("button silent", "9 of 64 pieces of button silent"),
        # of another language: no plural is made up for it
        ("charnière", "9 of 64 pieces of charnière"),
        ("Scharnier", "9 of 64 pieces of Scharnier"),
        ("clou tapissier doré", "9 of 64 pieces of clou tapissier doré"),
        ("cerniera", "9 of 64 pieces of cerniera"),  # no "cernieras"
    ],
)
def test_some_pieces_of_what_is_named_as_one_thing(name: str, shown: str, words: Catalogue) -> None:
    speech, part = Speech([], [], words), Part(number="1", part=name, pieces=64)
    assert speech.thing(part, 9, 9).name == shown


@pytest.mark.parametrize(
    "name", ["lining of the body", "frame, two jaws", "inside of the panels, under the lining"]
)
def test_what_is_one_thing_in_pieces_is_not_told_as_many(name: str, words: Catalogue) -> None:
    whole = Speech([], [], words).whole(Part(number="1", part=name, pieces=5))
    assert (whole.name, whole.many) == (f"{name} (5 pieces)", False)


def test_what_goes_on_behind_many_things_is_many(words: Catalogue) -> None:
    pins = Part(number="1", part="pins that came with it", pieces=3, came_as="original")
    work = [Work(number=1, parts=("1",), done="cleaned", how="dusted")]
    assert worked_on([pins], work, words) == ["The pins that came with it were cleaned: dusted."]


def test_all_pieces_of_what_is_named_as_one_thing(words: Catalogue) -> None:
    """The number of pieces stands where the name alone does not tell that there are several."""
    nails = Part(number="1", part="nail", pieces=64, came_as="original")
    felt = Part(number="2", part="felt", pieces=3, came_as="original")
    work = [Work(number=1, parts=("1", "2"), done="cleaned", how="dusted")]
    assert worked_on([nails, felt], work, words) == ["The 64 nails and felt (3 pieces) were cleaned: dusted."]
    one = [Work(number=1, parts=("1",), pieces=1, done="cleaned", how="dusted")]
    assert worked_on([nails], one, words) == ["1 of the 64 nails was cleaned: dusted."]
    for language, said in (
        ("de", "nail (1 von 64 Stück)"),
        ("fr", "nail (1 sur 64)"),
        ("ja", "nail（64点中1点）"),
    ):
        (text,) = worked_on([nails], one, Catalogue(language))
        assert said in text.replace("Nail", "nail")


def test_pieces_come_last_in_a_list(words: Catalogue) -> None:
    """ "3 of the 4 feet and lid" may be three of the feet and of the lid."""
    feet = Part(number="1", part="feet", pieces=4, came_as="original")
    lid = Part(number="2", part="lid", came_as="original")
    work = [
        Work(number=1, parts=("1",), pieces=3, done="cleaned"),
        Work(number=2, parts=("2",), done="cleaned"),
    ]
    assert worked_on([feet, lid], work, words) == ["Cleaned: lid and 3 of the 4 feet."]


def test_names_with_commas_are_told_apart_in_a_list(words: Catalogue) -> None:
    """ "The case, front, case, top and lid" may be three parts, or four."""
    parts = [Part(number=str(n), part=name, came_as="original") for n, name in enumerate(CASES)]
    work = [Work(number=1, parts=("0", "1", "2"), done="cleaned", how="dusted")]
    assert worked_on(parts, work, words) == ["The case, front; case, top; and lid were cleaned: dusted."]
    (german,) = worked_on(parts, work, Catalogue("de"))
    assert german.startswith("Case, front; case, top; lid")


CASES = ("case, front", "case, top", "lid")


def test_what_is_in_one_of_two_that_were_replaced(words: Catalogue) -> None:
    """The row is of one drawer, so the sentence is of no more; and the felt is not told twice."""
    parts = (
        Part(number="1", part="drawers", pieces=2, came_as="original", known_from="seen"),
        Part(number="2", part="felt", part_of="1", came_as="original", known_from="seen"),
    )
    work = (Work(number=1, parts=("1",), pieces=1, done="replaced"),)
    job = Job(number="1", workshop=Workshop(name="w"), object=Object(type="case"), parts=parts, work=work)
    told = disclosure(job, parts_now(parts, work), words)
    assert [one.text for one in told if one.group in ("kept", "not_known")] == [
        "Original (known from looking), with no work recorded: 1 of the 2 drawers.",
        (
            "What became of the felt is not known: no work is recorded on it, and of what contains it, "
            "1 of the 2 drawers was replaced."
        ),
    ]


def test_a_string_keeps_its_letter(words: Catalogue) -> None:
    """A violin's strings are G, D, A and E: "The a string" would name none of them."""
    parts = [Part(number="1", part="A string", came_as="original"), Part(number="2", part="The peg")]
    work = [Work(number=1, parts=("1",), done="cleaned", how="wiped")]
    assert worked_on(parts, work, words) == ["The A string was cleaned: wiped."]


@pytest.mark.parametrize(
    ("rows", "said"),
    [((), "were kept. Reason"), ((0,), "were kept as found. Reason"), ((3,), "were kept. Reason")],
)
def test_kept_as_found_is_said_only_where_a_row_of_work_says_so(
    rows: tuple[int, ...], said: str, words: Catalogue
) -> None:
    """No line of work means that none is recorded, never that a part was left alone; of three of ten pieces
    that are said to be left as found the other seven are not.
    """
    parts = (Part(number="1", part="studs", pieces=10, came_as="original", kept_why="worn by hands"),)
    work = tuple(Work(number=1, parts=("1",), pieces=some, done="left as found") for some in rows)
    job = Job(number="1", workshop=Workshop(name="w"), object=Object(type="case"), parts=parts, work=work)
    assert any(said in one.text for one in disclosure(job, parts_now(parts, work), words))


def test_what_is_new_of_a_heading_is_said_of_the_heading(words: Catalogue) -> None:
    """Of 86 pieces of glass in rows of 26 and 60, 9 are replaced: each row has 0 to 9, both together 9. A
    panel of 86 pieces is no 86 panels.
    """
    glass = {"came_as": "original", "material": "glass", "new_material": "glass", "part_of": "1"}
    panel = Part(number="1", part="panel", pieces=86)
    figure = Part(number="1a", part="figure pane", pieces=26, **glass)  # type: ignore[arg-type]
    border = Part(number="1b", part="border pane", pieces=60, **glass)  # type: ignore[arg-type]
    nine = Work(number=1, parts=("1",), pieces=9, done="replaced")
    (said,) = told_of([panel, figure, border], [nine], words, "new")
    assert (
        said.startswith("9 of 86 pieces of the panel are new: glass.") and "Where the originals are" in said
    )
    four = Work(number=2, parts=("1b",), pieces=4, done="replaced")
    (said,) = told_of([panel, figure, border], [nine, four], words, "new")
    assert said.startswith("0 to 9 of the 26 figure panes and 4 to 13 of the 60 border panes are new")
    other = msgspec.structs.replace(border, new_material="acrylic")  # not all of the nine are of one material
    said = " ".join(told_of([panel, figure, other], [nine], words, "new"))
    assert "0 to 9 of the 26 figure panes are new: glass." in said and "of panel" not in said


def test_the_old_pieces_of_many_things_under_one_number_are_many(words: Catalogue) -> None:
    came = Part(number="1", part="lead cames", came_as="original", old_piece="melted down")
    (said,) = told_of([came], [Work(number=1, parts=("1",), done="replaced")], words, "new")
    assert said.startswith("The lead cames are new.") and said.endswith("The originals: melted down.")


def test_pieces_of_a_heading_are_no_things_of_its_name(words: Catalogue) -> None:
    """Three pieces of eight puppets are no three puppets; one paper of two wallpapers is one."""
    puppets = [
        Part(number="4", part="puppets", pieces=24),
        Part(number="4.1", part="heads", part_of="4", pieces=8),
        Part(number="4.2", part="arms", part_of="4", pieces=16),
    ]
    assert Speech(puppets, (), words).thing(puppets[0], 3, 3).name == "3 of 24 pieces of the puppets"
    papers = [
        Part(number="7", part="wallpapers", pieces=2),
        Part(number="7.1", part="of the hall", part_of="7"),
        Part(number="7.2", part="of the kitchen", part_of="7"),
    ]
    assert Speech(papers, (), words).thing(papers[0], 1, 1).name == "1 of the 2 wallpapers"


def test_where_the_heading_says_it_nothing_is_said_to_be_unrecorded(words: Catalogue) -> None:
    """The old coats are in a bag, says the row of the costumes; one of the coats alone was replaced."""
    parts = [
        Part(number="5", part="costumes", pieces=7, old_piece="in a bag"),
        Part(number="5.1", part="coats", part_of="5", pieces=5, came_as="original"),
        Part(number="5.2", part="hats", part_of="5", pieces=2, came_as="original"),
    ]
    job = Job(
        number="1",
        workshop=Workshop(name="w"),
        object=Object(type="puppets"),
        parts=tuple(parts),
        work=(Work(number=1, parts=("5.1",), done="replaced"),),
    )
    found = {one.code: one for one in assess(job)}
    assert "old-piece-not-said" not in found and "old piece" in found["said-of-heading"].message
    said = " ".join(told_of(parts, list(job.work), words, "new"))
    assert said.endswith("The old pieces of the costumes are in a bag.")
    assert "now is not recorded" not in said and "now are not recorded" not in said


def test_some_of_a_heading_may_be_none_of_a_part(words: Catalogue) -> None:
    """Three of eight handles are new and six of the half's 32 pieces, which may all be screws; the feet were
    left as found, of which no other work is told.
    """
    parts = [
        Part(number="1", part="lower half", pieces=32),
        Part(number="2", part="handles of the lower half", part_of="1", pieces=8, came_as="original"),
        Part(number="3", part="screws", part_of="1", pieces=20, came_as="original"),
        Part(number="4", part="feet", part_of="1", pieces=4, came_as="original"),
    ]
    work = [
        Work(number=1, parts=("2",), pieces=3, done="replaced"),
        Work(number=2, parts=("1",), pieces=6, done="replaced"),
        Work(number=3, parts=("4",), done="left as found"),
        Work(number=4, parts=("1",), pieces=20, done="cleaned"),
    ]
    job = Job(
        number="1",
        workshop=Workshop(name="w"),
        object=Object(type="chest"),
        parts=tuple(parts),
        work=tuple(work),
    )
    found = assess(job)
    assert not {one.code for one in found} & {"split-exceeds", "left-and-worked-on"}
    assert not any("4" in one.parts for one in found if one.code == "no-reason")
    kept = " ".join(told_of(parts, work, words, "kept"))
    assert "eet" in kept
    told = " ".join(told_of(parts, work, words, "worked_on"))
    assert "20 of 32 pieces of the lower half" in told and "halves" not in told


def test_what_a_part_says_of_its_own_new_work_is_not_told_of_its_heading_s(words: Catalogue) -> None:
    """Three handles were cast by a foundry; the strips let into some of the half are not of its making."""
    parts = [
        Part(number="1", part="lower half", pieces=32),
        Part(
            number="2",
            part="handles",
            part_of="1",
            pieces=8,
            came_as="original",
            material="brass",
            new_material="brass",
            made_by="Corder foundry",
            why="Three would not carry",
            told_by="stamped TB 25",
        ),
        Part(number="3", part="boards", part_of="1", pieces=24, came_as="original"),
    ]
    work = [
        Work(number=1, parts=("2",), pieces=3, done="replaced", how="cast"),
        Work(number=2, parts=("1",), pieces=6, done="part renewed", how="strips let in"),
    ]
    told = " ".join(told_of(parts, work, words, "part_renewed"))
    assert "strips let in" in told and "foundry" not in told and "TB 25" not in told and "carry" not in told
    assert "foundry" in " ".join(told_of(parts, work, words, "new"))
