"""Ranges of pieces against counting every way in which rows can meet them."""

from __future__ import annotations

from itertools import combinations, product

from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.account.spread import Layer, Meets, merged, spread

Row = tuple[str, int]  # layer, pieces


def every_way(n: int, rows: list[Row], order: list[str], apart: frozenset[str]) -> list[dict[str, int]]:
    """Counts by state for every choice of pieces, but those in which an "apart" row meets a touched piece."""
    ways = []
    for chosen in product(*(list(combinations(range(n), k)) for _, k in rows)):
        met: dict[str, set[int]] = {}
        for (layer, _), pieces in zip(rows, chosen, strict=True):
            met.setdefault(layer, set()).update(pieces)
        counts, above, allowed = {}, set[int](), True
        for layer in order:
            own = met.get(layer, set())
            allowed = allowed and not (layer in apart and own & above)
            counts[layer] = len(own - above)
            above |= own
        if allowed:
            ways.append(counts | {"base": n - len(above)})
    return ways


def layers_of(rows: list[Row], order: list[str], apart: frozenset[str]) -> list[Layer[str]]:
    layers = []
    for state in order:
        meets = tuple(Meets(k, k, i) for i, (layer, k) in enumerate(rows) if layer == state)
        if meets:
            layers.append(Layer(state, meets, state in apart))
    return layers


@settings(deadline=None, max_examples=150)
@given(
    st.integers(1, 5).flatmap(
        lambda n: st.tuples(
            st.just(n),
            st.lists(st.tuples(st.sampled_from(["new", "treated", "left"]), st.integers(1, n)), max_size=3),
        )
    )
)
def test_every_way_lies_within_the_ranges(case: tuple[int, list[Row]]) -> None:
    n, rows = case
    order, apart = ["new", "treated", "left"], frozenset({"left"})
    found = {c.state: (c.low, c.high) for c in spread(n, layers_of(rows, order, apart), "base")}
    for way in every_way(n, rows, order, apart):
        for state, count in way.items():
            low, high = found.get(state, (0, 0))
            assert low <= count <= high, (state, way, found)


@settings(deadline=None, max_examples=150)
@given(
    st.integers(1, 5).flatmap(
        lambda n: st.tuples(
            st.just(n),
            st.lists(st.tuples(st.sampled_from(["new", "treated", "left"]), st.integers(1, n)), max_size=3),
        )
    )
)
def test_the_ranges_are_as_narrow_as_can_be(case: tuple[int, list[Row]]) -> None:
    n, rows = case
    order, apart = ["new", "treated", "left"], frozenset({"left"})
    ways = every_way(n, rows, order, apart)
    for c in spread(n, layers_of(rows, order, apart), "base") if ways else ():
        counts = [way[c.state] for way in ways]
        assert (c.low, c.high) == (min(counts), max(counts))


def test_thirty_cleaned_and_nine_replaced_of_sixty_four() -> None:
    """By hand. New: 9. Cleaned and not new: from 30 - 9 = 21 (all nine were cleaned first) to 30 (none was).
    Neither: from 64 - 9 - 30 = 25 to 64 - 30 = 34.
    """
    layers = [Layer("new", (Meets(9, 9, 2),)), Layer("treated", (Meets(30, 30, 1),))]
    counts = spread(64, layers, "nothing")
    assert [(c.state, c.low, c.high) for c in counts] == [
        ("new", 9, 9),
        ("treated", 21, 30),
        ("nothing", 25, 34),
    ]


def test_equal_states_are_added_up() -> None:
    counts = merged(10, spread(10, [Layer("a", (Meets(4, 4, 1),)), Layer("b", (Meets(6, 6, 2),), True)], "b"))
    assert [(c.state, c.low, c.high) for c in counts] == [("a", 4, 4), ("b", 6, 6)]
