"""Any PDF as pages in the form that a dossier is written from: its objects by pikepdf, in canonical text.

For pages that other programs make, in tests. Numbers go by first mention, breadth first from the catalogue.
"""

from __future__ import annotations

import io
from decimal import Decimal
from typing import Any

import pikepdf

from dossier.container import layout
from dossier.container.values import Name, Ref, Value


def plain_pages(pdf_bytes: bytes) -> bytes:
    """The same catalogue, pages and all they refer to."""
    with pikepdf.open(io.BytesIO(pdf_bytes), inherit_page_attributes=False) as pdf:
        return _Objects(pdf).written()


class _Objects:
    def __init__(self, pdf: pikepdf.Pdf) -> None:
        self._numbers: dict[tuple[int, int], int] = {}
        self._sources: list[Any] = []
        self._ref(pdf.Root)  # the first: `layout.ROOT`
        self._info = self._ref(pdf.trailer["/Info"]).number if "/Info" in pdf.trailer else 0
        self._identifier = self._value(pdf.trailer.get("/ID"), direct=True)

    def written(self) -> bytes:
        parts, offsets, at = [layout.HEADER], [], len(layout.HEADER)
        for number, source in enumerate(self._sources, 1):  # grows while it is walked
            offsets.append(at)
            parts.append(self._object(number, source))
            at += len(parts[-1])
        end = layout.trailer(len(offsets) + 1, self._info, self._identifier, at)
        return b"".join([*parts, layout.xref_table(offsets), end])

    def _object(self, number: int, source: Any) -> bytes:
        value = self._value(source, direct=True)
        if not isinstance(source, pikepdf.Stream):
            return layout.whole_object(number, value)
        assert isinstance(value, dict)
        raw = bytes(source.read_raw_bytes())
        value.pop(Name("/Length"), None)
        return layout.stream_start(number, value, len(raw)) + raw + layout.stream_end(raw[-1:])

    def _ref(self, source: Any) -> Ref:
        key = source.objgen
        if key not in self._numbers:
            self._sources.append(source)
            self._numbers[key] = len(self._sources)
        return Ref(self._numbers[key])

    def _value(self, source: Any, *, direct: bool = False) -> Value:
        if source is None or isinstance(source, bool | int | Decimal):
            return source
        if source.is_indirect and not direct:
            return self._ref(source)
        if isinstance(source, pikepdf.Dictionary | pikepdf.Stream):
            return {Name(key): self._value(source[key]) for key in sorted(source.keys())}
        if isinstance(source, pikepdf.Array):
            return [self._value(item) for item in source]
        return Name(str(source)) if isinstance(source, pikepdf.Name) else bytes(source)
