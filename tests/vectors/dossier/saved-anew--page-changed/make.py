"""An editor takes the signature out, changes a page, and saves the file in an order of its own."""

from __future__ import annotations

import io
from typing import Any

import pikepdf


def make(bench: Any) -> Any:
    out = io.BytesIO()
    with pikepdf.open(bench.folder / "dossier.pdf") as pdf:
        pdf.Root.AcroForm.Fields = pikepdf.Array()
        page = pdf.pages[1]
        page.Contents = pdf.make_stream(page.Contents.read_bytes() + b"\n")
        pdf.save(out)
    return bench.write(out.getvalue())
