"""A word of the pages is changed and the file signed again with a key of somebody else."""

from __future__ import annotations

from typing import Any

from dossier.container.values import Name


def make(bench: Any) -> Any:
    found = bench.forgery()
    bench.first_page(found)[Name("/Rotate")] = 90
    return bench.write(bench.signed_by(found, bench.made.thief))
