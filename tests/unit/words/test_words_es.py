"""Spanish sentences of a small invented job, written out by hand: right for any gender and number of a name.

Checked against: how Spanish treatment reports are worded (noun phrases; common practice, no source).
"""

from __future__ import annotations

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

from dossier.account.phrases import listed
from dossier.model.rows import Advice, LookedAt
from dossier.words import Catalogue

WORDS = Catalogue("es")

PARTS = (
    part("1", "la cerradura"),
    part("2", "correas", pieces=2, kept_why="Su curva es parte del maletín."),
    part("3", "interior de la tapa"),
    part(
        "4",
        "forro de la tapa",
        material="seda",
        new_material="piel de cabra",
        made_by="el taller",
        why="La seda se había deshecho.",
        told_by="sello 26 en el canto",
        difference="tono más mate",
        old_piece="entregado al propietario",
    ),
    part("5", "clavos", pieces=64, material="latón", new_material="latón", old_piece="no se guardaron"),
    part("6", "llave", came_as="missing", new_material="acero"),
    part("7", "patas", pieces=4, came_as="later addition", known_from="our opinion"),
    part("8", "fondo", came_as="not known", known_from="not known"),
    part("9", "ribete", came_as="not known", known_from="not known"),
    part("10", "cartón"),
    part("11", "portaetiquetas", came_as="missing"),
    part("12", "parche", why="Ya no sujetaba."),
    part("13", "costura", new_material="hilo de lino", material="hilo de lino"),
)
WORK = work_of(
    {
        2: "en seco, con pincel suave",
        6: "con engrudo",
        10: "9 cm recosidos",
        11: "2 cm menos",
    }
)
JOB = job_of(
    *PARTS,
    language="es",
    work=WORK,
    looked_at=LookedAt(could_not_see=("El reverso de la cerradura",)),
    advised=(Advice(what="Un portaetiquetas nuevo", why_not="No se conoce el antiguo."),),
)


@pytest.fixture(scope="module")
def sentences() -> dict[str, list[str]]:
    return said(JOB)


@pytest.mark.parametrize(
    ("group", "text"),
    [
        ("kept", "Original (observado en el objeto) y sin intervenir: cerradura."),
        (
            "kept",
            "Original (observado en el objeto), sin trabajos registrados: clavos (55 de 64 unidades).",
        ),
        (
            "kept",
            "Se conserva a propósito: correas (2 unidades). Motivo: Su curva es parte del maletín.",
        ),
        (
            "worked_on",
            "Correas (2 unidades) e interior de la tapa: limpieza; en seco, con pincel suave.",
        ),
        ("worked_on", "Cartón: reparación."),
        (
            "new",
            (
                "Forro de la tapa: sustitución por material nuevo; piel de cabra, ejecución: el taller. "
                "Motivo: La seda se había deshecho. Material anterior: seda. "
                "Diferencia con lo anterior: tono más mate. Cómo distinguirlo: sello 26 en el canto. "
                "Destino (el original): entregado al propietario."
            ),
        ),
        (
            "new",
            (
                "Clavos (9 de 64 unidades): sustitución por material nuevo; latón. "
                "Material anterior: latón. Destino (los originales): no se guardaron."
            ),
        ),
        (
            "new",
            (
                "Llave: material nuevo, en lugar de lo que faltaba al recibir el objeto; acero. "
                "No consta cómo se compara lo nuevo con lo que faltaba."
            ),
        ),
        (
            "part_renewed",
            "Costura: renovación parcial; 9 cm recosidos, hilo de lino. Material anterior: hilo de lino.",
        ),
        (
            "earlier",
            (
                "Al recibir el objeto, añadido posterior (a nuestro parecer): patas (4 unidades). "
                "No consta ningún trabajo en ello."
            ),
        ),
        ("not_known", "Sin examinar: ribete."),
        ("not_known", "Se desconoce si es original, y no consta ningún trabajo: ribete."),
        ("not_known", "Se desconoce si es original: fondo. Trabajo realizado: fijación; con engrudo."),
        ("not_known", "No se pudo ver al examinar el objeto: el reverso de la cerradura."),
        ("changed", "Interior de la tapa: cambio de tamaño, forma o uso; 2 cm menos."),
        (
            "undone",
            "Recomendado y no realizado: un portaetiquetas nuevo. Motivo: No se conoce el antiguo.",
        ),
        ("gone", "Parche: retirada. Motivo: Ya no sujetaba. No consta dónde se halla ahora (el original)."),
        ("gone", "Faltaba al recibir el objeto y sigue faltando: portaetiquetas."),
        ("hidden", "Ahora cubierto y ya no visible (reparación): cartón."),
    ],
)
def test_the_sentences_read_as_a_workshop_would_write_them(
    sentences: dict[str, list[str]], group: str, text: str
) -> None:
    assert text in sentences[group]


def test_what_was_said_before_stands_beside_what_is_read_now() -> None:
    texts = said_with_history(JOB, "Taller del Azud")
    assert (
        "Interior de la tapa, según lo dicho antes: nuevo, igual al anterior (Taller del Azud, "
        "3 de marzo de 2020). Lectura de este informe: «original». Todas las lecturas se mantienen; "
        "en el recuento figura como: sustitución anterior."
    ) in texts


def test_a_part_within_one_that_was_replaced() -> None:
    texts = said_within_a_replaced_part("es", "cajón", "fondo del cajón")
    assert (
        "Se desconoce qué fue de ello: fondo del cajón; no consta ningún trabajo en ello, "
        "y sí en la pieza que lo contiene, cajón: sustitución."
    ) in texts


@pytest.mark.parametrize(
    ("material", "code"),
    [
        ("pegado con cola de contacto", "solvent-hexane"),
        ("hierro niquelado", "plating"),
        ("hebilla chapada en oro", "plating"),
        ("mango de marfil", "species-ivory"),
        ("asa de celuloide", "celluloid"),
        ("becerro, con manchas de moho", "mould"),
        ("nogal chapado en palisandro", "species-wood"),
        ("piel de cocodrilo", "species-reptile"),
    ],
)
def test_words_of_the_trade_are_found(material: str, code: str) -> None:
    assert code in codes("es", material)


@pytest.mark.parametrize(
    "material",
    [
        "adhesivo de contacto en base agua",
        "hilo color marfil",
        "vaqueta grabada cocodrilo",
        "papel con canto dorado",
    ],
)
def test_what_only_sounds_like_it_is_not_found(material: str) -> None:
    assert codes("es", material) == []


@pytest.mark.parametrize(
    ("written", "unit", "low"),
    [
        ("3,6 dm²", "square decimetre", "18/5"),
        ("8 onzas de cuero", "leather ounce", "8"),
        ("2 pulgadas", "inch", "2"),
        ("2 pies cuadrados", "square foot", "2"),
    ],
)
def test_units_as_they_are_written_in_spanish(written: str, unit: str, low: str) -> None:
    """International yard and pound, 1959: one inch is 25.4 mm."""
    assert read(written, "es") == (unit, low)


@pytest.mark.parametrize(
    ("how", "material", "rule"),
    [
        ("frotado con acetona", "vaqueta de curtición vegetal", "strong-solvent-leather"),
        ("pulido con pasta de pulir", "acero niquelado", "metal-polish-plated"),
        ("limpiado con alcohol", "lona estampada", "solvent-printed-canvas"),
        ("retocado con alcohol", "nogal con goma laca", "alcohol-shellac"),
        ("limpieza en seco con pincel suave", "vaqueta", ""),
    ],
)
def test_what_is_kept_off_a_material_is_found_in_spanish(how: str, material: str, rule: str) -> None:
    """Rules of the trade: common practice, no source."""
    assert rules("es", how, material) == ([rule] if rule else [])


@pytest.mark.parametrize(
    ("items", "said"),
    [
        (["correa", "hebilla"], "correa y hebilla"),
        (["correa", "tapa", "hilo"], "correa, tapa e hilo"),
        (["madera", "hierro"], "madera y hierro"),
        (["clavo", "Inscripción"], "clavo e Inscripción"),
        (["tapa", "yute"], "tapa y yute"),
        (
            ["caja, frente", "caja, interior", "incrustaciones"],
            "caja, frente; caja, interior; e incrustaciones",
        ),
    ],
)
def test_y_is_e_before_the_sound_of_i(items: list[str], said: str) -> None:
    """Real Academia Española, Diccionario panhispánico de dudas, "y": "e" before i- and hi-, not before hie-
    (from memory).
    """
    assert listed(items, Catalogue("es")) == said
