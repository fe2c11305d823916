"""German sentences of small invented jobs, written out by hand: right for any gender and number of a name.

Checked against: how German workshop reports are worded (common practice, no source).
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from dossier.account.cautions import cautions
from dossier.account.parts import parts_now
from dossier.account.sentences import disclosure
from dossier.model.job import Job, Workshop
from dossier.model.record import Origin, PartHistory, PartSaid, Pieces
from dossier.model.rows import Advice, LookedAt, Object, Part, Work
from dossier.trade.reckon import in_words
from dossier.trade.units import Quantity, Unclear
from dossier.trade.written import parse
from dossier.words import Catalogue

WORDS = Catalogue("de")


def part(number: str, name: str, **members: object) -> Part:
    return Part(number=number, part=name, **{"came_as": "original", "known_from": "seen", **members})  # type: ignore[arg-type]


PARTS = (
    part("1", "das Schloss"),
    part("2", "Riemen", pieces=2, kept_why="Der Schwung der Riemen gehört zur Tasche."),
    part("3", "Griff"),
    part(
        "4",
        "Futter des Deckels",
        material="Seide",
        new_material="Ziegenleder",
        made_by="die Werkstatt",
        why="Die Seide war zerfallen.",
        told_by="Stempel 26 an der Kante",
        difference="matter im Ton",
        old_piece="dem Eigentümer übergeben",
    ),
    part("5", "Stifte", pieces=64, material="Messing", new_material="Messing", old_piece="nicht aufbewahrt"),
    part("6", "Schlüssel", came_as="missing", new_material="Stahl"),
    part("7", "Füße", pieces=4, came_as="later addition", known_from="our opinion"),
    part("8", "Innenboden", came_as="not known", known_from="not known"),
    part("9", "Einfassung", came_as="not known", known_from="not known"),
    part("10", "Pappe"),
    part("11", "Schild", came_as="missing"),
    part("12", "Flicken", why="Er hielt nicht mehr."),
    part("13", "Naht", new_material="Leinenfaden", material="Leinenfaden"),
)
WORK = (
    Work(number=1, parts=("1",), done="left as found"),
    Work(number=2, parts=("2", "3"), done="cleaned", how="trocken mit weichem Pinsel"),
    Work(number=3, parts=("4",), done="replaced"),
    Work(number=4, parts=("5",), pieces=9, done="replaced"),
    Work(number=5, parts=("6",), done="added"),
    Work(number=6, parts=("8",), done="secured", how="mit Stärkekleister"),
    Work(number=7, parts=("9",), done="not examined"),
    Work(number=8, parts=("10",), done="repaired", covered="yes"),
    Work(number=9, parts=("12",), done="taken away"),
    Work(number=10, parts=("13",), done="part renewed", how="9 cm neu genäht"),
    Work(number=11, parts=("3",), done="altered", how="um 2 cm gekürzt"),
)
JOB = Job(
    number="1",
    language="de",
    workshop=Workshop(name="w"),
    object=Object(type="Koffer"),
    parts=PARTS,
    work=WORK,
    looked_at=LookedAt(could_not_see=("Rückseite des Schlosses",)),
    advised=(Advice(what="Ein neues Schild", why_not="Das alte ist nicht bekannt."),),
)


@pytest.fixture(scope="module")
def said() -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for sentence in disclosure(JOB, parts_now(JOB.parts, JOB.work), WORDS):
        found.setdefault(sentence.group, []).append(sentence.text)
    return found


@pytest.mark.parametrize(
    ("group", "text"),
    [
        ("kept", "Original (am Objekt gesehen) und wie vorgefunden belassen: Schloss."),
        ("kept", "Original (am Objekt gesehen), keine Arbeit vermerkt: Stifte (55 von 64 Stück)."),
        ("kept", "Beibehalten: Riemen (2 Stück). Grund: Der Schwung der Riemen gehört zur Tasche."),
        ("worked_on", "Riemen (2 Stück) und Griff gereinigt: trocken mit weichem Pinsel."),
        ("worked_on", "Repariert: Pappe."),
        (
            "new",
            (
                "Futter des Deckels neu: Ziegenleder, Anfertigung Werkstatt. Grund: Die Seide war zerfallen. "
                "Material zuvor: Seide. Unterschied zum Vorherigen: matter im Ton. "
                "Zu unterscheiden: Stempel 26 an der Kante. Verbleib (Original): dem Eigentümer übergeben."
            ),
        ),
        (
            "new",
            (
                "Stifte (9 von 64 Stück) neu: Messing. Das Material ist das gleiche wie zuvor. "
                "Verbleib (Originale): nicht aufbewahrt."
            ),
        ),
        (
            "new",
            (
                "Schlüssel neu, anstelle des bei Eingang Fehlenden: Stahl. "
                "Wieweit das Neue dem Vorherigen gleicht, ist nicht vermerkt."
            ),
        ),
        (
            "part_renewed",
            "Naht teilweise erneuert: 9 cm neu genäht, Leinenfaden. Das Material ist das gleiche wie zuvor.",
        ),
        (
            "earlier",
            "Spätere Zutat (nach unserer Einschätzung): Füße (4 Stück). Dazu ist keine Arbeit vermerkt.",
        ),
        ("not_known", "Nicht untersucht: Einfassung."),
        ("not_known", "Ob original, ist nicht bekannt, und keine Arbeit ist vermerkt: Einfassung."),
        ("not_known", "Ob original, ist nicht bekannt: Innenboden. Gesichert: mit Stärkekleister."),
        ("not_known", "Bei der Untersuchung nicht einsehbar: Rückseite des Schlosses."),
        ("changed", "Griff in Größe, Form oder Nutzung verändert: um 2 cm gekürzt."),
        (
            "undone",
            "Empfohlen und nicht ausgeführt: Ein neues Schild. Grund: Das alte ist nicht bekannt.",
        ),
        ("gone", "Flicken entfernt. Grund: Er hielt nicht mehr. Verbleib nicht vermerkt (Original)."),
        ("gone", "Bei Eingang fehlend und weiterhin fehlend: Schild."),
        ("hidden", "Jetzt verdeckt und nicht mehr zu sehen (repariert): Pappe."),
    ],
)
def test_the_sentences_read_as_a_workshop_would_write_them(
    said: dict[str, list[str]], group: str, text: str
) -> None:
    assert text in said[group]


def test_what_was_said_before_stands_beside_what_is_read_now() -> None:
    before = PartSaid(
        part="3",
        workshop="Werkstatt am Wehr",
        date="2020-03-03",
        sha256="a" * 64,
        came_as="original",
        now=(Pieces(now="new, like for like", low=1, high=1),),
        pieces=1,
    )
    one = PartHistory(
        parts=("3",),
        said=(before,),
        counted_as=(Origin(came_as="earlier replacement", low=1, high=1),),
        differs=True,
    )
    texts = [s.text for s in disclosure(JOB, parts_now(JOB.parts, JOB.work), WORDS, (one,))]
    assert (
        "Griff, frühere Angaben: neu, gleichartig (Werkstatt am Wehr, 3. März 2020). "
        "Lesart dieses Berichts: original. Alle Lesarten bleiben stehen; gezählt wird: früherer Ersatz."
    ) in texts


def test_a_part_within_one_that_was_replaced() -> None:
    parts = (part("1", "Schublade"), part("2", "Schubladenboden", part_of="1"))
    job = Job(
        number="1",
        workshop=Workshop(name="w"),
        object=Object(type="Kommode"),
        parts=parts,
        work=(Work(number=1, parts=("1",), done="replaced"),),
    )
    texts = [s.text for s in disclosure(job, parts_now(job.parts, job.work), WORDS)]
    assert (
        "Nicht bekannt: Schubladenboden; dazu ist keine Arbeit vermerkt, "
        "und das übergeordnete Teil (Schublade) wurde ersetzt."
    ) in texts


@pytest.mark.parametrize(
    ("material", "code"),
    [
        ("mit Kontaktkleber geklebt", "solvent-hexane"),
        ("Stahl, vermessingt", "plating"),
        ("Griffe aus Elfenbein", "species-ivory"),
        ("Zelluloidgriff", "celluloid"),
        ("Kalbleder, Schimmelflecken", "mould"),
        ("Nussbaum mit Palisanderfurnier", "species-wood"),
    ],
)
def test_compounds_are_found(material: str, code: str) -> None:
    job = Job(
        number="1",
        workshop=Workshop(name="w"),
        object=Object(type="Koffer"),
        parts=(part("1", "Deckel", material=material),),
    )
    assert code in [caution.code for caution in cautions(job, WORDS)]


@pytest.mark.parametrize(
    "material",
    [
        "Durchmesser 40 mm",
        "Kontaktkleber auf Wasserbasis",
        "elfenbeinfarbenes Garn",
        "Rindleder, krokoprägung",
    ],
)
def test_what_only_sounds_like_it_is_not_found(material: str) -> None:
    job = Job(
        number="1",
        workshop=Workshop(name="w"),
        object=Object(type="Koffer"),
        parts=(part("1", "Deckel", material=material),),
    )
    assert [caution.code for caution in cautions(job, WORDS)] == []


@pytest.mark.parametrize(
    ("written", "unit", "low"),
    [
        ("3,6 dm²", "square decimetre", "18/5"),
        ("8 Unzen Leder", "leather ounce", "8"),
        ("2 Zoll", "inch", "2"),
    ],
)
def test_units_as_germans_write_them(written: str, unit: str, low: str) -> None:
    """International yard and pound, 1959: one inch is 25.4 mm."""
    read = parse(written, "", "de")
    assert isinstance(read, Quantity)
    assert (read.unit, str(read.spans[0][0])) == (unit, low)


def test_in_is_no_inch_in_german() -> None:
    assert parse("2 in der Mitte", "", "de") is None


def test_a_point_before_three_digits_is_left_open() -> None:
    """CLDR: the German decimal mark is a comma, and a point parts thousands."""
    assert isinstance(parse("1.250 g", "", "de"), Unclear)
    read = parse("1,250 kg", "", "de")
    assert isinstance(read, Quantity)
    assert read.spans[0][0] == Fraction(5, 4)


def test_what_is_worked_out_has_a_decimal_comma() -> None:
    """1 oz of leather is 1/64 in, so 8 oz is 3.175 mm (common practice, no source)."""
    read = parse("8 Unzen Leder", "", "de")
    assert isinstance(read, Quantity)
    assert in_words(read, WORDS) == "3,18 mm"
