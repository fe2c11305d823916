"""The name of the program that drew the pages holds other words."""

from __future__ import annotations

import json
from typing import Any


def make(bench: Any) -> Any:
    found = bench.held()
    pages = json.loads(bench.attached("pages.json", of=found))
    pages["program"] = "Certified by the makers"
    bench.attach(found, "pages.json", bench.canonical(pages))
    return bench.write(found.whole())
