"""A photograph is exchanged for another, and the file saved by another program."""

from __future__ import annotations

import io
from typing import Any

import pikepdf


def make(bench: Any) -> Any:
    out = io.BytesIO()
    with pikepdf.open(bench.folder / "dossier.pdf") as pdf:
        name = next(one for one in pdf.attachments if one.startswith("photo-002"))
        file = pdf.attachments[name].obj.EF.F
        file.write(bytes(file.read_bytes()[:-1]) + b"\0")
        pdf.save(out)
    return bench.write(out.getvalue())
