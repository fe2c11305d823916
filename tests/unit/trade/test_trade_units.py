"""Units as people write them beside one material or in one language: threads by number, parts of inches."""

from __future__ import annotations

import pytest

from dossier.model.job import Job, Workshop
from dossier.model.rows import Object, Part
from dossier.trade.reckon import reckonings
from dossier.words import Catalogue


def said(material: str, language: str = "en") -> list[str]:
    part = Part(number="1", part="x", material=material)
    job = Job(number="1", workshop=Workshop(name="w"), object=Object(type="box"), parts=(part,))
    return [one.text for one in reckonings(job, Catalogue(language))]


@pytest.mark.parametrize(
    ("material", "text"),
    [
        ("leather, 5/64ths", "5/64ths is 1.98 mm."),
        ("strap, 5/64ths of an inch", "5/64ths of an inch is 1.98 mm."),
        ("bonded nylon thread, T40", "T40 is metric ticket 75, 360 denier, Nm 25, Ne 14.8."),
        # 1653.5 / (18 / 3): leas of 300 yd in a pound; of counts the slash divides, here and in Nm 60/3
        ("waxed linen thread 18/3", "waxed linen thread 18/3 is Tex 276, metric ticket 10.9, 2480 denier."),
        ("25 lea linen", "25 lea linen is Tex 66.1, metric ticket 45.4, 595 denier."),
        ("silk, Nm 60/3", "Nm 60/3 is Tex 50, metric ticket 60, 450 denier."),
        # The count behind its number, as a table has it: published as Nm 50, Tex 20 and as Ne 59.0, Tex 10
        ("sewing thread, 50 Nm", "50 Nm is Tex 20, metric ticket 150, 180 denier."),
        ("cotton thread, 59 Ne", "59 Ne is Tex 10, metric ticket 300, 90.1 denier."),
        ("panel, 3 inches 5/8 of it gone", "3 inches is 76.2 mm."),
        ("ribbon, 2 inches and a half wide", "2 inches and a half is 63.5 mm."),  # and not 2
        ("1000D nylon", "1000D is Tex 111.1, metric ticket 27."),
        ("strap, 3/32nds", "3/32nds is 2.38 mm."),
        ("braid, 3 yds", "3 yds is 2743 mm."),  # whole millimetres, though three digits would do
        ("strap 1/8'' thick", "1/8'' is 3.18 mm."),
        ("lead, 6 stone 4 lb", "6 stone 4 lb is 39.92 kg."),  # 88 lb of 0.45359237 kg, and not the 4 alone
        ("gold, 100 millionths of an inch", "100 millionths of an inch is 2.54 µm."),
    ],
)
def test_units_of_one_trade(material: str, text: str) -> None:
    assert said(material) == [text]


@pytest.mark.parametrize(
    ("material", "begins"),
    [
        ("sewing cotton, 30 wt", "30 wt: the number of a thread is counted in several ways"),
        ("polyester thread, Tex 30/3", "Tex 30/3: where a thread is plied"),  # and no Tex 10
        ("polyester thread, Tex 30 x 3", "Tex 30: where a thread is plied"),
        ("polyester thread, 167x2 dtex", "167x2 dtex: where a thread is plied"),  # and no two sides
        ("90 lb card", "90 lb: of paper, this is the weight of a ream"),
        ("80 lb paper", "80 lb: of paper, this is the weight of a ream"),  # and no 36 kg
    ],
)
def test_what_is_counted_in_several_ways_is_said_and_not_guessed(material: str, begins: str) -> None:
    (text,) = said(material)
    assert text.startswith(begins)


@pytest.mark.parametrize(
    "material",
    [
        "steel, screw for T40",
        "gold, 3 stone ring",
        "movement of 12'''",
        "oil, 40 wt",
        "brass screw, 6 x 3/4 in",  # its number and its length
        "linen 70/30 cotton",  # a blend
        "linen, sewn 12/3",  # a date
        "linen 40 mm",
        "saw of 8 tpi",
        "the 18th",
        "linen, screw T40",
        "linen, washed at T 40 °C",
        "polyester film, left for 9 d",
        "nylon, 3d print",
        "linen rag, SAE 30 wt oil",
        "linen with 5 wt% wax",
        "3 and 1/4 in",  # no quarter of an inch
        "2 in and 1/4 in",  # one length, or two
        "No. 6 x 3/4 in",  # a screw's number and its length
        "#6 x 3/4 in",
        "bolts of the frame, tightened to 20 Nm",
        "thread insert, screw M5, 6 Nm",
        "thread insert M6, tighten to 8 Nm",
        "thread M6, torque 8 Nm",
        "silver on the thread, 40 nm thick",  # nanometres
    ],
)
def test_what_only_looks_like_a_unit_is_none(material: str) -> None:
    assert said(material) == []


@pytest.mark.parametrize(
    ("language", "material", "text"),
    [
        ("de", "40er Garn", "40er Garn: Garnnummern zählen auf mehrere Arten"),
        ("fr", "lin, fil n° 40", "fil n° 40 : le numéro d’un fil se compte"),
        ("fr", "planche, 3 pouces 1/2", "3 pouces 1/2, soit 88,9 mm."),  # and not 76 mm
        ("it", "filo n. 40", "filo n. 40: il numero di un filato"),
        ("es", "hilo nº 40", "hilo nº 40: el número de un hilo"),
        ("es", "tabla de 3 pulgadas", "3 pulgadas, es decir, 76,2 mm."),
        ("ja", "40番手の糸", "40番手：糸の番手には"),
        ("de", "Leinenzwirn 18/3", "Leinenzwirn 18/3, das sind Tex 276"),
        ("fr", "fil de lin 18/3", "fil de lin 18/3, soit Tex 276"),
        ("it", "filo di lino 18/3", "filo di lino 18/3, cioè Tex 276"),
        ("es", "hilo de lino 18/3", "hilo de lino 18/3, es decir, Tex 276"),
        ("ja", "麻糸18/3", "麻糸18/3＝276 tex"),
        ("de", "Polyestergarn, Tex 30/3", "Tex 30/3: Bei gezwirntem Garn"),
        ("es", "cinta de 2 pulgadas y media", "2 pulgadas y media, es decir, 63,5 mm."),
        ("es", "3 pulgadas y cuarto", "3 pulgadas y cuarto, es decir, 82,6 mm."),
        ("en", "3 inches and a quarter", "3 inches and a quarter is 82.6 mm."),
        ("de", "3 Zoll drei Viertel", "3 Zoll drei Viertel, das sind 95,3 mm."),
        ("en", "1 ⅞ in", "1 7/8 in is 47.6 mm."),
        ("de", "2 ½ Zoll", "2 1/2 Zoll, das sind 63,5 mm."),
        ("fr", "ruban, 2 pouces et demi", "2 pouces et demi, soit 63,5 mm."),
        ("it", "3 libbre e mezza", "3 libbre e mezza, cioè 1,59 kg."),  # 3.5 of 0.45359237
        ("de", "1000D Nylon", "1000D, das sind Tex 111,1"),
        ("de", "Nähgarn, 50 Nm", "50 Nm, das sind Tex 20"),
        ("ja", "牛革、3 oz厚", "3 oz＝1.19 mm。"),  # no space behind a unit
    ],
)
def test_the_same_in_other_languages(language: str, material: str, text: str) -> None:
    found = said(material, language)
    assert len(found) == 1 and found[0].startswith(text)


@pytest.mark.parametrize(
    ("language", "material"),
    [("fr", "or titre 750"), ("it", "oro titolo 750"), ("es", "cartera, 300 g")],
)
def test_what_only_looks_like_a_unit_in_other_languages(language: str, material: str) -> None:
    """Fineness is no number of a thread."""
    assert said(material, language) == []
