"""The three algorithms against Wycheproof's vectors, each put through the check of a record's signature.

`tests/data/wycheproof/README.md` says where they come from. What a vector signs stands in the place of what a
record signs; all the rest (key, length, the lower s, the signature) is looked at as it is in a record.
"""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from dossier import canonical
from dossier.model.record import Signature
from dossier.seal import algorithms, base64url, signatures

DATA = Path(__file__).parents[2] / "data" / "wycheproof"
TYP = "restoration-record+sd-jwt"
# Wycheproof leaves open whether keys of small order are taken (FORMAT.md section 10: they are not), and takes
# both forms of an ES256 signature (section 2: the lower s alone) and a context (RFC 9964: none).
STRICTER = {
    "ES256": {"signature-high-s": 70},
    "Ed25519": {"key-shape": 8},
    "ML-DSA-65": {"signature-wrong": 2},
}


def vectors(name: str) -> Iterator[dict[str, str]]:
    key = ""
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file, delimiter="\t", quoting=csv.QUOTE_NONE):
            key = row["key"] or key
            yield {**row, "key": key}


def jwk(alg: str, raw: bytes) -> algorithms.Jwk:
    return algorithms.jwk(alg, *([raw[1:33], raw[33:]] if alg == "ES256" else [raw]))


def answer(alg: str, row: dict[str, str], monkeypatch: pytest.MonkeyPatch) -> str:
    """The code of the check of a signature, "" where it holds."""
    key = jwk(alg, bytes.fromhex(row["key"]))
    header = canonical.encode({"alg": alg, "kid": key["kid"], "typ": TYP})
    raw = bytes.fromhex(row["signature"])
    one = Signature(protected=base64url.encode(header), signature=base64url.encode(raw))
    monkeypatch.setattr(signatures, "_signing_input", lambda *_: bytes.fromhex(row["message"]))
    checked = signatures.check(b"{}", [one], [key], (), TYP)
    return checked.problems[0].code if checked.problems else ""


@pytest.mark.parametrize(
    ("alg", "file", "number"),
    [("ES256", "es256.tsv", 262), ("Ed25519", "ed25519.tsv", 210), ("ML-DSA-65", "ml_dsa_65.tsv", 47)],
)
def test_what_wycheproof_refuses_is_refused_and_what_it_takes_is_taken(
    alg: str, file: str, number: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    rows = list(vectors(file))
    assert len(rows) == number
    stricter: Counter[str] = Counter()
    for row in rows:
        code = answer(alg, row, monkeypatch)
        if row["result"] == "invalid":
            assert code, row["comment"]
        elif code:
            stricter[code] += 1
    assert stricter == STRICTER[alg]
