"""A word of the record is changed, and the file saved by another program."""

from __future__ import annotations

import io
from typing import Any

import pikepdf

from dossier.seal import base64url
from dossier.seal import record as seal


def make(bench: Any) -> Any:
    whole = (bench.folder / "record.json").read_bytes()
    payload = seal.from_json(whole).payload
    other = payload.replace(b"original", b"0riginal", 1)
    changed = whole.replace(base64url.encode(payload).encode(), base64url.encode(other).encode())
    assert changed != whole
    out = io.BytesIO()
    with pikepdf.open(bench.folder / "dossier.pdf") as pdf:
        pdf.attachments["record.json"].obj.EF.F.write(changed)
        pdf.save(out)
    return bench.write(out.getvalue())
