"""The catalogue says that notes may be added after signing."""

from __future__ import annotations

from typing import Any

from dossier.container.values import Name, Ref


def make(bench: Any) -> Any:
    found = bench.forgery()
    found.root[Name("/Perms")] = {Name("/DocMDP"): Ref(len(found.objects))}
    return bench.write(found.whole())
