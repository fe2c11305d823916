"""A checker written from FORMAT.md alone (`second_reader`) gives the program's answers to the whole suite."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path

import pytest
import second_reader_cards as second_cards
from second_reader import Record, RefusedError
from second_reader_cards import Card
from test_attacks import VERDICTS

from dossier.errors import UnreadableError
from dossier.flows.verify import Asked, verify
from dossier.seal import keycard, record, trust
from dossier.words import Catalogue

VECTORS = Path(__file__).parents[1] / "vectors"
RECORDS = sorted(VECTORS.glob("record/*/record.json"))
CARDS = sorted(VECTORS.glob("keycard/read/*/key-card.json"))
BESIDE = sorted(VECTORS.glob("keycard/record/*/record.json"))
WORDS = Catalogue("en")
OF_PAPER = {"receipt-on-paper", "receipt-paper-differs"}  # the second reader looks at no pictures


Answer = str | tuple[bool, bool]  # the code it cannot be read with, else whether checks 4 and 6 match


def by_program(path: Path) -> Answer:
    try:
        checked = record.check(record.from_json(path.read_bytes()), WORDS)
    except UnreadableError as error:
        return error.code
    wrong = {one.check for one in checked.checks if one.verdict == "does not match"}
    return "record signatures" not in wrong, "disclosures" not in wrong


def by_second(path: Path) -> tuple[Answer, set[str]]:
    try:
        found = Record(path.read_bytes())
    except RefusedError as refused:
        return str(refused), {str(refused)}
    return (not found.signatures, not found.disclosures), found.signatures | found.disclosures


@pytest.mark.parametrize("path", RECORDS, ids=lambda path: path.parent.name)
def test_a_record(path: Path) -> None:
    """What follows from a code, as a signature that is then missing, is not compared, but the answers are."""
    answer, codes = by_second(path)
    assert answer == by_program(path), codes
    code = path.parent.name.partition("--")[0]
    assert code in codes or VERDICTS[code] not in ("does not match", "cannot be read")


@pytest.mark.parametrize("path", CARDS, ids=lambda path: path.parent.name)
def test_a_key_card_is_refused_by_both(path: Path) -> None:
    with pytest.raises(UnreadableError):
        keycard.read(path.read_bytes())
    with pytest.raises(RefusedError):
        Card(path.read_bytes())


@pytest.mark.parametrize("path", BESIDE, ids=lambda path: path.parent.name)
def test_a_record_with_its_card_and_what_was_said_later(path: Path) -> None:
    how = json.loads((path.parent / "how.json").read_bytes())
    today = dt.date.fromisoformat(how["today"])
    asked = Asked(today=today, trust=trust.from_fingerprint(how["trust"]), words=WORDS)
    names = {"key status", "superseded or withdrawn", "owner's receipt"}
    answers = {one.code for one in verify(path, asked).checks if one.check in names} - OF_PAPER
    cards = [Card(one.read_bytes()) for one in path.parent.glob("key-card.json")]
    confirmed = [card for card in cards if how["trust"] in card.known]
    said = [one.read_bytes() for one in sorted(path.parent.glob("[!hkr]*.json"))]
    said += [one.read_bytes() for one in path.parent.glob("receipt.json")]
    found = Record(path.read_bytes())
    status = second_cards.key_status(found, confirmed, today)
    assert {status} | second_cards.later(found, said, confirmed, today) == answers


def test_the_suite_is_there() -> None:
    assert len(RECORDS) > 100
    assert len(CARDS) > 20
    assert len(BESIDE) > 20
