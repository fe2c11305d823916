"""The text on how to check names somebody else."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    found = bench.held()
    text = bench.attached("how-to-check.txt", of=found)
    bench.attach(found, "how-to-check.txt", text + b"Ask +43 1 555 0666.\n")
    return bench.write(found.whole())
