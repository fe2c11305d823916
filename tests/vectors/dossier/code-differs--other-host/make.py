"""The code on the page leads to the page of somebody else; what is signed in it is true."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    found = bench.held()
    pages = bench.attached("pages.json", of=found)
    bench.attach(
        found,
        "pages.json",
        pages.replace(b"https://check.example/r#", b"https://check.example.evil.example/r#"),
    )
    return bench.write(found.whole())
