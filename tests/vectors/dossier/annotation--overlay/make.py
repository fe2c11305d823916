"""A stamp with a picture of its own is laid over a page."""

from __future__ import annotations

from typing import Any

from dossier.container.values import Name


def make(bench: Any) -> Any:
    found = bench.forgery()
    look = found.add({Name("/Subtype"): Name("/Form"), Name("/BBox"): [0, 0, 9, 9]}, b"0 0 9 9 re f")
    bench.annotate(found, {Name("/Subtype"): Name("/Stamp"), Name("/AP"): {Name("/N"): look}})
    return bench.write(found.whole())
