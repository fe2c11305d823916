"""Words that turn a match off, as the bench writes them, in six languages.

Common practice, no source; that "leather" is hide of an animal alone, and artificial leather none: EN 15987
(second-hand). Each pair stands beside the same material without the word.
"""

from __future__ import annotations

import pytest

from dossier.account.cautions import cautions
from dossier.model.job import Job, Workshop
from dossier.model.rows import Object, Part, Work
from dossier.trade.rules import in_force, matches
from dossier.trade.turned_off import Off, said, wanted
from dossier.words import Catalogue

# Language, material, how; the rules that speak of it.
PHRASES = [
    # glues are called by what they were cooked from
    ("en", "pine, hide glue", "damp cloth", ""),
    ("en", "pine, bone glue", "vinegar", ""),
    ("en", "card, rabbit skin glue", "damp cloth", "wet-paper"),
    ("en", "calfskin, hide glue", "damp cloth", "wet-leather"),
    ("en", "beech, walnut stain", "silicone", ""),
    ("de", "Kiefer, Hautleim", "mit Wasser", ""),
    ("fr", "pin, colle de peau", "éponge humide", ""),
    ("it", "pino, colla di pelle", "sapone", ""),
    ("es", "pino, cola de piel", "jabón", ""),
    # colours
    ("en", "bone", "vinegar", "acid-lime"),
    ("en", "bone-coloured paint on pine", "vinegar", ""),
    ("en", "ivory", "vinegar", "acid-lime"),
    ("en", "ivory-coloured plastic", "vinegar", ""),
    ("en", "ivory silk", "vinegar", ""),
    ("en", "coral velvet", "vinegar", ""),
    ("en", "mahogany-coloured ash", "PVA", ""),
    ("en", "mahogany", "PVA", "white-glue-wood"),
    ("en", "bronze", "ammonia", "ammonia-brass"),
    ("en", "bronze kid", "ammonia", "ammonia-organic"),
    ("en", "leather coloured black by hand", "saddle soap", "wet-leather"),
    ("en", "leather, coloured", "saddle soap", "wet-leather"),
    ("de", "mahagonifarbene Esche", "Silikon", ""),
    ("de", "Palisander", "Silikon", "silicone"),
    ("fr", "métal couleur acajou", "colle blanche", ""),
    ("fr", "acajou", "colle blanche", "white-glue-wood"),
    ("it", "plastica color avorio", "aceto", ""),
    ("it", "avorio", "aceto", "acid-lime"),
    ("es", "plástico color marfil", "vinagre", ""),
    ("es", "marfil", "vinagre", "acid-lime"),
    ("ja", "牛革", "水拭き", "wet-leather"),
    ("ja", "革色の布", "水拭き", ""),
    # imitations; an imitation that a rule speaks of by its name is found
    ("en", "imitation tortoiseshell", "vinegar", ""),
    ("en", "imitation tortoiseshell", "acetone", "solvent-celluloid"),
    ("en", "tortoiseshell", "vinegar", "acid-lime"),
    ("en", "faux leather", "saddle soap", ""),
    ("en", "faux leather", "white spirit", "solvent-printed-canvas"),
    ("en", "leatherette over board", "saddle soap", ""),
    ("en", "cotton, leather-look", "saddle soap", ""),
    ("en", "bone china", "vinegar", ""),
    ("en", "wood-effect paper", "oxalic acid", ""),
    ("de", "Kunstleder", "mit Wasser", ""),
    ("de", "Leder", "mit Wasser", "wet-leather"),
    ("de", "Elfenbein", "Essig", "acid-lime"),
    ("de", "Elfenbein-Imitat", "Essig", ""),
    ("de", "Palisanderimitat", "Silikon", ""),
    ("de", "Kunststoff", "Wasserstoffperoxid", ""),
    ("fr", "imitation ivoire", "vinaigre", ""),
    ("fr", "imitation ivoire", "acétone", "solvent-celluloid"),
    ("fr", "cuir synthétique", "éponge humide", ""),
    ("it", "finto avorio", "aceto", ""),
    ("es", "imitación de marfil", "vinagre", ""),
    ("ja", "人工皮革", "水拭き", ""),
    # what is not there
    ("en", "brass, lacquered", "metal polish", "metal-polish-lacquered"),
    ("en", "brass, not lacquered", "metal polish", ""),
    ("en", "brass, never lacquered", "metal polish", ""),
    ("en", "brass, not yet gold plated", "metal polish", ""),
    ("en", "brass, not gilt", "metal polish", ""),
    ("en", "no leather lining, velvet", "saddle soap", "wet-silk"),
    ("en", "leather free of rot", "saddle soap", "wet-leather"),
    ("en", "leather like the old", "saddle soap", "wet-leather"),
    ("de", "Messing lackiert", "Messingpolitur", "metal-polish-lacquered"),
    ("de", "Messing, nicht lackiert", "Messingpolitur", ""),
    ("fr", "laiton verni", "pâte à polir", "metal-polish-lacquered"),
    ("fr", "laiton non verni", "pâte à polir", ""),
    ("es", "latón sin barnizar", "pasta de pulir", ""),
    # what stands behind a comma by itself
    ("en", "ivory, imitation", "epoxy", ""),
    ("en", "ivory, epoxy-filled", "epoxy", "epoxy-leather-wood"),
    ("de", "Elfenbein, imitiert", "Epoxidharz", ""),
    # a name within another
    ("de", "Ahorn", "Chlorbleiche", ""),
    ("de", "Büffelhorn", "Chlorbleiche", "bleach-ivory"),
    ("de", "Lindenholz, gefasst", "mit Speichel", "wet-paint"),
    ("fr", "tilleul, bois peint", "salive", "wet-paint"),
    ("it", "avorio", "panno inumidito", "wet-ivory"),
    # what was not used
    ("en", "cowhide", "wiped without water", ""),
    ("en", "cowhide", "no water or soap", ""),
    ("en", "cowhide", "neither wet nor steamed", ""),
    ("en", "cowhide", "alcohol-free cleaner", ""),
    ("en", "cowhide", "not only dusted: damp cloth", "wet-leather"),
    ("en", "cowhide", "iron oxide pigment", ""),
    ("en", "leather sole", "new 9 iron sole channel stitched", ""),
    ("en", "celluloid", "degreaser instead of acetone", "solvent-celluloid"),
    ("en", "celluloid", "no acetone, ethanol on a swab", "solvent-celluloid"),
    ("en", "celluloid", "not without acetone", "solvent-celluloid"),
    ("de", "Rindleder", "weder Wasser noch Seife", ""),
    ("de", "Rindleder", "nicht ohne Wasser", "wet-leather"),
    ("de", "Rindleder", "noch feucht", "wet-leather"),
    ("de", "Rindleder", "silikonfreies Wachs", ""),
    ("fr", "cuir", "sans savon", ""),
    ("it", "pelle", "senza sapone", ""),
    ("it", "pelle", "sapone", "wet-leather"),
    ("es", "cuero", "sin jabón", ""),
    ("es", "cuero", "jabón", "wet-leather"),
    ("ja", "牛革", "水を使わず", ""),
    ("ja", "牛革", "無溶剤クリーナー", ""),
]


@pytest.mark.parametrize(("language", "material", "how", "rule"), PHRASES)
def test_what_is_not_there_draws_no_rule(language: str, material: str, how: str, rule: str) -> None:
    work = [Work(number=1, parts=("1",), done="cleaned", how=how)]
    parts = {"1": Part(number="1", part="x", material=material)}
    found = [match.rule.name for match in matches(work, parts, in_force((), language), language)]
    assert found == ([rule] if rule else [])


@pytest.mark.parametrize(
    ("language", "material", "codes"),
    [
        ("en", "no asbestos, glass cord", set()),
        ("en", "asbestos cord", {"asbestos"}),
        ("en", "asbestos-free cord", set()),
        ("en", "asbestos-like board", {"asbestos"}),  # what it looks like, it may be
        ("en", "asbestos effect board", {"asbestos"}),
        ("en", "board, no asbestos test made", {"asbestos"}),
        ("en", "board, not tested for asbestos", {"asbestos"}),
        ("en", "board, not free of asbestos", {"asbestos"}),  # two words that say no
        ("en", "board, not asbestos-free", {"asbestos"}),
        ("en", "kept dry, not in the asbestos bag", {"asbestos"}),  # where it is not, it is not gone
        ("en", "hung up, not by the asbestos rope", {"asbestos"}),
        ("en", "no gloves or asbestos mask", {"asbestos"}),
        ("de", "nicht in der Asbest-Tasche", {"asbestos"}),
        ("en", "board not known to be free from asbestos", {"asbestos"}),
        ("en", "paint, not lead-free", {"lead"}),
        ("en", "lead-free paint", set()),
        ("en", "no asbestos and no ivory", set()),
        ("en", "neither asbestos nor ivory", set()),
        ("en", "board, no asbestos encapsulation", {"asbestos"}),
        ("de", "Platte, nicht asbestfrei", {"asbestos"}),
        ("de", "Platte, nicht frei von Asbest", {"asbestos"}),
        ("de", "weder Elfenbein noch Asbest", set()),
        ("fr", "plaque, pas sans amiante", {"asbestos"}),
        ("fr", "ni amiante ni ivoire", set()),
        ("it", "lastra non priva di amianto", {"asbestos"}),
        ("it", "né amianto né avorio", set()),
        ("es", "placa no libre de amianto", {"asbestos"}),
        ("es", "sin amianto y sin marfil", set()),
        ("ja", "石綿なしとは言えない", {"asbestos"}),
        ("ja", "石綿を含まない", set()),
        ("de", "Platte, kein Asbest", set()),
        ("de", "Platte, keine Asbest-Prüfung", {"asbestos"}),
        ("en", "ivory coloured bone", set()),
        ("en", "horn, not ivory", set()),
        ("en", "not elephant ivory", {"species-ivory"}),  # which other, is not said
        ("en", "rosewood, no papers", {"species-wood"}),
        ("en", "faux ivory", {"celluloid"}),
        ("en", "brass, not plated", set()),
        ("de", "Elfenbein", {"species-ivory"}),
        ("de", "Bein, kein Elfenbein", set()),
        ("fr", "os, pas d’ivoire", set()),
        ("it", "osso, non avorio", set()),
        ("es", "hueso, sin marfil", set()),
        ("ja", "象牙ではなく骨", set()),
        ("ja", "象牙", {"species-ivory"}),
    ],
)
def test_what_is_not_there_draws_no_caution(language: str, material: str, codes: set[str]) -> None:
    part = Part(number="1", part="x", material=material)
    job = Job(number="1", workshop=Workshop(name="w"), object=Object(type="box"), parts=(part,))
    assert {one.code for one in cautions(job, Catalogue(language))} == codes


@pytest.mark.parametrize(
    ("language", "material", "codes"),
    [
        # said behind the word, in brackets: an imitation may be celluloid, and is no protected species
        ("en", "ivory (imit.)", {"celluloid"}),
        ("en", "tortoiseshell [artificial]", {"celluloid"}),
        ("en", "rosewood (faux)", set()),
        ("en", "crocodile (imitation)", set()),
        ("en", "ivory (not imitation)", {"species-ivory"}),
        ("en", "ivory, imitation tortoiseshell", {"species-ivory", "celluloid"}),  # two materials
        ("en", "ivory, imitation leather lining", {"species-ivory"}),
        ("de", "Elfenbein (unecht)", {"celluloid"}),
        ("de", "Schildpatt (falsch)", {"celluloid"}),
        ("de", "Krokodil (Prägung)", set()),
        ("fr", "ivoire (simili)", {"celluloid"}),
        ("fr", "écaille de tortue (imitation)", {"celluloid"}),
        ("it", "avorio (artificiale)", {"celluloid"}),
        ("it", "palissandro (finto)", set()),
        ("es", "marfil (símil)", {"celluloid"}),
        ("es", "palisandro (imitación)", set()),
        ("ja", "象牙（模造）", {"celluloid"}),
        ("ja", "べっ甲(イミテーション)", {"celluloid"}),
        ("ja", "紫檀（代用）", set()),
        ("ja", "ワニ革（型押し）", set()),
        # a guess and a question turn nothing off
        ("en", "probably not asbestos", {"asbestos"}),
        ("en", "board, asbestos free?", {"asbestos"}),
        ("en", "free of lead, as far as the owner knows", {"lead"}),
        ("en", "ivory (imitation?)", {"celluloid", "species-ivory"}),
        ("en", "No asbestos. Probably of 1930.", set()),  # a guess at something else
        ("de", "wohl kein Asbest", {"asbestos"}),
        ("fr", "sans amiante ?", {"asbestos"}),
        ("it", "forse senza amianto", {"asbestos"}),
        ("es", "quizá sin amianto", {"asbestos"}),
        ("ja", "おそらくアスベスト不使用", {"asbestos"}),
        ("ja", "アスベスト不使用？", {"asbestos"}),
        # what somebody was told, hopes, or saw from outside is a guess too
        ("en", "reportedly no asbestos", {"asbestos"}),
        ("en", "no asbestos, untested", {"asbestos"}),
        ("en", "no asbestos to our knowledge", {"asbestos"}),
        ("en", "no asbestos. Should be kept dry.", set()),
        ("de", "unseres Wissens kein Asbest", {"asbestos"}),
        ("de", "kein Asbest (nicht geprüft)", {"asbestos"}),
        ("de", "ohne Asbest zu berühren", {"asbestos"}),
        ("de", "Glasur, nicht bleifrei", {"lead"}),
        ("fr", "en principe sans amiante", {"asbestos"}),
        ("fr", "sans amiante apparent", {"asbestos"}),
        ("it", "senza amianto, da verificare", {"asbestos"}),
        ("it", "quadrante al radio", {"radium"}),
        ("es", "que sepamos sin amianto", {"asbestos"}),
        ("es", "esfera de radio", {"radium"}),
        ("ja", "石綿なしと聞いている", {"asbestos"}),
        ("ja", "石綿なし（未検査）", {"asbestos"}),
        ("ja", "石綿ではないか", {"asbestos"}),
        # a replacement made of it is no imitation
        ("de", "Elfenbein (Ersatz)", {"species-ivory"}),
        ("de", "Horn, Ersatz", set()),
    ],
)
def test_an_imitation_is_said_behind_it_and_a_guess_is_no_answer(
    language: str, material: str, codes: set[str]
) -> None:
    part = Part(number="1", part="x", material=material)
    job = Job(number="1", workshop=Workshop(name="w"), object=Object(type="box"), parts=(part,))
    assert {one.code for one in cautions(job, Catalogue(language))} == codes


def test_a_long_cell_is_looked_at_near_each_match_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """The longest cell made of words that are turned off: as much is read for each as for one."""
    read: list[int] = []
    within = Off._within

    def counted(off: Off, before: str, found: str, after: str) -> bool:
        read.append(len(before) + len(after))
        return within(off, before, found, after)

    monkeypatch.setattr(Off, "_within", counted)
    cell = "leather cloth " * 2_000 + "leathercloth, " * 2_000 + "without a " * 2_000 + "leather"
    assert wanted(["leather*"], "en", "material").search(said(cell)) is None
    assert 4_000 <= len(read) <= 4_100 and max(read) <= 240
