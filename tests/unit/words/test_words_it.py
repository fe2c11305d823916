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

from dossier.account.cautions import cautions
from dossier.account.parts import parts_now
from dossier.account.sentences import disclosure
from dossier.model.job import Job, Workshop
from dossier.model.record import Origin, PartHistory, PartSaid, Pieces
from dossier.model.rows import Advice, LookedAt, Object, Part, Work
from dossier.trade.reckon import in_words
from dossier.trade.rules import in_force, matches
from dossier.trade.units import Quantity
from dossier.trade.written import parse
from dossier.words import Catalogue

WORDS = Catalogue("it")


def part(number: str, name: str, **members: object) -> Part:
    return Part(number=number, part=name, **{"came_as": "original", "known_from": "seen", **members})  # type: ignore[arg-type]


def job_of(*parts: Part, work: tuple[Work, ...] = (), **members: Any) -> Job:
    return Job(
        number="1",
        language="it",
        workshop=Workshop(name="w"),
        object=Object(type="baule"),
        parts=parts,
        work=work,
        **members,
    )


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
WORK = (
    Work(number=1, parts=("1",), done="left as found"),
    Work(number=2, parts=("2", "3"), done="cleaned", how="a secco, pennello morbido"),
    Work(number=3, parts=("4",), done="replaced"),
    Work(number=4, parts=("5",), pieces=9, done="replaced"),
    Work(number=5, parts=("6",), done="added"),
    Work(number=6, parts=("8",), done="secured", how="con colla d'amido"),
    Work(number=7, parts=("9",), done="not examined"),
    Work(number=8, parts=("10",), done="repaired", covered="yes"),
    Work(number=9, parts=("12",), done="taken away"),
    Work(number=10, parts=("13",), done="part renewed", how="9 cm ricuciti"),
    Work(number=11, parts=("3",), done="altered", how="accorciato di 2 cm"),
)
JOB = job_of(
    *PARTS,
    work=WORK,
    looked_at=LookedAt(could_not_see=("retro della serratura",)),
    advised=(Advice(what="Una targhetta nuova", why_not="Quella vecchia non è nota."),),
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
                "Nuovo – chiodini (9 su 64): ottone. Il materiale è lo stesso di prima. "
                "Pezzi originali: non conservati."
            ),
        ),
        (
            "new",
            (
                "Nuovo, al posto di una mancanza riscontrata all’arrivo – chiave: acciaio, a opera di Ditta "
                "Orsi. La somiglianza con ciò che c’era prima non è documentata."
            ),
        ),
        (
            "part_renewed",
            (
                "Rifacimento parziale – cucitura: 9 cm ricuciti, filo di lino. "
                "Il materiale è lo stesso di prima."
            ),
        ),
        (
            "earlier",
            (
                "Aggiunta posteriore (a nostro parere): piedini (4 pezzi). "
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
    said: dict[str, list[str]], group: str, text: str
) -> None:
    assert text in said[group]


def test_what_was_said_before_stands_beside_what_is_read_now() -> None:
    before = PartSaid(
        part="3",
        workshop="Bottega alla Chiusa",
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
        "Manico, secondo quanto detto in precedenza: nuovo, uguale al precedente "
        "(Bottega alla Chiusa, 3 marzo 2020). Lettura di questa relazione: originale. "
        "Tutte le letture restano; nel conteggio vale: sostituzione precedente."
    ) in texts


def test_a_part_within_one_that_was_replaced() -> None:
    parts = (part("1", "cassetto"), part("2", "fondo del cassetto", part_of="1"))
    job = job_of(*parts, work=(Work(number=1, parts=("1",), done="replaced"),))
    texts = [s.text for s in disclosure(job, parts_now(job.parts, job.work), WORDS)]
    assert (
        "Non noto: fondo del cassetto; nessun intervento è documentato al riguardo, "
        "mentre l’insieme (cassetto) è stato oggetto di sostituzione."
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
    job = job_of(part("1", "coperchio", material=material))
    assert code in [caution.code for caution in cautions(job, WORDS)]


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
    job = job_of(part("1", "coperchio", material=material))
    assert [caution.code for caution in cautions(job, WORDS)] == []


@pytest.mark.parametrize(
    ("how", "material", "rules"),
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
def test_what_goes_with_what_is_found_in_italian_words(how: str, material: str, rules: list[str]) -> None:
    work = Work(number=1, parts=("1",), done="cleaned", how=how)
    parts = {"1": part("1", "coperchio", material=material)}
    assert [match.rule.name for match in matches([work], parts, in_force((), "it"), "it")] == rules


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
    read = parse(written, "", "it")
    assert isinstance(read, Quantity)
    assert (read.unit, str(read.spans[0][0])) == (unit, low)


def test_in_is_no_inch_in_italian() -> None:
    assert parse("2 in tutto", "", "it") is None


def test_what_is_worked_out_has_a_decimal_comma() -> None:
    """1 oz of leather is 1/64 in, so 8 oz is 3.175 mm (common practice, no source)."""
    read = parse("8 once di pelle", "", "it")
    assert isinstance(read, Quantity)
    assert in_words(read, WORDS) == "3,18 mm"


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
