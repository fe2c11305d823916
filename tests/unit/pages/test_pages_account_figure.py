"""The bars of the account stay in their figure, whatever a record claims: a record under check is hostile."""

from __future__ import annotations

import re
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.model.counted import Account
from dossier.model.record import OpenRecord
from dossier.model.words import Now
from dossier.pages import account_figure
from dossier.pages.account_figure import FAMILY_OF, bars
from dossier.pages.setting import Setting

COUNTS = st.integers(-5, 2**53 - 1)  # RFC 8785 section 3.2.2.3 and RFC 7493 section 2.2: exact integers
ROWS = st.builds(
    Account,
    seen=st.sampled_from(("outside", "inside", "hidden")),
    now=st.sampled_from(sorted(FAMILY_OF)),
    parts_low=COUNTS,
    parts_high=COUNTS,
    pieces_low=COUNTS,
    pieces_high=COUNTS,
    parts=st.lists(st.sampled_from("123"), max_size=2).map(tuple),
)


@settings(max_examples=100, deadline=None)
@given(st.lists(ROWS, max_size=5))
def test_fields_of_a_bar_make_up_the_bar(rows: list[Account]) -> None:
    for bar in bars(rows):
        assert all(count > 0 for _, count in bar.fields)
        assert sum(count for _, count in bar.fields) == bar.total


def test_the_bars_in_words_are_spelt_as_the_legend_is(rich_record: OpenRecord, page_options: Any) -> None:
    """German writes its nouns with capitals wherever they stand (Amtliche Regelung, § 55)."""
    s = Setting(rich_record, {}, page_options(language="de"))
    words = s.words.table("pages.account_word")
    said = account_figure.alt(s, bars(s.payload.account))
    assert words["earlier"] in said and words["treated"] in said
    assert "Objekt" not in said and not re.search(r"\b(eingang|veränderung|objekt|teile)\b", said)


def test_what_has_a_new_surface_is_no_part_of_what_was_treated() -> None:
    """One part cleaned, one replated, one renewed in part: three fields."""
    states: tuple[Now, ...] = ("original, treated", "original, new surface", "original, part renewed")
    rows = [
        Account(seen="outside", now=now, parts_low=1, parts_high=1, pieces_low=1, pieces_high=1, parts=(now,))
        for now in states
    ]
    (bar,) = bars(rows)
    assert dict(bar.fields) == {"treated": 1, "new_surface": 1, "part_renewed": 1}
