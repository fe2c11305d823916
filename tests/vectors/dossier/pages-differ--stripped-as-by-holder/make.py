"""The signature is taken out, and the file says that a holder made it."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    found = bench.unsigned()
    pages = bench.attached("pages.json")
    bench.attach(found, "pages.json", pages.replace(b'"code"', b'"by_holder":true,"code"', 1))
    return bench.write(found.whole())
