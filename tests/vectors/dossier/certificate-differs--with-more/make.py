"""Words about the certificate stand behind it in its file."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    found = bench.held()
    content = bench.attached("certificate.pem", of=found)
    bench.attach(found, "certificate.pem", content + b"Confirmed by the guild of the trade.\n")
    return bench.write(found.whole())
