"""A page is edited as by another version, and the file signed anew with the first key, which was stolen."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    found = bench.forgery()
    bench.say_besides(found, 3, b"\n1 0 0 rg 50 50 90 9 re f")
    pages = bench.attached("pages.json", of=found)
    at = pages.index(b'"program":"dossier ') + 19
    bench.attach(found, "pages.json", pages[:at] + b"9" + pages[at:])
    return bench.write(bench.signed_by(found, bench.made.key))
