"""Random stories: every one conforms, and its words come back in order (hypothesis)."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pdf_aloud
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from dossier.pages.tagging import (
    Bullets,
    Columns,
    DataTable,
    Heading,
    NewPage,
    Numbered,
    Picture,
    Rule,
    Space,
    Text,
    Together,
    plain,
)

# A story is first data (so that hypothesis can shrink it), then flowables.
WORD = st.text(st.characters(codec="utf-8", categories=["L", "N", "P", "S"]), min_size=1, max_size=100)
WORDS = st.lists(WORD, min_size=1, max_size=12).map(" ".join) | st.integers(1, 1500).map(
    lambda n: " ".join(f"w{i}" for i in range(n))
)
LEAF = st.tuples(st.just("text"), WORDS) | st.tuples(st.just("link"), WORDS)
BLOCK = st.deferred(
    lambda: (
        LEAF
        | st.tuples(
            st.sampled_from(["bullets", "numbered", "together"]), st.lists(BLOCK, min_size=1, max_size=3)
        )
        | st.tuples(st.just("columns"), st.lists(st.lists(LEAF, max_size=2), min_size=1, max_size=3))
        | st.tuples(
            st.just("table"),
            st.integers(1, 3).flatmap(
                lambda n: st.lists(st.lists(WORDS, min_size=n, max_size=n), min_size=1, max_size=6)
            ),
        )
        | st.tuples(st.sampled_from(["picture", "rule", "space", "page"]), st.integers(1, 900))
    )
)


def flowables(block: tuple[str, Any], styles: Any, jpeg: bytes) -> list[Any]:
    kind, value = block
    inner: Callable[[Any], list[Any]] = lambda blocks: [f for b in blocks for f in flowables(b, styles, jpeg)]  # noqa: E731 - short and local
    made: dict[str, Callable[[], Any]] = {
        "text": lambda: Text(plain(value), styles.body),
        "link": lambda: Text(f'x <a href="https://example.org/">{plain(value)}</a> y', styles.body),
        "bullets": lambda: Bullets([inner([b]) for b in value], styles.body),
        "numbered": lambda: Numbered([inner([b]) for b in value], styles.body),
        "together": lambda: Together(inner(value)),
        "columns": lambda: Columns([inner(c) for c in value], [400 / len(value)] * len(value), 8),
        "table": lambda: DataTable(
            [plain(c) for c in value[0]],
            [[plain(c) for c in row] for row in value],
            [450 / len(value[0])] * len(value[0]),
            styles.look,
        ),
        "picture": lambda: Picture(jpeg, value, 1000 - value, "A ramp", "caption", styles.small),
        "rule": Rule,
        "space": lambda: Space(value),
        "page": NewPage,
    }
    return [made[kind]()]


def words(block: tuple[str, Any]) -> list[str]:
    """The words of a block in reading order, without the labels of lists."""
    kind, value = block
    if kind in ("text", "link"):
        return value.split() if kind == "text" else ["x", *value.split(), "y"]
    if kind in ("bullets", "numbered", "together", "columns"):
        groups = value if kind == "columns" else [[b] for b in value]
        return [w for group in groups for b in group for w in words(b)]
    if kind == "table":
        return [w for row in [value[0], *value] for cell in row for w in cell.split()]
    return ["caption"] if kind == "picture" else []


@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(story=st.lists(BLOCK, max_size=6))
def test_any_story_conforms_and_reads_in_order(
    story: list[Any], build: Any, styles: Any, jpeg: Any, assert_conforming: Any
) -> None:
    data = jpeg()
    made = [Heading("start", 1, styles.heading), *(f for b in story for f in flowables(b, styles, data))]
    pdf = build(made)
    assert_conforming(pdf)
    read = [w for kind, text in pdf_aloud.structure_text(pdf) if kind != "Lbl" for w in text.split()]
    assert read == ["start", *(w for b in story for w in words(b))]
