"""What was signed as a receipt is presented as a statement."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    receipt = bench.signed_as(
        "restoration-receipt+jws", bench.statement("withdrawal", bench.made.key), bench.made.key
    )
    return bench.write(receipt, "withdrawal.json")
