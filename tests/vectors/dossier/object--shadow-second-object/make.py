"""Two objects of one number stand in the file, of which a table could choose either."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    found = bench.forgery()
    number = found.numbers("/Type", "/Page")[1]
    hidden = found.object_bytes(number).replace(b"/Type /Page", b"/Rotate 90 /Type /Page")
    return bench.write(found.whole({number: found.object_bytes(number) + hidden}))
