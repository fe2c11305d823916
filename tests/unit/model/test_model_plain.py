"""Values of the model written as plain JSON read back equal, and say "not known" and counts always."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.model.plain import from_plain, to_plain
from dossier.model.record import Apart, Digest, Payload, WorkshopId
from dossier.model.rows import Claim, Dates, Mark, Object, Part, Value

_TEXT = st.text(max_size=5)


@given(
    st.builds(Part, number=_TEXT, part=_TEXT, pieces=st.integers(0, 3), material=_TEXT)
    | st.builds(Mark, text=_TEXT, kind=_TEXT, private=st.booleans())
    | st.builds(Value, low=_TEXT, high=_TEXT, currency=_TEXT)
    | st.builds(Object, type=_TEXT, maker=st.builds(Claim, what=_TEXT), materials=st.lists(_TEXT).map(tuple))
)
@settings(deadline=None)
def test_any_row_reads_back_equal(row: Part | Mark | Value | Object) -> None:
    assert from_plain(type(row), to_plain(row)) == row


def test_what_is_empty_is_left_out_and_what_is_required_is_not() -> None:
    assert to_plain(Part(number="", part="seat")) == {
        "number": "",
        "part": "seat",
        "pieces": 1,
        "seen": "outside",
        "came_as": "not known",
        "known_from": "not known",
    }
    assert to_plain(Dates()) == {}
    assert to_plain(Apart(owner=(Digest(digest="A" * 43),))) == {"owner": [{"...": "A" * 43}]}


def test_members_that_are_empty_all_through_are_left_out() -> None:
    workshop = WorkshopId(name="Two Benches")
    payload = Payload(
        format="1.0",
        sd_alg="sha-256",
        iat=0,
        record="r",
        job="j",
        language="en",
        workshop=workshop,
        object=Object(type="stool"),
        for_whom="dealer",
    )
    plain = to_plain(payload)
    assert {"dates", "handover", "apart", "parts"}.isdisjoint(plain)
    assert (plain["iat"], plain["workshop"]) == (0, {"name": "Two Benches"})
    assert from_plain(Payload, plain) == payload


@pytest.mark.parametrize(
    "plain", [{}, {"number": 1, "part": "x"}, {"number": "1", "part": "x", "seen": "above"}, []]
)
def test_what_does_not_fit_is_said(plain: object) -> None:
    with pytest.raises(ValueError, match=r"required|Expected|Invalid"):
        from_plain(Part, plain)
