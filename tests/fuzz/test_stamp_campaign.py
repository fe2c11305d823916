"""Long runs over time-stamp tokens and evidence: 20,000 seeded changes each, none unnoticed."""

from __future__ import annotations

import datetime as dt
import random
import time
from pathlib import Path

import pytest
from time_server import Authority

from dossier.flows.verifying import times
from dossier.seal import form, stamp, stamp_chain, stamp_token
from dossier.seal.stamp_codes import CODES, StampError
from dossier.words import Catalogue

VECTORS = Path(__file__).parents[1] / "vectors" / "evidence"
DATA = b"a record"
RUNS = 20_000


def mutated(data: bytes, seeded: random.Random) -> bytes:
    """One structural change: a stretch cut out, doubled, moved, or overwritten, or a length made longer."""
    at, to = sorted(seeded.sample(range(len(data)), 2))
    kinds = {
        "cut": data[:at] + data[to:],
        "double": data[:to] + data[at:],
        "noise": data[:at] + seeded.randbytes(min(to - at, 40)) + data[at + min(to - at, 40) :],
        "longer": data[:at] + b"\x30\x84" + seeded.randbytes(4) + data[at:],
        "nest": data[:at] + b"\x30\x80" * seeded.randrange(1, 2000) + data[at:],
    }
    return kinds[seeded.choice(sorted(kinds))]


@pytest.mark.campaign
def test_campaign(tmp_path: Path) -> None:
    nonce = bytes(range(16))
    for number, rsa_key in enumerate((False, True)):
        authority = Authority(tmp_path / str(number), rsa_key=rsa_key)
        answer = authority.answer(stamp.request(DATA, nonce))
        token = stamp.received(answer, DATA, nonce, dt.datetime.now(dt.UTC))
        whole = stamp_token.without(token, frozenset())
        seeded = random.Random(number)
        slowest = 0.0
        for run in range(RUNS // 2):
            changed = bytearray(whole)
            at = seeded.randrange(len(whole) * 8)
            changed[at // 8] ^= 1 << at % 8
            for data in (bytes(changed), mutated(whole, seeded)):
                started = time.perf_counter()
                try:
                    stamp.checked(data, DATA)
                except StampError as error:
                    assert error.code in CODES
                else:
                    assert data == whole, (number, run)
                slowest = max(slowest, time.perf_counter() - started)
        assert slowest < 5
        print(f"{RUNS // 2} flips and {RUNS // 2} changes, slowest {slowest * 1000:.1f} ms")


@pytest.mark.campaign
def test_no_bit_of_a_records_evidence_changes_unnoticed() -> None:
    """Each flip and each structural change of the file: its own answer never matches.

    One in an issuer's certificate, which nothing but its own issuer signs, leaves the authority unconfirmed.
    """
    folder = VECTORS / "time-stamp-matches"
    sealed = form.from_json((folder / "record.json").read_bytes())
    whole = (folder / "record-evidence.json").read_bytes()
    roots, words = tuple(stamp_chain.from_file(VECTORS / "authority.pem")), Catalogue("en")
    seeded, slowest = random.Random(20261126), 0.0
    for run in range(RUNS // 2):
        flipped = bytearray(whole)
        at = seeded.randrange(len(whole) * 8)
        flipped[at // 8] ^= 1 << at % 8
        for data in (bytes(flipped), mutated(whole, seeded)):
            started = time.perf_counter()
            found = times.of_record(sealed, None, roots, words, evidence=data)
            own = found.answers[-1]
            assert own.where == (words.say("stamp.where.evidence"),)
            assert data == whole or own.verdict != "matches", (run, at)
            slowest = max(slowest, time.perf_counter() - started)
    assert times.of_record(sealed, None, roots, words, evidence=whole).stamped
    assert slowest < 5
    print(f"{RUNS // 2} flips and {RUNS // 2} changes, slowest {slowest * 1000:.1f} ms")
