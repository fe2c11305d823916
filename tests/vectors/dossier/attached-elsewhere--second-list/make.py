"""A page has a list of files of its own."""

from __future__ import annotations

from typing import Any

from dossier.container.values import Name


def make(bench: Any) -> Any:
    found = bench.forgery()
    bench.first_page(found)[Name("/AF")] = found.root[Name("/AF")][:1]
    return bench.write(found.whole())
