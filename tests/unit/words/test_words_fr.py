"""French sentences of small invented jobs, written out by hand: right for any gender and number of a name.

Checked against: how French workshop reports are worded (common practice, no source); a no-break space before
a colon and a semicolon (Lexique des règles typographiques en usage à l’Imprimerie nationale, from memory).
"""

from __future__ import annotations

import re
import tomllib
from importlib import resources
from typing import Any

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
from dossier.pages.sheet_text import WIDTH, filled
from dossier.trade.reckon import in_words
from dossier.trade.units import Quantity
from dossier.trade.written import parse
from dossier.words import Catalogue

WORDS = Catalogue("fr")
JOINED = "\N{NO-BREAK SPACE}"


PARTS = (
    part("1", "La serrure"),
    part("2", "Courroies", pieces=2, kept_why="Leur courbe appartient au sac."),
    part("3", "Poignée"),
    part(
        "4",
        "Doublure du couvercle",
        material="Soie",
        new_material="Chèvre",
        made_by="l'atelier",
        why="La soie tombait en poussière.",
        told_by="Cachet 26 sur la tranche",
        difference="Plus mate",
        old_piece="remis au propriétaire",
    ),
    part("5", "Les goupilles", pieces=64, material="Laiton", new_material="Laiton", old_piece="non gardé"),
    part("6", "Clé", came_as="missing", new_material="Acier"),
    part("7", "Pieds", pieces=4, came_as="later addition", known_from="our opinion"),
    part("8", "L'abattant", came_as="not known", known_from="not known"),
    part("9", "Bordure", came_as="not known", known_from="not known"),
    part("10", "Carton"),
    part("11", "Porte-nom", came_as="missing"),
    part("12", "Rustine", why="Elle ne tenait plus."),
    part("13", "Couture", new_material="Fil de lin", material="Fil de lin"),
)
WORK = work_of(
    {
        2: "à sec, brosse douce",
        6: "à la colle d'amidon",
        10: "9 cm recousus",
        11: "raccourcie de 2 cm",
    }
)
JOB = job_of(
    *PARTS,
    language="fr",
    work=WORK,
    looked_at=LookedAt(could_not_see=("dos de la serrure",)),
    advised=(Advice(what="Un porte-nom neuf", why_not="L'ancien n'est pas connu."),),
)


@pytest.fixture(scope="module")
def sentences() -> dict[str, list[str]]:
    return said(JOB)


@pytest.mark.parametrize(
    ("group", "text"),
    [
        ("kept", "D’origine (vu sur l’objet) et laissé en l’état : serrure."),
        ("kept", "D’origine (vu sur l’objet), sans intervention consignée : goupilles (55 sur 64)."),
        ("kept", "Conservation de l’existant : courroies (2 pièces). Motif : Leur courbe appartient au sac."),
        ("worked_on", "Courroies (2 pièces) et poignée – nettoyage : à sec, brosse douce."),
        ("worked_on", "Réparation : carton."),
        (
            "new",
            (
                "Neuf – doublure du couvercle : chèvre, fabrication par l’atelier. "
                "Motif : La soie tombait en poussière. Matériau précédent : soie. "
                "Différence avec ce qu’il y avait : Plus mate. "
                "Pour distinguer : Cachet 26 sur la tranche. Devenir (original) : remis au propriétaire."
            ),
        ),
        (
            "new",
            (
                "Neuf – goupilles (9 sur 64) : laiton. Matériau précédent : laiton. "
                "Devenir (originaux) : non gardé."
            ),
        ),
        (
            "new",
            (
                "Neuf, à la place d’un manque constaté à l’arrivée – clé : acier. "
                "La ressemblance avec ce qui manquait n’est pas consignée."
            ),
        ),
        (
            "part_renewed",
            ("Réfection partielle – couture : 9 cm recousus, fil de lin. Matériau précédent : fil de lin."),
        ),
        (
            "earlier",
            (
                "À l’arrivée, ajout postérieur (à notre avis) : pieds (4 pièces). "
                "Aucune intervention n’est consignée à ce sujet."
            ),
        ),
        ("not_known", "Non examiné : bordure."),
        (
            "not_known",
            "On ne sait pas si c’est d’origine, et aucune intervention n’est consignée : bordure.",
        ),
        (
            "not_known",
            "On ne sait pas si c’est d’origine : abattant. Consolidation : à la colle d'amidon.",
        ),
        ("not_known", "N’a pas pu être vu lors de l’examen : dos de la serrure."),
        ("changed", "Modification de taille, de forme ou d’usage – poignée : raccourcie de 2 cm."),
        ("undone", "Conseillé et non exécuté : un porte-nom neuf. Motif : L'ancien n'est pas connu."),
        ("gone", "Retrait : rustine. Motif : Elle ne tenait plus. Devenir non consigné (original)."),
        ("gone", "Manquant à l’arrivée et toujours manquant : porte-nom."),
        ("hidden", "Désormais caché et hors de vue (réparation) : carton."),
    ],
)
def test_the_sentences_read_as_a_workshop_would_write_them(
    sentences: dict[str, list[str]], group: str, text: str
) -> None:
    assert text in [one.replace(JOINED, " ") for one in sentences[group]]


def test_no_line_can_begin_with_a_colon(sentences: dict[str, list[str]]) -> None:
    every = [text for texts in sentences.values() for text in texts]
    assert any(f"{JOINED}:" in text for text in every)
    assert [text for text in every if re.search(r" [:;?!»]|« ", text)] == []


def _texts(table: dict[str, Any]) -> list[str]:
    found: list[str] = []
    for value in table.values():
        found += _texts(value) if isinstance(value, dict) else [value] if isinstance(value, str) else []
    return found


def test_high_punctuation_stands_apart_by_a_space_that_joins() -> None:
    folder = resources.files("dossier.words").joinpath("fr")
    for file in folder.iterdir():
        for text in _texts(tomllib.loads(file.read_text(encoding="utf-8"))):
            assert not re.search(r" [:;?!»]|« ", text), (file.name, text)
            assert not re.search(r"[^\W\d_][;?!]", text), (file.name, text)
            assert not re.search(r"[^\W\d_]'[^\W\d_]", text), (file.name, text)


def test_plain_text_keeps_the_colon_with_its_word() -> None:
    text = " ".join(f"{'mot' * n}{JOINED}: «{JOINED}suite{JOINED}» ;" for n in range(1, 20))
    lines = filled(text).split("\n")
    assert len(lines) > 1
    assert [line for line in lines if line.startswith((":", "»")) or line.endswith("«")] == []
    assert all(len(line) <= WIDTH for line in lines)


def test_what_was_said_before_stands_beside_what_is_read_now() -> None:
    texts = said_with_history(JOB, "Atelier du Bief")
    assert (
        "Poignée, dit auparavant : neuf, à l’identique (Atelier du Bief, 3 mars 2020). "
        "Lecture de ce rapport : « d’origine ». "
        "Toutes les lectures sont maintenues ; compté comme : remplacement antérieur."
    ) in [text.replace(JOINED, " ") for text in texts]


def test_a_part_within_one_that_was_replaced() -> None:
    texts = said_within_a_replaced_part("fr", "tiroir", "fond du tiroir")
    assert (
        "Ce qui en est advenu n’est pas connu : fond du tiroir ; "
        "aucune intervention n’est consignée à ce sujet, "
        "et l’ensemble, tiroir, a fait l’objet d’un remplacement."
    ) in [text.replace(JOINED, " ") for text in texts]


@pytest.mark.parametrize(
    ("material", "code"),
    [
        ("collé à la colle néoprène", "solvent-hexane"),
        ("acier laitonné", "plating"),
        ("poignées en ivoire", "species-ivory"),
        ("manche en celluloïd", "celluloid"),
        ("veau, moisissures", "mould"),
        ("noyer plaqué de palissandre", "species-wood"),
    ],
)
def test_words_of_the_trade_are_found(material: str, code: str) -> None:
    assert code in codes("fr", material)


@pytest.mark.parametrize(
    "material",
    [
        "volume doré sur tranche",
        "cuir chromé, noir",
        "colle contact aqueuse",
        "fil ivoire",
        "vachette façon crocodile",
        "lézardes",
    ],
)
def test_what_only_sounds_like_it_is_not_found(material: str) -> None:
    assert codes("fr", material) == []


@pytest.mark.parametrize(
    ("written", "unit", "low"),
    [
        ("3,6 dm²", "square decimetre", "18/5"),
        ("8 onces de cuir", "leather ounce", "8"),
        ("2 pouces", "inch", "2"),
        ("7 points au pouce", "stitches to the inch", "7"),
    ],
)
def test_units_as_the_french_write_them(written: str, unit: str, low: str) -> None:
    """International yard and pound, 1959: one inch is 25.4 mm."""
    assert read(written, "fr") == (unit, low)


def test_what_is_worked_out_has_a_decimal_comma() -> None:
    """1 oz of leather is 1/64 in, so 8 oz is 3.175 mm (common practice, no source)."""
    quantity = parse("8 onces de cuir", "", "fr")
    assert isinstance(quantity, Quantity)
    assert in_words(quantity, WORDS) == "3,18 mm"
