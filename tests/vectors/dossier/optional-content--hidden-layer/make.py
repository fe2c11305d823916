"""A layer is switched off and holds other words."""

from __future__ import annotations

from typing import Any

from dossier.container.values import Name


def make(bench: Any) -> Any:
    found = bench.forgery()
    group = found.add({Name("/Type"): Name("/OCG"), Name("/Name"): b"words"})
    found.root[Name("/OCProperties")] = {Name("/OCGs"): [group], Name("/D"): {Name("/OFF"): [group]}}
    return bench.write(found.whole())
