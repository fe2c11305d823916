"""Words stand on a layer that a viewer may show or not."""

from __future__ import annotations

from typing import Any

from dossier.container.values import Name


def make(bench: Any) -> Any:
    found = bench.held()
    group = found.add({Name("/Type"): Name("/OCG"), Name("/Name"): b"words"})
    found.root[Name("/OCProperties")] = {Name("/OCGs"): [group], Name("/D"): {Name("/ON"): [group]}}
    look = {Name("/OC"): group, Name("/Subtype"): Name("/Form"), Name("/BBox"): [0, 0, 600, 800]}
    bench.draw_besides(found, 2, found.add(look, b"1 0 0 rg 0 0 500 500 re f"))
    return bench.write(found.whole())
