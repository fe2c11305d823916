"""A picture of a true code stands before a PDF that says something else."""

from __future__ import annotations

import io
from typing import Any

from PIL import Image


def make(bench: Any) -> Any:
    out = io.BytesIO()
    Image.open(bench.picture_of_code()).save(
        out, "JPEG", comment=b"%PDF-1.7\n1 0 obj\n<< /Type /Catalog >>\nendobj\n"
    )
    return bench.write(out.getvalue())
