"""Two codes in one picture that both hold, of which one leads elsewhere: nothing signs a code's page."""

from __future__ import annotations

from typing import Any

import msgspec
from time_server import NOW

from dossier.flows.verify import verify
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
