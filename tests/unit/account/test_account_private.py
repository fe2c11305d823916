"""The search for private words in what goes into every copy."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec
import pytest

from dossier.account import public_words
from dossier.account.findings import assess
from dossier.account.public_words import public_texts
from dossier.account.secrets_of import amounts
from dossier.model.finding import At, Finding
from dossier.model.job import Job
from dossier.model.record import Payload

Change = Callable[[dict[str, Any]], Job]


def private(job: Job) -> list[Finding]:
    return [f for f in assess(job) if f.level == "private"]


def test_the_cell_is_named(job_with: Change) -> None:
    """As far as it is known where it was typed; else its row."""
    job = job_with({"/parts/3/condition": "of Vandermolen", "/work/0/how": "for Vandermolen"})
    number, cell = job.parts[3].number, At("parts.csv", 5, 40)
    job = msgspec.structs.replace(job, where=job.where | {f"parts/{number}.condition": cell})
    found = {f.parts: f for f in private(job) if f.code == "private-name"}
    assert found[(number,)].at == cell and f"part {number}," in found[(number,)].message
    assert found[()].at == job.where["work/1"]


# Where free text can stand in the clear: each must be searched.
PLACES = [
    "/number",
    "/condition",
    "/object/title",
    "/object/description",
    "/object/maker/what",
    "/object/inventory_number",
    "/know_it_by/0/what",
    "/know_it_by/0/where",
    "/marks/0/text",
    "/looked_at/reason",
    "/looked_at/found_inside/0",
    "/looked_at/could_not_see/0",
    "/advised/0/what",
    "/advised/0/why_not",
    "/parts/3/part",
    "/parts/3/condition",
    "/parts/3/old_piece",
    "/parts/3/kept_why",
    "/work/0/how",
    "/work/0/product",
    "/measurements/0/what",
    "/notes/0/title",
    "/notes/0/text",
    "/history/0/what",
    "/history/0/by",
    "/handover/care/0",
    "/handover/with_it/0",
    "/handover/guarantee",
    "/photo_rows/1/pair",
    "/photo_rows/1/caption",
]


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("asked by Mme. Vandermolén today", "private-name"),
        ("sent to seaham  4410", "private-address"),
        ("Vandermolens Wunsch", "private-name"),
        ("the Vandermolens brought it", "private-name"),
        ("call 0044-1632-960123", "private-telephone"),
        ("write to someone@post.example", "private-email"),
        ("it cost 480 EUR", "private-amount"),
    ],
)
def test_found_in_every_place(place: str, text: str, code: str, job_with: Change) -> None:
    found = private(job_with({place: text}))
    assert code in {f.code for f in found}
    assert all(f.at.file for f in found)


@pytest.mark.parametrize(
    "amount",
    [
        "80,-",
        "80,- EUR",
        "1 200,--",
        "SFr. 8",
        "80.– CHF",
        "80 francs",
        "8000円",
        "500 kroner",
        "80 zł",
        "80 Kč",
        "Fr. 80.–",
        "Fr. 1'250.–",
        "80.- sFr.",
        "80 Fr.",
        "Preis 1800,-",
        "1800.-",
        "80,—",
        "80 ,-",
        "80 DM",
        "US$80",
        "6万4千円",
        "for 480.00 each",
    ],
)
def test_amounts_as_they_are_written_elsewhere(amount: str, job_with: Change) -> None:
    """As its neighbours write their money, whatever the language of the job."""
    found = private(job_with({"/work/0/how": f"plated for {amount} by a firm"}))
    assert [f.code for f in found] == ["private-amount"]


@pytest.mark.parametrize(
    "text",
    [
        "80 - 90 mm",
        "3-7",
        "the 80.-90. stitch",
        "12, - and 14",
        "1.- Limpieza. 2.- Costura",
        "die 2.- und 3. Naht des 18.- und 19. Jahrhunderts",
        "12.– 14. Mai",
        "replaced in 1987.– The lining",
        "strap holes 1-4,- all",
        "thread 3/2,- four",
        "um 1780, Franken",
        "am Fr. 13. März",
        "Mikr. 40, Bauwerkr 3, doyen 3, Graveur 3",
        "18 kr gold",
        "Fr. 13 March, am Fr. 13., Fr. 8.30 Uhr",
        "Teile 10, 11, 12,- alle neu; parts 12,--13",
        "am 13.12,- geprüft; am 13. Fr. gemacht; 80 dm",
        "Kat.-Nr. 312.- in Abb. 300.-; 100 Fr-Blech",
        "in 1780,-- then; stitches 3,— then; 1,- one 2,- two",
    ],
)
def test_no_amount(text: str, job_with: Change) -> None:
    assert private(job_with({"/work/0/how": text})) == []


@pytest.mark.parametrize(
    "place",
    [
        "/notes/1/text",
        "/marks/1/text",
        "/agreement_details/0/what",
        "/owner/address",
    ],
)
def test_not_where_a_copy_can_leave_it_out(place: str, job_with: Change) -> None:
    assert private(job_with({place: "for Vandermolen, 7 Quay Street, 480 EUR"})) == []


def of_a_photograph(job_with: Change, *, private: bool) -> Job:
    """One named for the owner, with the name in its caption and in a place marked on it."""
    file = "Vandermolen_seat 1.jpg"
    place = {"number": "1", "kind": "point", "at": [5, 5], "note": "where Vandermolen sat"}
    row = {"file": file, "caption": "Vandermolen's seat", "private": private}
    return job_with({"/photo_rows/1": row, "/photo_places": {file: [place]}})


def test_what_goes_along_with_a_photograph_that_is_not_private_is_searched(job_with: Change) -> None:
    """Its file name, caption and places are in the copies for others (FORMAT.md section 5)."""
    found = private(of_a_photograph(job_with, private=False))
    assert len(found) == 3 and {f.code for f in found} == {"private-name"}
    assert private(of_a_photograph(job_with, private=True)) == []


@pytest.mark.parametrize("name", ["Rose Brown", "Mr Wood", "Silver Key Ltd"])
def test_common_words_are_no_names_by_themselves(name: str, job_with: Change) -> None:
    job = job_with(
        {"/owner/name": name, "/condition": "the brown wood is rubbed, rose silk, silver plate, one key"}
    )
    assert [f.message for f in private(job) if "private-name" in f.code] == []


def test_a_name_of_common_words_is_found_whole(job_with: Change) -> None:
    job = job_with({"/owner/name": "Rose Brown", "/condition": "left by ROSE  BROWN"})
    assert [f.code for f in private(job)] == ["private-name"]


@pytest.mark.parametrize(
    "text",
    [
        "480 mm long",
        "1480",
        "in 1920",
        "480 of 612 stitches",
        "480°",
        "2026-04-80",
        "size 480/12",
        "480.5 mm",
    ],
)
def test_measures_years_and_counts_are_no_amounts(text: str, job_with: Change) -> None:
    """The job's own amounts are 480.00, 612.00, 900 and 1,150.50."""
    assert private(job_with({"/condition": text})) == []


@pytest.mark.parametrize(
    "text", ["paid 480 then", "for 612.00 in all", "worth 1.150,50 or so", "€ 20", "$5.00", "20 euros"]
)
def test_amounts(text: str, job_with: Change) -> None:
    assert [f.code for f in private(job_with({"/condition": text}))] == ["private-amount"]


@pytest.mark.parametrize("place", ["/work/0/batch", "/condition"])
@pytest.mark.parametrize(
    "text",
    [
        "order 12, 480,- paid",
        "12, 480,00",
        "order 12, 480 paid",
        "order 12,\u00a0480 paid",
        "lots 3, 480, 12",
        "order 12, 1 150,50 paid",
        "invoice 7. 480,\u2013",
    ],
)
def test_an_amount_behind_another_number_is_found(place: str, text: str, job_with: Change) -> None:
    assert [f.code for f in private(job_with({place: text}))] == ["private-amount"]


@pytest.mark.parametrize("text", ["12, 480 mm", "order 12, 481,- more", "12,480 mm", "sheets 2, 480 g"])
def test_behind_another_number_no_more_is_an_amount_than_alone(text: str, job_with: Change) -> None:
    assert private(job_with({"/condition": text})) == []


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("1.250,00 EUR", ["1250"]),
        ("EUR 1,250.00", ["1250"]),
        ("1 250", ["1250"]),
        ("1'250", ["1250"]),
        ("1250", ["1250"]),
        ("12.5", ["12"]),
        ("1\u2019250.\u2013", ["1250"]),
        ("200,00, 740,- later", ["200", "740"]),
        ("12, 1 250,00", ["12", "1250"]),
    ],
)
def test_amounts_in_every_way_of_writing(text: str, plain: list[str]) -> None:
    assert amounts(text) == plain


def test_every_public_member_is_walked(job_with: Change) -> None:
    keys = {text.key.split("/")[0] for text in public_texts(job_with({}))}
    assert keys == {
        "job",
        "know_it_by",
        "history",
        "measurements",
        "advised",
        "agreements",
        "parts",
        "work",
        "inscriptions",
        "notes",
        "photos",
    }


@pytest.mark.parametrize(
    ("rows", "member"),
    [
        *(("plating", name) for name in ("metal", "base", "stamps", "thickness", "by")),
        *(("calculations", name) for name in ("what", "cavity_length", "leather")),
        *(("protected", name) for name in ("species", "what", "quantity", "acquired", "permit")),
    ],
)
def test_what_platers_and_permits_say_is_searched_too(job_with: Change, rows: str, member: str) -> None:
    """These rows stand in the clear payload (FORMAT.md section 3), so a name in them is in every copy."""
    needed = {"plating": {"metal": "gold"}, "calculations": {"what": "tray", "kind": "board"}}
    row = needed.get(rows, {"species": "Python"}) | {member: "as Quilla Quince asked"}
    job = job_with({"/owner": {"name": "Quilla Quince"}, f"/{rows}": [row]})
    found = [f for f in private(job) if f.code == "private-name"]
    assert found and all("Quilla Quince" in f.message or "Quince" in f.message for f in found)


def test_every_member_of_the_clear_payload_that_people_type_is_searched() -> None:
    """A member of the payload that is neither listed as searched nor made by the program is a hole."""
    made = {
        "format",
        "sd_alg",
        "iat",
        "record",
        "job",
        "language",
        "workshop",
        "people",
        "firms",
        "for_whom",
        "dates",
    }
    made |= {
        "parts_now",
        "account",
        "part_history",
        "disclosure",
        "cautions",
        "gaps",
        "reckonings",
        "photographs",
        "apart",
    }
    searched = {"condition", "marks", "notes", *public_words._WHOLE, *public_words._LISTS}
    searched |= set(public_words._NUMBERED)
    assert set(Payload.__struct_fields__) == made | searched


def test_what_the_template_has_in_place_of_a_name_is_no_name(job_with: Change) -> None:
    """That it stands there still is said by itself."""
    change = {"/owner/name": "The owner's name", "/condition": "maker's name rubbed"}
    assert private(job_with(change)) == []


@pytest.mark.parametrize(
    ("mark", "words", "told"),
    [
        ("E. Q. 1907", "beside E Q 1907", True),
        ("E. Q.", "the initials E.Q.", True),
        ("E. Q.", "an eq. weight", False),
        ("Quillonby", "rubbed below \u201cQUILLONBY\u201d", True),
        ("Ruth", "the truth", False),
        ("PATENT", "stamped PATENT", False),  # on another mark, which every copy has
        ("leather", "leather", False),  # a word of the trade
    ],
)
def test_the_words_of_a_private_mark(mark: str, words: str, told: bool, job_with: Change) -> None:
    found = private(job_with({"/marks/1/text": mark, "/parts/3/condition": words}))
    assert ("private-mark" in {f.code for f in found}) is told
