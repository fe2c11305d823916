"""A field is laid over a page."""

from __future__ import annotations

from typing import Any

from dossier.container.values import Name


def make(bench: Any) -> Any:
    found = bench.forgery()
    bench.annotate(found, {Name("/Subtype"): Name("/Widget"), Name("/FT"): Name("/Tx"), Name("/V"): b"x"})
    return bench.write(found.whole())
