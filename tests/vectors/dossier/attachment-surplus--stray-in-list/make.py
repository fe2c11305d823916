"""A file that no dossier carries is added to the list."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    found = bench.forgery()
    bench.rename(found, "how-to-check.txt", "appraisal.txt")
    return bench.write(found.whole())
