"""An update frees an object that lay over a page."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    whole = bench.pdf.read_bytes()
    number = bench.forgery().numbers("/Type", "/Page")[0]
    update = b"xref\n%d 1\n0000000000 65535 f \ntrailer\n<< /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n"
    return bench.write(whole + update % (number, len(whole)))
