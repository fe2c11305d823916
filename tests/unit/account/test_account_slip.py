"""The text of a slip's code: written as section 15 of FORMAT.md says, read back, and nothing else read."""

from __future__ import annotations

from urllib.parse import quote

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.account.slip import MOST, Slip, Taken, slip_of, slip_text, sort_by_slips
from dossier.errors import JobError
from dossier.model.words import STAGES, Stage

STAGE = st.sampled_from(STAGES)


@settings(deadline=None)
@given(job=st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=16), stage=STAGE)
def test_what_is_written_is_read(job: str, stage: str) -> None:
    """Percent-encoding is that of RFC 3986, as urllib.parse.quote does it with nothing held safe."""
    text = slip_text(job, stage)  # type: ignore[arg-type]
    assert text == f"slip:1;job:{quote(job, safe='')};stage:{stage.replace(' ', '-')}"
    assert slip_of(text) == (job, stage)


@settings(deadline=None)
@given(st.text(max_size=80) | st.builds("slip:1;job:{};stage:{}".format, st.text(max_size=9), STAGE))
def test_any_text_is_a_slip_of_that_very_text_or_none(text: str) -> None:
    slip = slip_of(text)
    assert slip is None or slip_text(*slip) == text


@pytest.mark.parametrize(
    "text",
    [
        "",
        "https://check.example/r#abc",
        "slip:2;job:1;stage:opened",
        "slip:1;job:;stage:opened",
        "slip:1;job:1;stage:looked at",
        "slip:1;job:1;stage:sold",
        "slip:1;job:%31;stage:opened",  # a 1 that need not be encoded
        "slip:1;job:%c3%a4;stage:opened",  # lower case
        "slip:1;job:%C3;stage:opened",  # half a letter
        "slip:1;job:%;stage:opened",
        "slip:1;job:1;stage:opened\n",
        f"slip:1;job:{'1' * (MOST + 1)};stage:opened",
    ],
)
def test_anything_else_is_none(text: str) -> None:
    assert slip_of(text) is None


@pytest.mark.parametrize("job", ["", "1" * (MOST + 1), "\u4e2d" * 23])
def test_a_number_that_no_slip_holds_is_refused(job: str) -> None:
    with pytest.raises(JobError, match="too long"):
        slip_text(job, "opened")


def test_the_longest_number() -> None:
    assert slip_of(slip_text("1" * MOST, "looked at")) == ("1" * MOST, "looked at")


RECEIVED, DONE = Slip("7", "received"), Slip("7", "done")


@pytest.mark.parametrize(
    ("slip", "day", "begun", "said"),
    [
        pytest.param(RECEIVED, "2026-03-09", [], "received", id="no date speaks against it"),
        pytest.param(RECEIVED, "2026-03-03", [("looked at", "2026-03-03")], "received", id="the same side"),
        pytest.param(RECEIVED, "2026-03-09", [("done", "2026-03-10")], "received", id="not yet"),
        pytest.param(RECEIVED, "2026-03-09", [("done", "2026-03-09")], "done", id="from that day on"),
        pytest.param(
            RECEIVED,
            "2026-03-12",
            [("working", "2026-03-05"), ("done", "2026-03-09"), ("returned", "2026-03-20")],
            "done",
            id="the last of several",
        ),
        pytest.param(RECEIVED, "2026-03-02", [("working", "2026-03-02")], "received", id="the slip is surer"),
        pytest.param(
            DONE, "2026-03-09", [("done", "2026-03-09")], "done by slip", id="a slip before its date"
        ),
    ],
)
def test_a_forgotten_slip(slip: Slip, day: str, begun: list[tuple[Stage, str]], said: str) -> None:
    """A slip of 2 March speaks for what follows until the job is on another side of the work."""
    taken = [Taken("slip", "2026-03-02", (slip,)), Taken("a", day, ())]
    found = sort_by_slips(taken, "7", begun)
    by_slip = said in ("received", "done by slip")
    assert ("a" in found.stages, "a" in found.over) == (by_slip, not by_slip)
    assert by_slip or found.over["a"][:2] == (slip.stage, said)


def test_the_next_slip_speaks_again() -> None:
    taken = [
        ("s", "2026-03-02", (RECEIVED,)),
        ("a", "2026-03-09", ()),
        ("t", "2026-03-09", (DONE,)),
        ("b", "2026-03-09", ()),
    ]
    found = sort_by_slips((Taken(*one) for one in taken), "7", [("done", "2026-03-09")])
    assert (found.stages, set(found.over)) == ({"s": "received", "t": "done", "b": "done"}, {"a"})
