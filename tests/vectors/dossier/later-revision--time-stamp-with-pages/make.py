"""A revision as of a time-stamp put in later, in which the catalogue leads to other pages."""

from __future__ import annotations

from typing import Any

from dossier.container.values import Name


def make(bench: Any) -> Any:
    found = bench.forgery()
    state = bench.state()
    root = {**state.root, Name("/Pages"): found.root[Name("/Outlines")]}
    return bench.revised(state._replace(root=root))
