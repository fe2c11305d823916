"""A stamp is laid over a page by an update, as a certified file would allow."""

from __future__ import annotations

import io
from typing import Any

from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter


def make(bench: Any) -> Any:
    with bench.pdf.open("rb") as file:
        writer = IncrementalPdfFileWriter(file)
        reference, _ = writer.find_page_for_modification(2)
        page = reference.get_object()
        stamp = generic.DictionaryObject(
            {
                generic.pdf_name("/Type"): generic.pdf_name("/Annot"),
                generic.pdf_name("/Subtype"): generic.pdf_name("/FreeText"),
                generic.pdf_name("/Rect"): generic.ArrayObject(map(generic.NumberObject, (0, 0, 500, 700))),
                generic.pdf_name("/Contents"): generic.pdf_string("all original"),
            }
        )
        page["/Annots"] = generic.ArrayObject([writer.add_object(stamp)])
        writer.update_container(page)
        out = io.BytesIO()
        writer.write(out)
    return bench.write(out.getvalue())
