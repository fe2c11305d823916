"""The text of a slip's code: written as section 15 of FORMAT.md says, read back, and nothing else read."""

from __future__ import annotations

from urllib.parse import quote

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.account.slip import MOST, slip_of, slip_text
from dossier.errors import JobError
from dossier.model.words import STAGES

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
