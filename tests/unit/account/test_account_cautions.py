"""Cautions: found where their words stand, not where they do not, and never more than a caution.

Figures against the published limits: n-hexane OSHA 500 ppm and NIOSH 50 ppm, toluene OSHA 200 ppm
(NIOSH Pocket Guide to Chemical Hazards; 29 CFR 1910.1000 Table Z-1 and Z-2).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from counting import calls_again

from dossier.account.cautions import cautions, rules
from dossier.model.job import Job
from dossier.words import LANGUAGES, Catalogue

Change = Callable[[dict[str, Any]], Job]

FOUND = [
    ("contact adhesive", "solvent-hexane"),
    ("n-Hexane", "solvent-hexane"),
    ("cellulose thinner", "solvent-toluene"),
    ("solvent degreaser", "solvent"),
    ("perchloroethylene", "solvent"),
    ("rubbed with alcohol", "solvent"),
    ("neoprene glue", "solvent-hexane"),
    ("superglue", "adhesive-epoxy"),
    ("woodworm killer", "biocide"),
    ("two-part adhesive", "adhesive-epoxy"),
    ("nickel plated steel", "plating"),
    ("electroplating", "plating"),
    ("razor blades", "blade"),
    ("edges sanded", "dust"),
    ("mildew", "mould"),
    ("red lead primer", "lead"),
    ("lead, cast", "lead"),
    ("tin-lead solder", "lead"),
    ("old pewter", "lead"),
    ("sheet lead", "lead"),
    ("leaded glass", "lead"),
    ("Scheele's green", "arsenic"),
    ("arsenical paper", "arsenic"),
    ("fire-gilt brass", "mercury"),
    ("celluloid", "celluloid"),
    ("luminous paint", "radium"),
    ("asbestos cord", "asbestos"),
    ("alligator skin", "species-reptile"),
    ("crocodile, embossed calf", "species-reptile"),  # two materials
    ("ivory, imitation", "celluloid"),
    ("alligator embossed with initials", "species-reptile"),
    ("bronze lizard, shoe of 1930", "species-reptile"),  # a colour of the skin
    ("ring lizard", "species-reptile"),
    ("ayers", "species-reptile"),
    ("ivory paper knife", "species-ivory"),
    ("not faux ivory", "species-ivory"),
    ("walrus", "species-ivory"),
    ("hippo", "species-animal"),
    ("shark over board", "species-animal"),
    ("peccary", "species-animal"),
    ("coral", "species-animal"),
    ("jacaranda", "species-wood"),
    ("elephant ivory", "species-ivory"),
    ("lizard", "species-reptile"),
    ("snake skin", "species-reptile"),
    ("sealskin over board", "species-animal"),
    ("shagreen", "species-animal"),
    ("kingwood parquetry", "species-wood"),
    ("huanghuali", "species-wood"),
    ("croc, belly cut", "species-reptile"),
    ("coral beads", "species-animal"),
    ("Dalbergia nigra", "species-wood"),
    ("Swietenia macrophylla", "species-wood"),  # who knows the species is told; see below of the trade names
]
# Of ebony the kinds of Madagascar were listed, of these logs, sawn wood and veneer sheets (#5): CITES
# appendices of 2012, read. Mahogany likewise (from memory). A finished object is none of that.
NOT_FOUND = [
    ("ebony knobs", "species-wood"),
    ("mahogany carcase", "species-wood"),
    ("ostrich", "species-animal"),
    ("calf embossed as crocodile", "species-reptile"),
    ("snake-effect vinyl", "species-reptile"),
    ("elephant-grain calf", "species-animal"),
    ("coral red paint", "species-animal"),
    ("ivory enamel", "species-ivory"),
    ("brass, in the shape of an elephant", "species-animal"),
    ("beech grained as rosewood", "species-wood"),
    ("brass plate", "plating"),
    ("ivory, imitation", "species-ivory"),
    ("tortoiseshell (simulated)", "species-ivory"),
    ("crocodile-embossed calf", "species-reptile"),
    ("ivory silk", "species-ivory"),
    ("calf, lizard-embossed", "species-reptile"),
    ("silver snake chain", "species-reptile"),
    ("silk, leopard print", "species-animal"),
    ("brass, leopard cast", "species-animal"),
    ("shagreen paper", "species-animal"),
    ("calf, dyed ivory", "species-ivory"),
    ("ivory lining silk", "species-ivory"),
    ("paper of tortoiseshell pattern, tortoiseshell paper", "species-ivory"),
    ("python-grained calf", "species-reptile"),
    ("pencil lead", "lead"),
    ("leading strip of pleather", "lead"),
    ("leading edge", "lead"),
    ("solvent-free paste", "solvent"),
    ("walnut, spirit varnish", "solvent"),  # what it came with; who lays it on is cautioned
    ("lead free solder", "lead"),
    ("lead-free pewter", "lead"),
    ("lead pencil", "lead"),
    ("croc-effect calf", "species-reptile"),
    ("coral pink silk", "species-animal"),
    ("bayonet cap", "blade"),
    ("razor strop", "blade"),
    ("camphorwood", "biocide"),
    ("polyvinyl alcohol", "solvent"),
    ("golden oak", "plating"),
    ("bladed", "blade"),
]


def codes(job: Job, words: Catalogue) -> set[str]:
    return {caution.code for caution in cautions(job, words)}


def test_every_caution_has_a_case() -> None:
    assert {code for _, code in FOUND} | {"blade-used", "corrosive"} == {rule.code for rule in rules("en")}


@pytest.mark.parametrize(("material", "code"), FOUND)
def test_found_in_a_material(material: str, code: str, job_with: Change, words: Catalogue) -> None:
    (caution,) = (c for c in cautions(job_with({"/parts/3/material": material}), words) if c.code == code)
    assert caution.rows == ("parts/4",)
    assert caution.text and caution.source


@pytest.mark.parametrize(("material", "code"), NOT_FOUND)
def test_not_found(material: str, code: str, job_with: Change, words: Catalogue) -> None:
    assert code not in codes(job_with({"/parts/3/material": material}), words)


@pytest.mark.parametrize(
    ("language", "varnish"),
    [
        ("en", "spirit varnish"),
        ("de", "Spirituslack"),
        ("fr", "vernis au tampon"),
        ("it", "gommalacca a tampone"),
        ("es", "barniz de alcohol"),
        ("ja", "アルコールニス"),
    ],
)
def test_an_old_varnish_is_no_solvent_that_is_used(language: str, varnish: str, job_with: Change) -> None:
    spoken = Catalogue(language)
    assert "solvent" not in codes(job_with({"/parts/3/material": varnish}), spoken)
    assert "solvent" in codes(job_with({"/work/0/product": varnish}), spoken)


def test_found_in_product_and_way_of_working(job_with: Change, words: Catalogue) -> None:
    job = job_with({"/work/0/product": "acetone", "/work/4/how": "edges sanded"})
    found = {c.code: c.rows for c in cautions(job, words)}
    assert found == {"solvent": ("work/1",), "dust": ("work/5",)}


@pytest.mark.parametrize(
    ("place", "code", "row"),
    [("/work/4/how", "blade-used", "work/5"), ("/parts/3/part", "blade", "parts/4")],
)
def test_a_blade_that_was_used_is_no_blade_on_the_object(
    place: str, code: str, row: str, job_with: Change, words: Catalogue
) -> None:
    """Trimmed with a scalpel: whoever works is cautioned, and nobody is told of points on the object, or of
    laws on who may own it (common practice, no source).
    """
    found = {c.code: c.rows for c in cautions(job_with({place: "trimmed with a scalpel"}), words)}
    assert found == {code: (row,)}


# What burns, as a workshop writes it, and what only holds its name (common practice, no source).
CORROSIVE = {
    "en": (("oxalic acid", "caustic soda", "rust remover"), ("acid-free tissue", "the bleached side")),
    "de": (("Oxalsäure", "abgelaugt", "Salmiakgeist"), ("säurefreier Karton", "Unterlagen geklebt")),
    "fr": (("eau de Javel", "ammoniaque"), ("papier sans acide",)),
    "it": (("candeggina", "acido ossalico"), ("carta senza acidi",)),
    "es": (("lejía", "amoníaco"), ("papel sin ácido",)),
    "ja": (("シュウ酸", "漂白剤"), ("硫酸紙", "中性紙")),
}


@pytest.mark.parametrize("language", CORROSIVE)
def test_an_acid_a_lye_or_a_bleach_is_cautioned_where_it_is_used(language: str, job_with: Change) -> None:
    spoken = Catalogue(language)
    found, not_found = CORROSIVE[language]
    for text in found:
        assert "corrosive" in codes(job_with({"/work/4/how": text}), spoken), text
        assert "corrosive" not in codes(job_with({"/parts/3/material": text}), spoken), text
    for text in not_found:
        assert "corrosive" not in codes(job_with({"/work/4/how": text}), spoken), text


def test_what_was_taken_off_may_have_left_traces(job_with: Change, words: Catalogue) -> None:
    """Old paint removed at a corner is the dangerous moment, and leaves dust (common practice, no source)."""
    job = job_with({"/work/4/how": "old paint at the corner was removed"})
    (caution,) = cautions(job, words)
    assert caution.code == "lead" and "where old paint was taken off, traces and dust" in caution.text


@pytest.mark.parametrize(
    ("language", "glass", "work"),
    [
        ("it", "vetro smerigliato", "smerigliato a secco"),
        ("es", "vidrio esmerilado", "esmerilado en seco"),
        ("de", "Glas, geschliffen", "trocken geschliffen"),
    ],
)
def test_ground_glass_gives_no_dust(language: str, glass: str, work: str, job_with: Change) -> None:
    """A focusing screen is of ground glass: nobody ground it here (common practice, no source)."""
    spoken = Catalogue(language)
    assert "dust" not in codes(job_with({"/parts/3/material": glass}), spoken)
    assert "dust" in codes(job_with({"/work/4/how": work}), spoken)


def test_imitations_are_cautioned_for_what_they_are(job_with: Change, words: Catalogue) -> None:
    found = codes(job_with({"/parts/3/material": "imitation tortoiseshell"}), words)
    assert "celluloid" in found and "species-ivory" not in found


def test_the_whole_job_has_none(job_with: Change, words: Catalogue) -> None:
    assert cautions(job_with({}), words) == ()


def test_published_limits() -> None:
    by_code = {rule.code: rule.text for rule in rules("en")}
    assert re.findall(r"(OSHA|NIOSH) (\d+) ppm", by_code["solvent-hexane"]) == [
        ("OSHA", "500"),
        ("NIOSH", "50"),
    ]
    assert re.findall(r"(OSHA|NIOSH) (\d+) ppm", by_code["solvent-toluene"]) == [("OSHA", "200")]


def test_none_is_a_recipe_and_each_defers() -> None:
    """No amounts, temperatures or currents to work by; each names rules, law, a licence or training."""
    for rule in rules("en"):
        text = re.sub(r"\d+ ppm", "", rule.text)
        assert not re.search(r"\d\s*(g|ml|l|%|°|c\b|a\b|v\b)", text, re.IGNORECASE), rule.code
        assert re.search(
            r"local (rules|law|fire rules|radiation rules)|licensed|trained", text, re.IGNORECASE
        ), rule.code


# Lead by itself where a material is named, and words that hold its name and are none of it (from memory).
LEAD = {
    "en": (("lead", "sheet lead"), ("lead-free solder", "black lead", "leader cloth")),
    "de": (("Blei", "Bleiblech"), ("bleifreies Lot", "Bleistift", "bleibende Naht")),
    "fr": (("plomb", "feuille de plomb"), ("sans plomb", "mine de plomb", "plombage")),
    "it": (("piombo", "foglio di piombo"), ("senza piombo", "mina di piombo")),
    "es": (("plomo", "lámina de plomo"), ("sin plomo", "mina de plomo")),
    "ja": (("鉛", "鉛板"), ("亜鉛", "鉛筆", "黒鉛", "無鉛")),
}


@pytest.mark.parametrize("language", LEAD)
def test_lead_is_found_as_a_material_and_nowhere_as_a_verb(language: str, job_with: Change) -> None:
    spoken = Catalogue(language)
    found, not_found = LEAD[language]
    for material in found:
        assert "lead" in codes(job_with({"/parts/3/material": material}), spoken), material
    for material in not_found:
        assert "lead" not in codes(job_with({"/parts/3/material": material}), spoken), material
    for text in ("the seams lead to the corner", "leads of thread drawn in"):
        assert "lead" not in codes(job_with({"/work/4/how": text, "/parts/3/condition": text}), spoken)


def test_what_is_under_a_plating_and_what_is_protected_are_materials_too(job_with: Change) -> None:
    job = job_with({"/plating": [{"metal": "nickel", "base": "lead"}], "/protected": [{"species": "Caiman"}]})
    found = {caution.code: caution.rows for caution in cautions(job, Catalogue("en"))}
    assert "plating/1" in found["lead"] and "protected/1" in found["species-reptile"]


# As a workshop writes of materials and parts: what a caution is for, and what only sounds like it (common
# practice, no source).
RIGHT = [
    ("emerald green paint on old wood", "arsenic"),
    ("painted emerald green", "arsenic"),
    ("emerald green book cloth", "arsenic"),
    # Cloth and paper of the 19th century were coloured with it as paint was (from memory).
    ("emerald green cloth", "arsenic"),
    ("emerald-green silk lining", "arsenic"),
    ("emerald green wallpaper inside the lid", "arsenic"),
    ("emerald green cloth over emerald green paint", "arsenic"),
    ("python skin", "species-reptile"),
    ("reticulated python, back cut", "species-reptile"),
    ("python, label of Python & Sons", "species-reptile"),
    ("covered by python", "species-reptile"),
    ("old paint on the frame", "lead"),
    ("old paint could not be removed", "lead"),
    ("old paint partly removed", "lead"),
    ("old paint removed from the lid, red lead below", "lead"),
    ("knife blade, steel", "blade"),
    ("sword in its scabbard", "blade"),
    ("blade engraved with a blade of grass", "blade"),
    ("cellulose thinner", "solvent-toluene"),
    ("thinned with thinner", "solvent"),
    ("chain cleaned in paraffin", "solvent"),  # kerosene, in Britain
    ("grey mould on the lining", "mould"),
    ("staining from the mould on the lining", "mould"),
    ("mould taken off with a soft brush", "mould"),
    ("Mould taken from the lining with a soft brush", "mould"),
    ("black mould of unknown kind", "mould"),
    ("mould taken from the lining, new feet cast in resin", "mould"),
    ("mould taken from the cast in the corner with a brush", "mould"),
    ("mould taken from the lining. Cast in resin: the feet", "mould"),
    ("mould on the base; a mould was taken from the foot and the new one cast in resin", "mould"),
    ("A mould was taken from the foot, the mould on the base brushed off", "mould"),
    ("mold taken from the base with a brush, mold taken from the foot, cast in resin", "mould"),
    ("the mould was taken off with a brush", "mould"),
    ("gilt fittings, gilt-edged paper", "plating"),
]
WRONG = [
    ("Python Brothers, trunk makers", "species-reptile"),
    ("made by Python & Sons", "species-reptile"),
    ("label of Mr Python", "species-reptile"),
    ("Python Ltd., London", "species-reptile"),
    ("paper of python pattern, python-pattern paper", "species-reptile"),
    ("old paint removed", "lead"),
    ("the old paint had been removed before", "lead"),
    ("free of old paint", "lead"),
    ("blade of grass pattern", "blade"),
    ("paper printed with blades of grass", "blade"),
    ("shoulder-blade cut of the hide", "blade"),
    ("silk in knife pleats", "blade"),
    ("thinner leather at the edge", "solvent"),
    ("the board is thinner here", "solvent"),
    ("set in paraffin wax", "solvent"),
    ("mould-made paper", "mould"),
    ("cast from a mould", "mould"),
    ("pressed in a mould", "mould"),
    ("cock bead, mould profile copied", "mould"),
    ("A mould was taken from the surviving foot and the new one cast in resin", "mould"),
    ("mold taken from the old handle, cast in resin", "mould"),
    ("mould taken from the old handle and cast in resin", "mould"),
    ("mould of the left foot, cast in tin", "mould"),
    ("two moulds were taken from the rail", "mould"),
    ("made a mold in silicone", "mould"),
    ("two-part mould of rubber", "mould"),
    ("gilt-edged cards", "plating"),
]


@pytest.mark.parametrize(("text", "code"), RIGHT)
def test_what_is_meant_is_cautioned(text: str, code: str, job_with: Change, words: Catalogue) -> None:
    for place in ("material", "condition"):
        assert code in codes(job_with({f"/parts/3/{place}": text}), words), place


@pytest.mark.parametrize(("text", "code"), WRONG)
def test_what_only_sounds_like_it_is_not(text: str, code: str, job_with: Change, words: Catalogue) -> None:
    for place in ("material", "condition"):
        assert code not in codes(job_with({f"/parts/3/{place}": text}), words), place


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_mould_for_casting_is_none_that_grew_in_any_language(language: str, job_with: Change) -> None:
    """English words are looked for in every job; no other language calls the two by one word."""
    words = Catalogue(language)
    taken = "A mould was taken from the surviving foot and the new one cast in resin"
    for text, grew in ((taken, False), (f"Mould on the base. {taken}", True)):
        for place in ("/work/4/how", "/parts/3/condition"):
            assert ("mould" in codes(job_with({place: text}), words)) is grew, (text, place)


def test_whoever_takes_old_paint_off_is_cautioned(job_with: Change, words: Catalogue) -> None:
    found = {c.code: c.rows for c in cautions(job_with({"/work/4/how": "old paint removed"}), words)}
    assert found["lead"] == ("work/5",)


# The same elsewhere: two that are right for arsenic, then right and wrong for lead (from memory).
ELSEWHERE = {
    "de": (
        "smaragdgrüne Farbe auf altem Holz",
        "smaragdgrünes Tuch",
        "alter Anstrich",
        "Alter Anstrich entfernt",
    ),
    "fr": ("peinture vert émeraude", "drap vert émeraude", "ancienne peinture", "ancienne peinture enlevée"),
    "it": ("vernice verde smeraldo", "panno verde smeraldo", "vecchia vernice", "vecchia vernice rimossa"),
    "es": ("pintura verde esmeralda", "paño verde esmeralda", "pintura vieja", "pintura vieja eliminada"),
    "ja": ("エメラルドグリーンの塗料", "エメラルドグリーンの布", "古い塗膜", "古い塗膜は除去済み"),
}
SEALS = {
    "de": "Robbenfell",
    "fr": "phoque",
    "it": "pelle di foca",
    "es": "piel de foca",
    "ja": "アザラシの毛皮",
}
FIRMS = {
    "de": "Gebrüder Python",
    "fr": "maison Python",
    "it": "Fratelli Python",
    "es": "Hermanos Python",
    "ja": "パイソン商会",
}


# A trade name by itself, and what is only of its colour, print or look (from memory).
NAMED = {
    "de": ("Eidechse", "Kalbsleder, krokogeprägt", "Koralle", "korallenrot lackiert"),
    "fr": ("tortue", "vachette gaufrée crocodile", "éléphant", "soie couleur corail"),
    "it": ("ayers", "vitello stampato coccodrillo", "corallo", "rosso corallo"),
    "es": ("tortuga", "piel grabada cocodrilo", "tiburón", "color coral"),
    "ja": ("トカゲ", "クロコ型押し", "珊瑚", "珊瑚色"),
}


@pytest.mark.parametrize("language", NAMED)
def test_a_trade_name_is_asked_about_and_a_look_is_not(language: str, job_with: Change) -> None:
    reptile, embossed, animal, coloured = (
        codes(job_with({"/parts/3/material": text}), Catalogue(language)) for text in NAMED[language]
    )
    assert "species-reptile" in reptile - embossed and "species-animal" in animal - coloured


@pytest.mark.parametrize("language", ELSEWHERE)
def test_the_same_in_other_languages(language: str, job_with: Change) -> None:
    spoken = Catalogue(language)
    green, cloth, paint, gone = ELSEWHERE[language]

    def found(text: str) -> set[str]:
        return codes(job_with({"/parts/3/condition": text}), spoken)

    assert "arsenic" in found(green) and "arsenic" in found(cloth)
    assert "lead" in found(paint) and "lead" not in found(gone)
    assert "species-reptile" not in found(FIRMS[language])
    assert "species-animal" in found(SEALS[language]) and "species-animal" not in found(green)


def test_a_row_is_not_asked_for_every_word_of_the_table(job_with: Change, words: Catalogue) -> None:
    """Of thousands of different rows most meet none: each costs fewer steps than the table has words."""

    def work(n: int) -> int:
        parts = [{"number": str(k), "part": f"slat {k}", "material": f"larch of plank {k}"} for k in range(n)]
        job = job_with({"/parts": parts})
        return calls_again(lambda: cautions(job, words))

    table = words.table("cautions").values()
    assert (work(300) - work(100)) / 200 < sum(len(row["words"]) for row in table)


@pytest.mark.parametrize(
    ("language", "material"),
    [
        ("en", "silk, petrol blue"),
        ("en", "elephant hide paper"),
        ("en", "brass, handle in the shape of a snake"),
        ("en", "oak, carved eagle feathers"),
        ("fr", "laiton, anse en forme de serpent"),
        ("it", "ottone, manico a forma di serpente"),
        ("es", "bronce, lagarto fundido"),
        ("ja", "ジャガード織"),
        ("ja", "リンデン材"),
    ],
)
def test_a_colour_a_shape_and_a_weave_are_no_animal_and_no_solvent(
    language: str, material: str, job_with: Change
) -> None:
    """ジャガード is jacquard and リンデン材 the wood of the lime: common knowledge, no source."""
    found = codes(job_with({"/parts/3/material": material}), Catalogue(language))
    assert found <= codes(job_with({"/parts/3/material": "oak"}), Catalogue(language))


@pytest.mark.parametrize(
    ("language", "text"),
    [
        ("en", "kept away from the asbestos rope"),
        ("de", "Asbest vermieden"),
        ("fr", "amiante évité"),
        ("it", "amianto evitato"),
        ("es", "amianto evitado"),
        ("ja", "石綿を避けた"),
    ],
)
def test_what_is_avoided_is_there(language: str, text: str, job_with: Change) -> None:
    """Common practice, no source: whoever works round it is cautioned. It had read as no asbestos."""
    assert "asbestos" in codes(job_with({"/parts/3/condition": text}), Catalogue(language))
