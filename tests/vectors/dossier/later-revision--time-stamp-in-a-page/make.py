"""A revision as of a time-stamp put in later, in which a page stands in the place of the field."""

from __future__ import annotations

from typing import Any

from dossier.container.values import Name


def make(bench: Any) -> Any:
    found = bench.forgery()
    state = bench.state()
    number = found.numbers("/Type", Name("/Page"))[0]
    return bench.revised(state._replace(fields=((number, {**found.objects[number][0]}),)))
