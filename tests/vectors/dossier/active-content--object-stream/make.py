"""Objects are packed where a scan of the bytes does not see them."""

from __future__ import annotations

from typing import Any

from dossier.container.values import Name


def make(bench: Any) -> Any:
    found = bench.forgery()
    found.add({Name("/Type"): Name("/ObjStm"), Name("/N"): 1, Name("/First"): 4}, b"2 0 << >>")
    return bench.write(found.whole())
