"""The file says that its pages are in a language that nobody draws, in which words can be hidden."""

from __future__ import annotations

import json
from typing import Any


def make(bench: Any) -> Any:
    found = bench.held()
    pages = json.loads(bench.attached("pages.json", of=found))
    pages["language"] = "Certified by the makers"
    bench.attach(found, "pages.json", bench.canonical(pages))
    return bench.write(found.whole())
