"""The rule table: what goes with what. Facts of the trade, common practice, no source."""

from __future__ import annotations

import pytest

from dossier.model.rows import Part, Work
from dossier.trade.rules import in_force, matches, shipped
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
        # Vegetable tanned leather shrinks from 75 to 85 C, old leather earlier (second-hand, a textbook).
        ("cowhide, vegetable tanned", "", "ironed at 80 °C", ["keep off"]),
        ("cowhide, vegetable tanned", "", "dried at 20 °C", []),
    ],
)
def test_what_goes_with_what(material: str, product: str, how: str, answers: list[str]) -> None:
    assert [answer for answer, _ in said(material, product, how)] == answers


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
    ],
)
def test_what_is_kept_off_or_tried_in_english_is_so_in_other_languages(
    language: str, material: str, how: str, rule: str
) -> None:
    """Common practice, no source: the words of a German or French job find the rule of the English table."""
    work = [Work(number=1, parts=("1",), done="cleaned", how=how)]
    parts = {"1": Part(number="1", part="x", material=material)}
    found = [match.rule.name for match in matches(work, parts, in_force((), language), language)]
    assert found == [rule]


@pytest.mark.parametrize("language", ["de", "fr", "it", "es", "ja"])
def test_every_rule_has_words_in_every_language(language: str) -> None:
    assert Catalogue(language).table("rules.rule").keys() == Catalogue("en").table("rules.rule").keys()
