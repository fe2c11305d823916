"""The rule table: what goes with what. Facts of the trade, common practice, no source."""

from __future__ import annotations

import pytest

from dossier.model.rows import Part, Work
from dossier.trade.rules import in_force, matches, shipped, silent_rows
from dossier.words import Catalogue


def said(material: str, product: str, how: str = "", done: str = "cleaned") -> list[tuple[str, str]]:
    """Answer and rule for one piece of work on one material."""
    work = Work(number=1, parts=("1",), done=done, product=product, how=how)  # type: ignore[arg-type]
    parts = {"1": Part(number="1", part="panel", material=material)}
    return [(m.rule.answer, m.rule.name) for m in matches([work], parts, in_force((), "en"))]


@pytest.mark.parametrize(
    ("material", "product", "how", "answers"),
    [
        ("printed canvas", "solvent degreaser", "", ["keep off"]),
        ("coated canvas", "white spirit", "", ["keep off"]),
        ("cowhide, vegetable tanned", "solvent degreaser", "", ["test first"]),
        ("celluloid", "contact adhesive, solvent-based", "", ["keep off"]),
        ("shellac", "contact adhesive, solvent-based", "", ["keep off"]),
        ("brass, lacquered", "metal polish", "", ["keep off"]),
        ("brass, plated", "metal polish", "", ["keep off"]),
        ("linen", "soft brush", "", []),
        ("brass shell", "vinegar", "", ["test first"]),  # of a drum, of a case: no shell of the sea
        ("plywood shell", "silver dip", "", []),
        ("shell inlay", "vinegar", "", ["keep off"]),
        ("oil on canvas", "acetone", "", ["test first"]),  # a painting
        ("Oil on panel, framed", "damp swab", "", ["test first"]),
        ("acrylic on canvas", "white spirit", "", ["test first"]),  # paint, and no sheet of plastic
        ("canvas with oil on it", "water", "", []),
        ("fur trim", "water-based contact adhesive", "", []),
        ("brass lens barrel", "metal polish", "", []),
        ("steel, mineral oil on it", "water", "", []),
        ("pine", "", "stripped of its hardware", []),
        ("mahogany", "linseed oil putty", "", []),
        ("oak", "", "old varnish stripped", ["test first"]),
        # Vegetable tanned leather shrinks from 75 to 85 C, old leather earlier (second-hand, a textbook).
        ("cowhide, vegetable tanned", "", "ironed at 80 °C", ["keep off"]),
        ("cowhide, vegetable tanned", "", "dried at 20 °C", []),
    ],
)
def test_what_goes_with_what(material: str, product: str, how: str, answers: list[str]) -> None:
    assert [answer for answer, _ in said(material, product, how)] == answers


# The classes any bench meets, with the material each is asked about (common practice, no source).
@pytest.mark.parametrize(
    ("product", "material", "answer", "rule"),
    [
        ("saddle soap", "pigskin", "test first", "wet-leather"),
        ("saddle soap", "horsehide", "test first", "wet-leather"),
        ("saddle soap", "crocodile over board", "test first", "wet-leather"),
        ("neatsfoot oil", "cowhide", "test first", "oil-leather"),
        ("neatsfoot oil", "suede", "keep off", "dressing-suede"),
        ("spirit dye", "calfskin", "test first", "spirit-dye-leather"),
        ("PVA", "mahogany", "test first", "white-glue-wood"),
        ("hide glue", "mahogany", "", ""),
        ("epoxy", "oak", "test first", "epoxy-leather-wood"),
        ("cyanoacrylate", "cowhide", "test first", "epoxy-leather-wood"),
        ("EVA hot melt", "cloth", "test first", "hot-melt"),
        ("ultrasonic bath", "brass", "test first", "ultrasonic-metal"),
        ("ultrasonic bath", "mother-of-pearl", "keep off", "ultrasonic-delicate"),
        ("ammoniated clock cleaner", "brass", "test first", "ammonia-brass"),
        ("ammonia", "oak", "test first", "ammonia-organic"),
        ("steam", "cowhide", "test first", "heat-leather"),
        ("heat gun", "french polished mahogany", "keep off", "heat-finish"),
        ("microcrystalline wax", "brass", "", ""),
        ("linen thread 18/4, beeswax", "cowhide", "", ""),
        ("wax polish", "gesso", "test first", "wax-matt"),
        ("shellac in ethanol", "mahogany, shellac finish", "", ""),
        ("shellac", "oak, waxed", "test first", "shellac-on-wax"),
        ("nitrocellulose lacquer", "shellac", "keep off", "nitro-lacquer-finish"),
        ("nitrocellulose lacquer", "maple wood", "test first", "nitro-lacquer"),
        ("acid dip", "brass", "test first", "acid-metal"),
        ("acetone", "tortoiseshell", "test first", "solvent-ivory"),
        ("white spirit", "ivory inlay", "test first", "solvent-ivory"),
        ("steam", "horn", "test first", "heat-horn"),
        ("hot water", "tortoiseshell", "test first", "heat-horn"),
        ("hot water", "celluloid", "keep off", "heat-celluloid"),
        ("damp cloth", "framed engraving", "test first", "wet-paper"),
        ("acid dip", "mother of pearl", "keep off", "acid-lime"),
        ("acid dip", "spring steel", "keep off", "acid-spring"),
        ("bead blasting", "gilt brass", "keep off", "blasting"),
        ("bead blasting", "cast iron", "test first", "blasting-iron"),
        ("dry ice", "painted pine", "test first", "dry-ice"),
        ("oxalic acid", "oak", "test first", "bleach-wood"),
        ("damp swab", "giltwood", "test first", "wet-gilding"),
        ("damp swab", "water gilt wood", "keep off", "wet-water-gilding"),
        ("vinegar", "vitreous enamel on glass", "test first", "acid-enamel"),
        ("lemon juice", "bone", "keep off", "acid-lime"),
        ("silver polish", "silver plate on copper", "keep off", "metal-polish-plated"),
        ("metal polish", "brass, silvered", "keep off", "metal-polish-plated"),
        ("metal polish", "bronze with patina", "keep off", "polish-patina"),
        ("meths", "mahogany, french polished", "keep off", "alcohol-shellac"),
        ("saliva", "lime wood, painted", "test first", "wet-paint"),
        ("acetone", "japanned tin", "test first", "solvent-paint"),
        ("damp cloth", "ivory", "test first", "wet-ivory"),
        ("bleach", "bone", "keep off", "bleach-ivory"),
        ("hot water", "ebonite", "test first", "wet-hard-rubber"),
        ("water", "casein", "test first", "wet-casein"),
        ("water", "alabaster", "test first", "wet-plaster"),
        ("alcohol", "paper label", "test first", "solvent-paper"),
        ("alcohol", "acrylic sheet", "keep off", "solvent-plastic"),
        ("acetone", "amber", "keep off", "solvent-celluloid"),
        ("damp cloth", "papier-mâché", "test first", "wet-paper"),
        ("vinegar", "lead", "keep off", "acid-lime"),
        ("hydrogen peroxide 6 %", "bone", "keep off", "bleach-ivory"),
        ("hydrogen peroxide", "ivory", "keep off", "bleach-ivory"),
        ("window cleaner", "mirror glass", "keep off", "ammonia-mirror"),
        ("ammonia", "aluminium, cast", "keep off", "alkali-aluminium"),
        ("washing soda", "anodised aluminium", "keep off", "alkali-aluminium"),
        ("neatsfoot oil", "rubber", "keep off", "oil-rubber"),
        ("petroleum jelly", "natural rubber", "keep off", "oil-rubber"),
        ("steam", "rabbit fur", "keep off", "heat-fur"),
        ("white spirit", "ostrich feathers", "test first", "solvent-fur"),
        ("damp cloth", "fur trim", "test first", "wet-fur"),
        ("toothpaste", "lens, coated", "keep off", "polish-lens"),
        ("spray oil", "brass movement", "keep off", "spray-oil-movement"),
        ("penetrating oil", "leaf shutter of steel", "keep off", "spray-oil-movement"),
        ("bleach", "earthenware", "keep off", "bleach-ceramic"),
        ("damp swab", "terracotta", "test first", "wet-ceramic"),
        ("damp swab", "watercolour", "test first", "wet-paper"),
        ("damp swab", "tempera panel", "test first", "wet-paint"),
        ("white spirit", "oil painting", "test first", "solvent-paint"),
        ("caustic soda", "pine", "keep off", "caustic-wood"),
        ("acetone", "bakelite", "keep off", "solvent-plastic"),
        ("vinegar", "calfskin", "test first", "acid-leather"),
        ("PVA", "spruce", "test first", "white-glue-wood"),
        ("epoxy", "maple", "test first", "epoxy-leather-wood"),
        ("paint stripper", "elm", "test first", "strip-wood"),
        ("linseed oil", "mahogany", "test first", "oil-wood"),
        ("polyurethane varnish", "teak", "test first", "hard-varnish-wood"),
        ("rust remover", "blued steel", "keep off", "acid-blued"),
        ("silver dip", "metal thread on silk", "keep off", "metal-thread"),
        ("hot iron", "silk", "test first", "iron-textile"),
        ("dry mounting film", "paper", "keep off", "laminate-paper"),
        ("polishing paste", "porcelain", "keep off", "abrasive-ceramic"),
        ("vinegar", "earthenware", "keep off", "acid-ceramic"),
        ("damp swab", "maki-e on wood", "test first", "urushi"),
        ("acrylic leather paint", "cowhide", "test first", "paint-leather"),
        ("castor oil", "calfskin", "test first", "oil-leather"),
        ("acetone", "nitrocellulose lacquer", "keep off", "solvent-celluloid"),
        ("metal polish", "ormolu", "keep off", "metal-polish-plated"),
    ],
)
def test_what_a_bench_meets_has_an_answer(product: str, material: str, answer: str, rule: str) -> None:
    found = said(material, product)
    assert (found[0] if found else ("", "")) == (answer, rule)
    work = Work(number=1, parts=("1",), done="cleaned", product=product)
    parts = {"1": Part(number="1", part="panel", material=material)}
    assert not list(silent_rows([work], parts, in_force((), "en")))


def test_what_was_used_is_named_as_it_was_written() -> None:
    parts = {"1": Part(number="1", part="panel", material="Leder")}
    work = Work(number=1, parts=("1",), done="cleaned", how="Bügeleisen, lauwarm")
    assert [match.used for match in matches([work], parts, in_force((), "de"), "de")] == ["Bügeleisen"]


def test_silence_of_the_table_is_told_from_what_is_fine() -> None:
    parts = {"1": Part(number="1", part="panel", material="oak")}
    for product, is_silent in (("moon paste", True), ("hide glue", False), ("PVA", False)):
        work = Work(number=1, parts=("1",), done="repaired", product=product)
        assert list(silent_rows([work], parts, in_force((), "en"))) == [work] * is_silent, product


def test_every_rule_has_a_reason_and_a_source() -> None:
    assert len(shipped("en")) >= 20
    for rule in shipped("en"):
        assert rule.why, rule.name
        assert rule.source, rule.name
        assert rule.answer in ("fine", "test first", "keep off")


def test_a_workshops_own_rule_takes_the_place_of_one_shipped() -> None:
    first = shipped("en")[0]
    own = type(first)(name=first.name, answer="keep off", use=("anything",), why="ours", source="ours")
    names = [rule.name for rule in in_force((own,), "en")]
    assert names.count(first.name) == 1
    assert in_force((own,), "en")[0].why == "ours"


@pytest.mark.parametrize(
    ("language", "material", "how", "rule"),
    [
        ("de", "Zelluloidgriff", "bei 60 °C gerichtet", "hot-celluloid"),
        ("de", "Zelluloid", "mit Heißluft gerichtet", "heat-celluloid"),
        ("de", "Schellack", "Kontaktkleber", "contact-adhesive-shellac"),
        ("de", "Seidenfutter aus Seide", "mit Wasser getupft", "wet-silk"),
        ("de", "Pergament", "angefeuchtet", "wet-parchment"),
        ("fr", "laiton verni", "pâte à polir", "metal-polish-lacquered"),
        ("fr", "gomme laque", "colle de contact", "contact-adhesive-shellac"),
        ("fr", "soie", "tamponné à l’éponge humide", "wet-silk"),
        ("fr", "parchemin", "remis à plat à la vapeur", "wet-parchment"),
        ("de", "Eichenholz", "mit Heißkleber geklebt", "hot-melt"),
        ("de", "Perlmutt", "im Ultraschallbad", "ultrasonic-delicate"),
        ("fr", "acier à ressort", "décapé à l’acide", "acid-spring"),
        ("fr", "chêne", "blanchi à l’acide oxalique", "bleach-wood"),
        ("it", "ottone", "sabbiatura fine", "blasting"),
        ("it", "gommalacca", "vernice nitro a spruzzo", "nitro-lacquer-finish"),
        ("es", "nácar", "baño de vinagre", "acid-lime"),
        ("es", "roble", "vapor de amoníaco", "ammonia-organic"),
        ("de", "Holz, vergoldet", "feucht abgetupft", "wet-gilding"),
        ("fr", "bois doré", "tamponné à l’éponge humide", "wet-gilding"),
        ("it", "cornice dorata", "acqua", "wet-gilding"),
        ("es", "chapa esmaltada", "vinagre", "acid-enamel"),
        ("fr", "émail sur verre", "vinaigre", "acid-enamel"),
        ("ja", "牛革", "水を含ませた布", "wet-leather"),
        ("ja", "ホーロー", "酢で拭いた", "acid-enamel"),
        ("ja", "真鍮", "ビーズブラスト処理", "blasting"),
        ("ja", "牛革", "アニリン染料で補色", "spirit-dye-leather"),
        ("de", "Öl auf Leinwand", "mit Aceton", "solvent-paint"),
        ("fr", "huile sur toile", "à l’acétone", "solvent-paint"),
        ("it", "olio su tavola", "con acqua", "wet-paint"),
        ("es", "acrílico sobre lienzo", "con aguarrás", "solvent-paint"),
        ("ja", "キャンバスに油彩", "アセトンで拭く", "solvent-paint"),
        ("de", "Spiegelglas", "mit Glasreiniger", "ammonia-mirror"),
        ("de", "Bein", "Wasserstoffperoxid", "bleach-ivory"),
        ("fr", "caoutchouc", "vaseline", "oil-rubber"),
        ("fr", "plumes", "à la vapeur", "heat-fur"),
        ("it", "alluminio", "soda caustica", "alkali-aluminium"),
        ("it", "dipinto a olio", "acqua", "wet-paint"),
        ("es", "loza", "lejía", "bleach-ceramic"),
        ("es", "papel", "húmedo", "wet-paper"),
        ("ja", "ゴム", "グリースを塗布", "oil-rubber"),
        ("ja", "レンズ", "研磨剤で磨いた", "polish-lens"),
        ("de", "Krokodil", "mit Sattelseife", "wet-leather"),
        ("it", "coccodrillo", "sapone da sella", "wet-leather"),
        ("ja", "ワニ", "固く絞った布", "wet-leather"),
        ("de", "Ahorn", "mit Weißleim geleimt", "white-glue-wood"),
        ("de", "Stahl, gebläut", "Zitronensäure", "acid-blued"),
        ("de", "Steingut", "mit Polierpaste", "abrasive-ceramic"),
        ("fr", "noyer", "décapé au décapant", "strip-wood"),
        ("fr", "fil d’or", "bain d’argent", "metal-thread"),
        ("fr", "papier", "plastifié", "laminate-paper"),
        ("it", "noce", "olio paglierino", "oil-wood"),
        ("it", "maiolica", "aceto", "acid-ceramic"),
        ("it", "seta", "stirata", "iron-textile"),
        ("es", "cuero", "pintura acrílica", "paint-leather"),
        ("es", "nogal", "barniz de poliuretano", "hard-varnish-wood"),
        ("es", "laca japonesa", "paño húmedo", "urushi"),
        ("ja", "蒔絵", "濡らした布で拭いた", "urushi"),
        ("ja", "金糸", "食酢", "metal-thread"),
        ("de", "Silbergelatineabzug", "mit Alkohol", "solvent-paper"),
        ("fr", "papier", "alcool", "solvent-paper"),
        ("it", "cartapesta", "acetone", "solvent-paper"),
        ("es", "ámbar", "acetona", "solvent-celluloid"),
        ("ja", "和紙", "アルコール", "solvent-paper"),
        ("de", "Schildpatt", "mit Aceton", "solvent-ivory"),
        ("de", "Büffelhorn", "über Wasserdampf", "heat-horn"),
        ("fr", "écaille", "à l’eau chaude", "heat-horn"),
        ("it", "avorio", "alcol", "solvent-ivory"),
        ("es", "cuerno", "con vapor", "heat-horn"),
        ("ja", "べっ甲", "アルコールで拭いた", "solvent-ivory"),
    ],
)
def test_what_is_kept_off_or_tried_in_english_is_so_in_other_languages(
    language: str, material: str, how: str, rule: str
) -> None:
    """Common practice, no source: the words of another language find the rule of the English table."""
    work = [Work(number=1, parts=("1",), done="cleaned", how=how)]
    parts = {"1": Part(number="1", part="x", material=material)}
    found = [match.rule.name for match in matches(work, parts, in_force((), language), language)]
    assert found == [rule]


@pytest.mark.parametrize("language", ["de", "fr", "it", "es", "ja"])
def test_what_a_language_sets_aside_is_set_aside(language: str) -> None:
    """Also where the English rule sets nothing aside: cotton (Baumwolle) had been ironed as wool."""
    read = {rule.name: rule for rule in in_force((), language)}
    for name, row in Catalogue(language).table("rules.rule").items():
        assert set(row.get("unless", ())) <= set(read[name].unless)


@pytest.mark.parametrize("language", ["de", "fr", "it", "es", "ja"])
def test_every_rule_has_words_in_every_language(language: str) -> None:
    assert Catalogue(language).table("rules.rule").keys() == Catalogue("en").table("rules.rule").keys()


@pytest.mark.parametrize(
    ("language", "material", "how"),
    [
        ("en", "leather", "leather paint of an earlier repair left"),
        ("en", "paper", "laminated board fitted behind it"),
        ("en", "calf leather", "iron key tried in the lock"),
        ("en", "silk", "a water stain noted"),
        ("en", "paper", "lined with polyvinyl alcohol"),
        ("en", "silver, engraving", "rinsed in acetone"),
        ("en", "silver, engraving", "damp cloth"),  # on metal, and no print
        ("fr", "laiton, gravure au burin", "chiffon humide"),
        ("it", "ottone, incisione", "panno umido"),
        ("es", "latón grabado", "paño húmedo"),
        ("en", "amber glass", "acetone"),
        ("fr", "veau", "tache d’eau notée"),
        ("it", "carta", "macchia d’acqua annotata"),
        ("es", "marfil", "manchas de agua anotadas"),
        ("de", "Kiefer", "Scheibe mit Leinölkitt eingesetzt"),
        ("de", "Porzellan", "Scheuerstellen aufgenommen"),
        ("de", "Baumwolle", "bei 80 °C gebügelt"),
        ("fr", "pin", "mastic à l'huile de lin posé sur la vitre"),
        ("it", "pino", "lastra fissata con stucco all'olio di lino"),
        ("es", "pino", "cristal fijado con masilla de aceite de linaza"),
        ("ja", "スプルース、ワニス塗り", "水拭き"),
        ("ja", "松", "亜麻仁油パテで硝子を留めた"),
    ],
)
def test_what_only_sounds_like_a_product_is_none_in_any_language(
    language: str, material: str, how: str
) -> None:
    """Common practice, no source: none of these is what the rules of oil, iron, paint or wet leather mean."""
    work = [Work(number=1, parts=("1",), done="cleaned", how=how)]
    parts = {"1": Part(number="1", part="x", material=material)}
    assert not [*matches(work, parts, in_force((), language), language)]


@pytest.mark.parametrize(
    ("language", "how"),
    [
        ("en", "acetone was not used"),
        ("en", "acetone avoided"),
        ("en", "avoiding acetone"),
        ("en", "acetone on the brass pin, kept off the old celluloid"),
        ("de", "Aceton wurde nicht verwendet"),
        ("de", "auf Aceton verzichtet"),
        ("fr", "l’acétone n’a pas été utilisée"),
        ("fr", "aucune acétone"),
        ("it", "acetone evitato"),
        ("it", "nessun acetone"),
        ("es", "no se usó acetona"),
        ("es", "acetona no utilizada"),
        ("ja", "アセトンは使用していない"),
        ("ja", "アセトンを避けた"),
    ],
)
def test_what_was_kept_off_or_not_used_is_no_use(language: str, how: str) -> None:
    """How people say that something was not used: from memory, no source."""
    plain = {"de": "Zelluloid", "fr": "celluloïd", "it": "celluloide", "es": "celuloide", "ja": "セルロイド"}
    parts = {"1": Part(number="1", part="x", material=plain.get(language, "celluloid"))}
    used = {"de": "Aceton", "fr": "acétone", "it": "acetone", "es": "acetona", "ja": "アセトン"}

    def found(text: str) -> list[str]:
        work = Work(number=1, parts=("1",), done="cleaned", how=text)
        return [match.rule.answer for match in matches([work], parts, shipped(language), language)]

    assert found(how) == [] and found(used.get(language, "acetone")) == ["keep off"]


def test_what_was_kept_off_something_else_was_used() -> None:
    assert said("celluloid", "acetone", "kept off the label") == [("keep off", "solvent-celluloid")]


@pytest.mark.parametrize(
    "how",
    ["acetone, water kept off the celluloid", "acetone on the celluloid edge, kept off the celluloid print"],
)
def test_what_was_kept_off_beside_it_turns_no_rule_off(how: str) -> None:
    """Something else was kept off it, or it was kept off another place: both had been silent."""
    assert said("celluloid", "", how) == [("keep off", "solvent-celluloid")]
