"""Two codes in one picture that both hold, of which one leads elsewhere: nothing signs a code's page."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest
from time_server import NOW

from dossier.flows.verify import verify, verify_code, with_at_hand
from dossier.seal import card_change, keycard, recovery
from dossier.seal.trust import Trust


def test_of_two_codes_that_hold_the_one_that_leads_elsewhere_is_told(bench: Any) -> None:
    page, _, fragment = bench.code().partition("#")
    changes = card_change.Changes(name="Bench", verification_page=page)
    paper = recovery.keys_of(bytes(32))
    card = keycard.read(card_change.next_card(None, changes, paper, [bench.made.key], NOW.date()))
    asked = msgspec.structs.replace(bench.asked(), trust=Trust(cards=(card,)))
    found = verify(bench.picture_of_codes(f"https://check.example.evil.example/r#{fragment}"), asked)
    assert "code-other-page" in [one.code for one in found.checks]
    assert "2 codes with an address are in this picture" in found.checks[0].where[0]
    assert "code-other-page" not in [one.code for one in verify(bench.picture_of_codes(), asked).checks]


@pytest.mark.parametrize(
    ("given", "code", "overall"),
    [
        (("folder",), "code-matches-record", "in order"),
        (("other",), "code-other-record", "altered"),  # printed anew on another dossier's paper
        (("folder", "other"), "code-matches-record", "in order"),
        (("other", "held"), "code-matches-record", "in order"),
        (("changed",), "", "in order"),  # what does not hold itself says nothing of a code
    ],
)
def test_a_code_is_held_against_the_record_given_with_it(
    bench: Any, given: tuple[str, ...], code: str, overall: str
) -> None:
    """Before, it was read by itself alone: that of one dossier on the paper of another was in order."""
    whole = (bench.made.folder / "record.json").read_bytes()
    bench.write(whole.replace(b'"signature":"', b'"signature":"A', 1), "record.json")
    places = {
        "folder": bench.made.folder,
        "other": bench.made.other,
        "held": bench.made.held,
        "changed": bench.folder / "record.json",
    }
    asked = with_at_hand(bench.asked(), [places[name] for name in given])
    result = verify_code(bench.code(), asked)
    assert [one.code for one in result.checks if one.check == "pages against record"] == [code] * bool(code)
    assert result.overall == overall


def test_a_code_of_another_making_of_the_same_job_is_told(bench: Any) -> None:
    """Both bear one number; a second signing has another digest."""
    again = bench.write(bench.record_by_one(), "record.json")
    result = verify_code(bench.code(), with_at_hand(bench.asked(), [again, bench.made.other]))
    assert "code-other-record" in [one.code for one in result.checks]
