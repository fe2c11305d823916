"""German sentences of small invented jobs, written out by hand: right for any gender and number of a name.

Checked against: how German workshop reports are worded (common practice, no source).
"""

from __future__ import annotations

import pytest
from small_jobs import (
    codes,
    job_of,
    part,
    read,
    said,
    said_with_history,
    said_within_a_replaced_part,
    work_of,
)

from dossier.model.rows import Advice, LookedAt
from dossier.trade.reckon import in_words
from dossier.trade.units import Quantity, Unclear
from dossier.trade.written import parse
from dossier.words import Catalogue

WORDS = Catalogue("de")

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
WORK = work_of(
    {
        2: "trocken mit weichem Pinsel",
        6: "mit Stärkekleister",
        10: "9 cm neu genäht",
        11: "um 2 cm gekürzt",
    }
)
JOB = job_of(
    *PARTS,
    language="de",
    work=WORK,
    looked_at=LookedAt(could_not_see=("Rückseite des Schlosses",)),
    advised=(Advice(what="Ein neues Schild", why_not="Das alte ist nicht bekannt."),),
)


@pytest.fixture(scope="module")
def sentences() -> dict[str, list[str]]:
    return said(JOB)


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
                "Futter des Deckels neu: Ziegenleder, Anfertigung: Werkstatt. Grund: Die Seide war zerfallen."
                " Material zuvor: Seide. Unterschied zum Vorherigen: matter im Ton. "
                "Zu unterscheiden: Stempel 26 an der Kante. Verbleib (Original): dem Eigentümer übergeben."
            ),
        ),
        (
            "new",
            (
                "Stifte (9 von 64 Stück) neu: Messing. Material zuvor: Messing. "
                "Verbleib (Originale): nicht aufbewahrt."
            ),
        ),
        (
            "new",
            (
                "Schlüssel neu, anstelle des bei Eingang Fehlenden: Stahl. "
                "Wieweit das Neue dem Fehlenden gleicht, ist nicht vermerkt."
            ),
        ),
        (
            "part_renewed",
            "Naht teilweise erneuert: 9 cm neu genäht, Leinenfaden. Material zuvor: Leinenfaden.",
        ),
        (
            "earlier",
            (
                "Bei Eingang spätere Zutat (nach unserer Einschätzung): Füße (4 Stück). "
                "Dazu ist keine Arbeit vermerkt."
            ),
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
    sentences: dict[str, list[str]], group: str, text: str
) -> None:
    assert text in sentences[group]


def test_what_was_said_before_stands_beside_what_is_read_now() -> None:
    texts = said_with_history(JOB, "Werkstatt am Wehr")
    assert (
        "Griff, frühere Angaben: neu, gleichartig (Werkstatt am Wehr, 3. März 2020). "
        "Lesart dieses Berichts: „original“. Alle Lesarten bleiben stehen; gezählt wird: früherer Ersatz."
    ) in texts


def test_a_part_within_one_that_was_replaced() -> None:
    texts = said_within_a_replaced_part("de", "Schublade", "Schubladenboden")
    assert (
        "Was daraus wurde, ist nicht bekannt: Schubladenboden; dazu ist keine Arbeit vermerkt, "
        "und das übergeordnete Teil, Schublade, wurde ersetzt."
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
    assert code in codes("de", material)


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
    assert codes("de", material) == []


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
    assert read(written, "de") == (unit, low)


def test_in_is_no_inch_in_german() -> None:
    assert parse("2 in der Mitte", "", "de") is None


def test_a_point_before_three_digits_is_left_open() -> None:
    """CLDR: the German decimal mark is a comma, and a point parts thousands."""
    assert isinstance(parse("1.250 g", "", "de"), Unclear)
    assert read("1,250 kg", "de") == ("kilogram", "5/4")


def test_what_is_worked_out_has_a_decimal_comma() -> None:
    """1 oz of leather is 1/64 in, so 8 oz is 3.175 mm (common practice, no source)."""
    quantity = parse("8 Unzen Leder", "", "de")
    assert isinstance(quantity, Quantity)
    assert in_words(quantity, WORDS) == "3,18 mm"
