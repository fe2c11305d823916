"""A field with words of its own is added to the form."""

from __future__ import annotations

from typing import Any

from dossier.container.values import Name


def make(bench: Any) -> Any:
    found = bench.forgery()
    field = found.add({Name("/FT"): Name("/Tx"), Name("/T"): b"x", Name("/V"): b"all original"})
    found.root[Name("/AcroForm")][Name("/Fields")].append(field)
    return bench.write(found.whole())
