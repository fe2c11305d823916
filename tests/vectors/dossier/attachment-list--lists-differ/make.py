"""The list for people and the list for programs lead to different files."""

from __future__ import annotations

from typing import Any

from dossier.container.values import Name


def make(bench: Any) -> Any:
    found = bench.forgery()
    found.root[Name("/AF")].reverse()
    return bench.write(found.whole())
