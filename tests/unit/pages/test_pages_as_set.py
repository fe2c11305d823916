"""Marks of the page in what people typed. Expected by hand, after the standards named in the module."""

from __future__ import annotations

import pytest

from dossier.pages import blocks
from dossier.pages.as_set import as_set
from dossier.pages.setting import markup

NB = "\u00a0"


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("Doctor's bag", "Doctor\u2019s bag"),
        ("l'étui d'Émile, qu'il", "l\u2019étui d\u2019Émile, qu\u2019il"),
        ("dell'altezza", "dell\u2019altezza"),
        ("6' 2\" and 'so'", "6' 2\" and 'so'"),  # feet, inches, quotation: not ours to read
        ("the owners' bag", "the owners' bag"),
        ("o'neil@post.example's", "o'neil@post.example's"),  # typed off the page
        ("the client's: d'arcy@post.example", "the client\u2019s: d'arcy@post.example"),
        ("ג'ירפה", "ג'ירפה"),  # a geresh between Hebrew letters is none of ours
        ("opened over 9 cm, 2.5 mm", f"opened over 9{NB}cm, 2.5{NB}mm"),
        ("14 cm2 at the front, 6 dm3", f"14{NB}cm² at the front, 6{NB}dm³"),
        ("0.3 m2", f"0.3{NB}m²"),
        ("40 to 60 % humidity, 5 °C", f"40 to 60{NB}% humidity, 5{NB}°C"),
        ("5000 K from the left", f"5000{NB}K from the left"),
        ("9 in total, 4 months, 2 Males", "9 in total, 4 months, 2 Males"),
        ("Eingang, 9. März 2026", f"Eingang, 9.{NB}März 2026"),
        ("12 June 2026, 1er avril 2026", f"12{NB}June 2026, 1er{NB}avril 2026"),
        ("7 de abril de 2026", f"7{NB}de abril de 2026"),
        ("lifted on 7 April with", f"lifted on 7{NB}April with"),
        ("back on 28 May; am 3. Feb. zurück", f"back on 28{NB}May; am 3.{NB}Feb. zurück"),
        ("le 1er août, 5 de mayo, il 2 maggio", f"le 1er{NB}août, 5{NB}de mayo, il 2{NB}maggio"),
        ("3 mayors, 12 marks, pins 3 and 4 may go", "3 mayors, 12 marks, pins 3 and 4 may go"),
        ("M2 screws, 12 M3", "M2 screws, 12 M3"),
        ("cm2", "cm2"),
        ("3 m 20 cm", f"3{NB}m 20{NB}cm"),
        ("長さ 9 cm", f"長さ 9{NB}cm"),
        ("pins (64 pieces), (2 Stück), 4 pièces", f"pins (64{NB}pieces), (2{NB}Stück), 4{NB}pièces"),
        (
            "3 pezzi, 1 pezzo; 5 unidades; of 4 pieced tops",
            f"3{NB}pezzi, 1{NB}pezzo; 5{NB}unidades; of 4 pieced tops",
        ),
    ],
)
def test_what_is_typed_is_set(typed: str, shown: str) -> None:
    assert as_set(typed) == shown
    assert markup(typed) == shown
    assert len(as_set(typed)) == len(typed)
    assert as_set(shown) == shown


def test_an_address_that_is_a_link_leads_where_it_was_typed() -> None:
    address = "https://o'neil.example/r"
    said = blocks.linked(f"at {address}", address)
    assert said == "at <a href=\"https://o'neil.example/r\">https://o'neil.example/r</a>"
