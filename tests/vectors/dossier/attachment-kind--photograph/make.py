"""A photograph inside is marked as a program."""

from __future__ import annotations

from typing import Any

from dossier.container.values import Name


def make(bench: Any) -> Any:
    found = bench.forgery()
    spec = found.objects[found.numbers("/UF", b"photo-001.jpg")[0]][0]
    found.objects[spec[Name("/EF")][Name("/F")].number][0][Name("/Subtype")] = Name("/application/x-sh")
    return bench.write(found.whole())
