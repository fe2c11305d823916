"""Words for gold plating against what is stated: 16 CFR 23.3 (thickness terms second-hand), 23.4 (read)."""

from __future__ import annotations

import pytest

from dossier.account.findings import assess
from dossier.model.job import Job, Workshop
from dossier.model.rows import Object, Part, Plating, Work
from dossier.trade.gold_words import fits, word_in
from dossier.trade.plater import reckonings
from dossier.words import Catalogue


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("brass, gold-plated", "gold_plate"),
        ("gold plate over nickel", "gold_plate"),
        ("14k GP", "gold_plate"),
        ("gold electroplated", "gold_electroplate"),
        ("HGE", "heavy_gold_electroplate"),
        ("heavy gold electroplate", "heavy_gold_electroplate"),
        ("Gold washed steel", "gold_flashed"),
        ("vermeil", "vermeil"),
        ("brass, not gold plated", ""),
        ("solid gold plaque", ""),
        ("gold-coloured plating", ""),
        ("nickel plated", ""),
        ("rolled gold plate", ""),  # a term of its own, by weight: 16 CFR 23.3, from memory
    ],
)
def test_words_as_they_are_typed(text: str, key: str) -> None:
    word = word_in(text, "en")
    assert (word.term.key if word else "") == key


def test_a_word_that_other_languages_have_too_is_theirs() -> None:
    """Vermeil is silver gilt in French law, of another thickness (from memory)."""
    assert word_in("vermeil", "fr") is None
    assert word_in("laiton, gold plated", "fr") is not None


# Fine gold by hand: thickness * density / 19.3 * karat / 24.
@pytest.mark.parametrize(
    ("text", "karat", "thickness", "more", "answer"),
    [
        ("gold electroplated", "24 kt", "0.175 µm", {}, True),
        ("gold electroplated", "24 kt", "0.174 µm", {}, False),
        # Half a micrometre, 20 millionths of an inch: 23.3(c) on "gold plate", from memory.
        ("gold plated", "24 kt", "0.5 µm", {}, True),
        ("gold plated", "24 kt", "0.49 µm", {}, False),
        ("gold flashed", "24 kt", "0.1 µm", {}, True),
        ("gold flashed", "9 kt", "1 µm", {}, False),  # below 10 karat none of the words fits
        # 6.31 * 13.1/19.3 * 14/24 = 2.4984, and 6.32 gives 2.5024
        ("heavy gold plated", "14 kt", "6.32 µm", {"density": "13.1 g/cm3"}, True),
        ("heavy gold plated", "14 kt", "6.31 µm", {"density": "13.1 g/cm3"}, False),
        # Without its density 14 kt lies between 1 / (7/12/19.3 + 5/12/8.96) = 13.03 and, with 10.49 for
        # silver, 14.30 g/cm3: 6.2 um are 2.44 to 2.68 um of fine gold, which is not shown and not refuted.
        ("heavy gold plated", "14 kt", "6.2 µm", {}, None),
        ("gold plated", "24 kt", "1 µm", {"thickness_is": "mean"}, None),
        ("gold plated", "24 kt", "", {}, None),
        ("gold plated", "", "1 µm", {}, None),
        ("vermeil", "24 kt", "2.5 µm", {"base": "sterling silver"}, True),
        ("vermeil", "24 kt", "2.4 µm", {"base": "sterling silver"}, False),
        ("vermeil", "24 kt", "2.5 µm", {"base": "brass"}, False),
        ("vermeil", "24 kt", "2.5 µm", {}, None),
    ],
)
def test_a_word_against_the_figures(
    text: str, karat: str, thickness: str, more: dict[str, str], answer: bool | None
) -> None:
    word = word_in(text, "en")
    row = Plating(metal="gold", karat=karat, thickness=thickness, **more)  # type: ignore[arg-type]
    assert word and fits(word.term, row, "en") is answer


def codes(parts: list[Part], work: list[Work], *platings: Plating, of: str = "lamp") -> set[str]:
    job = Job(
        number="1",
        workshop=Workshop(name="w"),
        object=Object(type=of),
        parts=tuple(parts),
        work=tuple(work),
        plating=platings,
    )
    return {found.code for found in assess(job) if found.code.startswith("gold-word")}


def test_which_platings_speak_of_a_word() -> None:
    """Those of the part, of the heading above it, or of no part; what the old surface was called is not held
    against the new one.
    """
    arm = Part(number="1", part="arm", came_as="original", new_material="brass, gold plated")
    thin = Plating(metal="gold", karat="24 kt", thickness="0.1 µm", thickness_is="least")
    work = [Work(number=1, parts=("1",), done="new surface", how="replated")]
    for parts, found in (((), "above"), (("1",), "above"), (("2",), "without")):
        row = Plating(metal="gold", karat="24 kt", thickness="0.1 µm", parts=parts)
        assert codes([arm], work, row) == {f"gold-word-{found}-figure"}
    came = Part(number="1", part="arm", came_as="original", material="brass, gold plated")
    assert codes([came], work, thin) == set()
    assert codes([came], []) == {"gold-word-as-it-came"}
    assert codes([came], [], thin) == {"gold-word-above-figure"}
    assert codes([], [], of="gold-plated lamp") == {"gold-word-as-it-came"}


def test_what_is_reckoned_is_joined_as_the_language_joins() -> None:
    """No space stands behind a Japanese full stop, and no half-width comma between Japanese words (JLREQ)."""
    row = Plating(metal="gold", karat="14 kt", thickness="6.2 µm", current="1 A", time="4 min", area="1 dm2")
    found = [*reckonings(row, "plating/1", Catalogue("ja"))]
    assert {one.code for one in found} == {"fine-gold", "plating-term", "mean-thickness"}
    assert not [one.text for one in found if "。 " in one.text or "; " in one.text]
    assert found[-1].given == "1 A、4 min、1 dm2"
