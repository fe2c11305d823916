"""The price in the record of another object is put in."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    value, other = bench.record_json(), bench.record_json(other=True)
    disclosures = value["signatures"][0]["header"]["disclosures"]
    disclosures[0] = other["signatures"][0]["header"]["disclosures"][0]
    return bench.write(bench.canonical(value), "record.json")
