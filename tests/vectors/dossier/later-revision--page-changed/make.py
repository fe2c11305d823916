"""A page is given other content by an update after signing."""

from __future__ import annotations

import io
from typing import Any

from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter


def make(bench: Any) -> Any:
    with bench.pdf.open("rb") as file:
        writer = IncrementalPdfFileWriter(file)
        reference, _ = writer.find_page_for_modification(1)
        page = reference.get_object()
        page["/Contents"] = writer.add_object(generic.StreamObject(stream_data=b"0 0 500 500 re f"))
        writer.update_container(page)
        out = io.BytesIO()
        writer.write(out)
    return bench.write(out.getvalue())
