"""An update gives a font another definition, so that the same bytes show other letters."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    found = bench.forgery()
    number = found.numbers("/Type", "/Font")[0]
    whole = bench.pdf.read_bytes()
    other = b"%d 0 obj\n<< /BaseFont /Symbol /Subtype /Type1 /Type /Font >>\nendobj\n" % number
    table = b"xref\n%d 1\n%010d 00000 n \ntrailer\n<< /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n"
    return bench.write(whole + other + table % (number, len(whole), len(whole) + len(other)))
