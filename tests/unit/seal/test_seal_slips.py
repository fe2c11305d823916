"""A recovery key typed back from its paper, with the slips that people make."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.errors import KeyFileError
from dossier.seal import recovery, slips

SECRET = bytes(range(32))
# FORMAT.md section 16, worked out there.
GROUPS = [
    *("00001", "00515", "01029", "01543", "02057", "02571", "03085", "03599", "04113"),
    *("04627", "05141", "05655", "06169", "06683", "07197", "07711", "02186"),
]


@pytest.mark.parametrize(
    "between", ["\u00a0", "\u202f", " – ", "—", ", ", " · ", "/", "\t", "\r\n", ".", ": "]
)
def test_what_programs_put_between_groups_is_taken(between: str) -> None:
    assert recovery.from_digits(between.join(GROUPS)) == SECRET


@pytest.mark.parametrize(
    "text", ["{}\n10117 Berlin", "10117\n{}", "01234 567890\n{}\n1010 Vienna", "{0}\n\n{0}", "one 12345: {}."]
)
def test_other_numbers_on_the_paper_do_not_matter(text: str) -> None:
    """A postcode, a telephone number, the same typed twice: the check digits tell which are the groups."""
    assert recovery.from_digits(text.format(" ".join(GROUPS))) == SECRET


def said(groups: list[str]) -> str:
    with pytest.raises(KeyFileError) as caught:
        recovery.from_digits(" ".join(groups))
    text = f"{caught.value.message} {caught.value.hint}"
    assert not any(group in text for group in groups)  # it is a secret, also when it is mistyped
    return text


@settings(deadline=None, max_examples=60)
@given(st.integers(0, 16), st.integers(0, 4), st.integers(1, 9))
def test_the_group_of_a_wrong_digit_is_named(place: int, at: int, off: int) -> None:
    """One in 65,536 slips meets the check digits by chance, none of these."""
    group, groups = GROUPS[place], list(GROUPS)
    groups[place] = group[:at] + str((int(group[at]) + off) % 10) + group[at + 1 :]
    named = slips.suspects(groups, lambda some: recovery._secret(some) is not None)
    assert place + 1 in named
    wanted = f"probably in group {', '.join(map(str, named))}" if len(named) <= 4 else "is not right"
    assert wanted in said(groups)


def test_digits_and_groups_the_other_way_round_are_named() -> None:
    groups = list(GROUPS)
    groups[2] = "01092"
    assert "probably in group 3" in said(groups)
    groups = list(GROUPS)
    groups[4], groups[5] = groups[5], groups[4]
    assert "probably in group 5" in said(groups)


@pytest.mark.parametrize(("place", "typed"), [(3, "0154"), (7, "035999"), (9, "O4627"), (16, "02l86")])
def test_a_group_that_is_none_is_named(place: int, typed: str) -> None:
    groups = list(GROUPS)
    groups[place] = typed
    assert f"five digits: group {place + 1}" in said(groups)


def test_how_many_groups_were_found_is_said() -> None:
    assert "16 were found" in said(GROUPS[:-1])
    assert "1 were found" in said(["12345"])
    assert "group" in said([*GROUPS[:8], "99999", "99999", *GROUPS[10:]])  # two at once: no guess


def test_two_keys_in_one_text_are_none() -> None:
    other = recovery.to_digits(bytes(32)).split()
    with pytest.raises(KeyFileError, match="2 recovery keys"):  # of neither a digit is wrong
        recovery.from_digits(" ".join(GROUPS) + "\n" + " ".join(other))
