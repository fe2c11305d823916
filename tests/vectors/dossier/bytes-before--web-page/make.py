"""A web page stands before the PDF."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    return bench.write(b"<html><!--\n" + bench.pdf.read_bytes(), "dossier.html")
