"""The code on the page is that of another record of the same workshop, which its key signed."""

from __future__ import annotations

import json
from typing import Any


def make(bench: Any) -> Any:
    found = bench.held()
    pages = json.loads(bench.attached("pages.json", of=found))
    pages["code"] = json.loads(bench.attached("pages.json", other=True))["code"]
    bench.attach(found, "pages.json", bench.canonical(pages))
    return bench.write(found.whole())
