"""Italian sentences of small invented jobs, written out by hand: right for any gender and number of a name.

Checked against: how Italian workshops word their records of work (common practice, no source).
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from importlib import resources
from typing import Any

import pytest
from small_jobs import (
    codes,
    job_of,
    part,
    read,
    rules,
    said,
    said_with_history,
    said_within_a_replaced_part,
    work_of,
)

from dossier.model.rows import Advice, LookedAt
from dossier.trade.reckon import in_words
from dossier.trade.units import Quantity
from dossier.trade.written import parse
from dossier.words import Catalogue

WORDS = Catalogue("it")

PARTS = (
    part("1", "La serratura"),
    part("2", "Cinghie", pieces=2, kept_why="La loro piega appartiene alla borsa."),
    part("3", "Manico"),
    part(
        "4",
        "Fodera del coperchio",
        material="Seta",
        new_material="Pelle di capra",
        made_by="il laboratorio",
        why="La seta andava in polvere.",
        told_by="Timbro 26 sul bordo",
        difference="Tono più opaco",
        old_piece="Restituito al proprietario",
    ),
    part("5", "I chiodini", pieces=64, material="Ottone", new_material="Ottone", old_piece="non conservati"),
    part("6", "Chiave", came_as="missing", new_material="Acciaio", made_by="Ditta Orsi"),
    part("7", "Piedini", pieces=4, came_as="later addition", known_from="our opinion"),
    part("8", "L'anta", came_as="not known", known_from="not known"),
    part("9", "Bordo", came_as="not known", known_from="not known"),
    part("10", "Gli spigoli"),
    part("11", "Targhetta", came_as="missing"),
    part("12", "Toppa", why="Non teneva più."),
    part("13", "Cucitura", new_material="Filo di lino", material="Filo di lino"),
)
WORK = work_of(
    {
        2: "a secco, pennello morbido",
        6: "con colla d'amido",
        10: "9 cm ricuciti",
        11: "accorciato di 2 cm",
    }
)
JOB = job_of(
    *PARTS,
    language="it",
    work=WORK,
    looked_at=LookedAt(could_not_see=("retro della serratura",)),
    advised=(Advice(what="Una targhetta nuova", why_not="Quella vecchia non è nota."),),
)


@pytest.fixture(scope="module")
def sentences() -> dict[str, list[str]]:
    return said(JOB)


@pytest.mark.parametrize(
    ("group", "text"),
    [
        ("kept", "Originale (visto sull’oggetto) e lasciato com’era: serratura."),
        ("kept", "Originale (visto sull’oggetto), senza interventi documentati: chiodini (55 su 64)."),
        (
            "kept",
            "Conservato: cinghie (2 pezzi). Motivo: La loro piega appartiene alla borsa.",
        ),
        ("worked_on", "Cinghie (2 pezzi) e manico – pulitura: a secco, pennello morbido."),
        ("worked_on", "Riparazione: spigoli."),
        (
            "new",
            (
                "Nuovo – fodera del coperchio: pelle di capra, a opera di questo laboratorio. "
                "Motivo: La seta andava in polvere. Materiale precedente: seta. "
                "Differenza rispetto a prima: Tono più opaco. Come si distingue: Timbro 26 sul bordo. "
                "Pezzo originale: restituito al proprietario."
            ),
        ),
        (
            "new",
            (
                "Nuovo – chiodini (9 su 64): ottone. Materiale precedente: ottone. "
                "Pezzi originali: non conservati."
            ),
        ),
        (
            "new",
            (
                "Nuovo, al posto di una mancanza riscontrata all’arrivo – chiave: acciaio, a opera di Ditta "
                "Orsi. La somiglianza con ciò che mancava non è documentata."
            ),
        ),
        (
            "part_renewed",
            (
                "Rifacimento parziale – cucitura: 9 cm ricuciti, filo di lino. "
                "Materiale precedente: filo di lino."
            ),
        ),
        (
            "earlier",
            (
                "All’arrivo, aggiunta posteriore (a nostro parere): piedini (4 pezzi). "
                "Nessun intervento è documentato al riguardo."
            ),
        ),
        ("not_known", "Non esaminato: bordo."),
        ("not_known", "Non si sa se originale, e nessun intervento è documentato: bordo."),
        ("not_known", "Non si sa se originale: anta. Fissaggio: con colla d'amido."),
        ("not_known", "Non è stato possibile vedere durante l’esame: retro della serratura."),
        ("changed", "Modifica di misura, forma o uso – manico: accorciato di 2 cm."),
        ("undone", "Consigliato e non eseguito: una targhetta nuova. Motivo: Quella vecchia non è nota."),
        (
            "gone",
            (
                "Rimozione: toppa. Motivo: Non teneva più. "
                "Collocazione attuale non documentata (pezzo originale)."
            ),
        ),
        ("gone", "Mancante all’arrivo e tuttora mancante: targhetta."),
        ("hidden", "Ora coperto e non più visibile (riparazione): spigoli."),
    ],
)
def test_the_sentences_read_as_a_workshop_would_write_them(
    sentences: dict[str, list[str]], group: str, text: str
) -> None:
    assert text in sentences[group]


def test_what_was_said_before_stands_beside_what_is_read_now() -> None:
    texts = said_with_history(JOB, "Bottega alla Chiusa")
    assert (
        "Manico, secondo quanto detto in precedenza: nuovo, uguale al precedente "
        "(Bottega alla Chiusa, 3 marzo 2020). Lettura di questa relazione: «originale». "
        "Tutte le letture restano; nel conteggio vale: sostituzione precedente."
    ) in texts


def test_a_part_within_one_that_was_replaced() -> None:
    texts = said_within_a_replaced_part("it", "cassetto", "fondo del cassetto")
    assert (
        "Non si sa che cosa ne sia stato: fondo del cassetto; nessun intervento è documentato al riguardo, "
        "mentre l’insieme, cassetto, è stato oggetto di sostituzione."
    ) in texts


@pytest.mark.parametrize(
    ("material", "code"),
    [
        ("incollato con adesivo a contatto", "solvent-hexane"),
        ("acciaio ottonato", "plating"),
        ("manici d'avorio", "species-ivory"),
        ("impugnatura in celluloide", "celluloid"),
        ("vitello con macchie di muffa", "mould"),
        ("noce impiallacciato in palissandro", "species-wood"),
        ("quadrante luminescente", "radium"),
        ("verniciato a biacca", "lead"),
    ],
)
def test_words_of_the_trade_are_found(material: str, code: str) -> None:
    assert code in codes("it", material)


@pytest.mark.parametrize(
    "material",
    [
        "volume con taglio dorato",
        "adesivo a contatto all'acqua",
        "filo avorio",
        "vitello stampa coccodrillo",
        "integrazione cromatica",
        "sedia impagliata",
        "custodia di una radio",
        "pomolo a fungo",
    ],
)
def test_what_only_sounds_like_it_is_not_found(material: str) -> None:
    assert codes("it", material) == []


@pytest.mark.parametrize(
    ("how", "material", "names"),
    [
        ("sgrassante a solvente", "tela stampata", ["degreaser-printed-canvas"]),
        ("lavato con acqua e sapone", "cuoio a concia vegetale", ["wet-leather"]),
        ("lavato all'acqua", "vitello", ["wet-leather"]),
        ("pasta abrasiva", "acciaio e ferro cromato", ["metal-polish-plated"]),
        ("alcol denaturato", "legno lucidato a gommalacca", ["alcohol-shellac"]),
        ("incollato con adesivo a contatto all'acqua", "vitello", []),
        ("a secco con pennello morbido", "cuoio bovino", []),
        ("cera d'api", "pelle scamosciata", ["dressing-suede"]),
    ],
)
def test_what_goes_with_what_is_found_in_italian_words(how: str, material: str, names: list[str]) -> None:
    assert rules("it", how, material) == names


@pytest.mark.parametrize(
    ("written", "unit", "low"),
    [
        ("3,6 dm²", "square decimetre", "18/5"),
        ("36 dmq", "square decimetre", "36"),
        ("8 once di pelle", "leather ounce", "8"),
        ("2 pollici", "inch", "2"),
        ("7 punti al pollice", "stitches to the inch", "7"),
    ],
)
def test_units_as_italians_write_them(written: str, unit: str, low: str) -> None:
    """International yard and pound, 1959: one inch is 25.4 mm."""
    assert read(written, "it") == (unit, low)


def test_in_is_no_inch_in_italian() -> None:
    assert parse("2 in tutto", "", "it") is None


def test_what_is_worked_out_has_a_decimal_comma() -> None:
    """1 oz of leather is 1/64 in, so 8 oz is 3.175 mm (common practice, no source)."""
    quantity = parse("8 once di pelle", "", "it")
    assert isinstance(quantity, Quantity)
    assert in_words(quantity, WORDS) == "3,18 mm"


def _texts(table: dict[str, Any]) -> Iterator[str]:
    for value in table.values():
        if isinstance(value, dict):
            yield from _texts(value)
        elif isinstance(value, str):
            yield value


def test_no_space_stands_before_punctuation_and_apostrophes_are_typographic() -> None:
    folder = resources.files("dossier.words").joinpath("it")
    for file in folder.iterdir():
        for text in _texts(tomllib.loads(file.read_text(encoding="utf-8"))):
            assert not re.search(r" [:;?!»]|« ", text), (file.name, text)
            assert not re.search(r"[^\W\d_]'[^\W\d_]", text), (file.name, text)
