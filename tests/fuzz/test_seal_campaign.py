"""Long runs over sealed records and codes: seeded bit flips and structural changes, none of them unnoticed.

Run with `pytest -m campaign tests/fuzz/test_seal_campaign.py`.
"""

from __future__ import annotations

import json
import random
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from dossier import canonical
from dossier.errors import UnreadableError
from dossier.model.record import Sealed
from dossier.seal import base64url, code, record
from dossier.words import Catalogue

VECTORS = Path(__file__).parents[1] / "vectors"
RUNS = 20_000
GOOD = record.from_json((VECTORS / "record" / "signatures-match" / "record.json").read_bytes())
WORDS = Catalogue("en")

pytestmark = pytest.mark.campaign


def noticed(data: bytes, read: Callable[[bytes], Sealed]) -> bool:
    """Whether a changed record is refused or fails a check. Nothing but UnreadableError may escape."""
    try:
        sealed = read(data)
    except UnreadableError:
        return True
    return any(check.verdict == "does not match" for check in record.check(sealed, WORDS).checks)


@pytest.mark.parametrize("form", ["json", "compact"])
def test_bit_flips_of_a_record(form: str) -> None:
    write, read = {
        "json": (record.to_json, record.from_json),
        "compact": (record.to_compact, record.from_compact),
    }[form]
    data, chance = write(GOOD), random.Random(20261125)
    for _ in range(RUNS):
        at, bit = chance.randrange(len(data)), chance.randrange(8)
        changed = data[:at] + bytes([data[at] ^ 1 << bit]) + data[at + 1 :]
        assert noticed(changed, read), (at, bit)


def test_bit_flips_of_a_code() -> None:
    """Those of the fragment; the page before it is not signed."""
    text = (VECTORS / "code" / "code-signature-matches" / "code.txt").read_text(encoding="ascii")
    start, chance = text.index("#") + 1, random.Random(20261125)
    for _ in range(RUNS):
        at, bit = chance.randrange(start, len(text)), chance.randrange(7)
        changed = text[:at] + chr(ord(text[at]) ^ 1 << bit) + text[at + 1 :]
        try:
            answers = code.check(code.read(changed), WORDS)
        except UnreadableError:
            continue
        assert any(answer.verdict == "does not match" for answer in answers), (at, bit)


def places(value: Any) -> Iterator[Any]:
    """Every array and object in `value`."""
    if isinstance(value, dict | list):
        yield value
        for inner in value.values() if isinstance(value, dict) else value:
            yield from places(inner)


_VALUES = ["", "x", 0, -1, True, [], {}, [[]], {"...": "A" * 43}, {"_sd": []}, "photo-001.jpg", 2**53 - 1]


def changed_somewhere(value: Any, chance: random.Random) -> Any:
    """`value` with one array or object changed: something taken out, put in, doubled, replaced or moved."""
    value = json.loads(json.dumps(value))
    here = chance.choice(list(places(value)))
    kind = chance.randrange(4)
    if isinstance(here, dict):
        name = chance.choice(list(here) or ["x"])
        if kind == 0:
            here.pop(name, None)
        elif kind == 1:
            here[chance.choice(["...", "_sd", "_sd_alg", "jwk", "x", "details", "owner"])] = chance.choice(
                _VALUES
            )
        else:
            here[name] = chance.choice(_VALUES)
    elif kind == 0 and here:
        here.pop(chance.randrange(len(here)))
    elif kind == 1 and here:
        here.append(chance.choice(here))
    elif kind == 2:
        chance.shuffle(here)
    else:
        here.insert(chance.randrange(len(here) + 1), chance.choice(_VALUES))
    return value


def test_structural_changes_of_a_record() -> None:
    """The outer JSON, the payload, a header or a disclosure, written canonically again."""
    outer = canonical.decode(record.to_json(GOOD))
    chance = random.Random(20261125)
    for run in range(RUNS):
        changed = json.loads(json.dumps(outer))
        part = chance.randrange(4)
        if part == 0:
            changed = changed_somewhere(changed, chance)
        elif part == 1:
            changed["payload"] = again(changed["payload"], chance)
        elif part == 2:
            changed["signatures"][0]["protected"] = again(changed["signatures"][0]["protected"], chance)
        else:
            disclosures = changed["signatures"][0]["header"]["disclosures"]
            at = chance.randrange(len(disclosures))
            disclosures[at] = again(disclosures[at], chance)
        data = canonical.encode(changed)
        if changed == outer:
            continue
        left_out_only = still_a_copy(changed, outer)
        assert noticed(data, record.from_json) or left_out_only, run


def again(text: str, chance: random.Random) -> str:
    return base64url.encode(
        canonical.encode(changed_somewhere(canonical.decode(base64url.decode(text)), chance))
    )


def still_a_copy(changed: Any, outer: Any) -> bool:
    """Whether the change only left disclosures out, which anybody may do."""
    try:
        bare = json.loads(json.dumps(changed))
        kept = bare["signatures"][0]["header"].pop("disclosures")
        whole = json.loads(json.dumps(outer))
        every = whole["signatures"][0]["header"].pop("disclosures")
    except (TypeError, KeyError, IndexError, AttributeError):
        return False
    return isinstance(kept, list) and bare == whole and [one for one in every if one in kept] == kept
