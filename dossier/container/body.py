"""The objects of a finished pages PDF, renumbered and in canonical text, one at a time.

Not done here: judging the pages. What is read here was drawn by this program in the same run (or redrawn
for a comparison), so that pikepdf's objects are taken as they are. Numbers go by first mention, breadth
first from the catalogue, keys sorted: they depend on nothing but the pages themselves.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pikepdf

from dossier.container.layout import FIELD_NAME, stream_end, stream_start, whole_object
from dossier.container.values import Name, Ref, Value
from dossier.errors import OutputError

ROOT = 1
_STREAM_ONLY = ("/Length",)


class Body:
    """The objects of `pages_pdf`, numbered from 1; `objects()` gives them in order."""

    def __init__(self, pages_pdf: bytes) -> None:
        self._pdf = _opened(pages_pdf)
        self._numbers: dict[tuple[int, int], int] = {}
        self._sources: list[Any] = []
        self._values: list[Value] = []
        self._collect()

    @property
    def count(self) -> int:
        return len(self._sources)

    @property
    def root(self) -> dict[Name, Value]:
        """The catalogue's entries; what is changed here is written."""
        return self._dictionary(ROOT)

    @property
    def info(self) -> int:
        """The number of the information dictionary, or 0."""
        return self._info

    @property
    def identifier(self) -> Value:
        """/ID as the pages have it."""
        return self._identifier

    def signature_field(self) -> dict[Name, Value]:
        """The entries of the unsigned field the pages were drawn with."""
        for value in self._values:
            if isinstance(value, dict) and value.get(Name("/T")) == FIELD_NAME.encode():
                return value
        raise OutputError(f"the pages have no signature field {FIELD_NAME}")

    def objects(self) -> Iterator[bytes]:
        """Each object's whole bytes, in order of number."""
        for number, (source, value) in enumerate(zip(self._sources, self._values, strict=True), 1):
            if isinstance(source, pikepdf.Stream):
                yield _stream(number, source, value)
            else:
                yield whole_object(number, value)

    def close(self) -> None:
        self._pdf.close()

    def _dictionary(self, number: int) -> dict[Name, Value]:
        value = self._values[number - 1]
        assert isinstance(value, dict)
        return value

    def _collect(self) -> None:
        trailer = self._pdf.trailer
        self._ref(self._pdf.Root)
        self._info = self._ref(trailer["/Info"]).number if "/Info" in trailer else 0
        self._identifier = self._value(trailer.get("/ID"), direct=True)
        while len(self._values) < len(self._sources):
            source = self._sources[len(self._values)]
            self._values.append(self._value(source, direct=True))

    def _ref(self, source: Any) -> Ref:
        key = source.objgen
        if key not in self._numbers:
            self._sources.append(source)
            self._numbers[key] = len(self._sources)
        return Ref(self._numbers[key])

    def _value(self, source: Any, *, direct: bool = False) -> Value:
        if not isinstance(source, pikepdf.Object):
            return _scalar(source)
        if source.is_indirect and not direct:
            return self._ref(source)
        if isinstance(source, pikepdf.Dictionary | pikepdf.Stream):
            return self._entries(source)
        if isinstance(source, pikepdf.Array):
            return [self._value(item) for item in source]
        return Name(str(source)) if isinstance(source, pikepdf.Name) else _scalar_object(source)

    def _entries(self, source: Any) -> dict[Name, Value]:
        skip = _STREAM_ONLY if isinstance(source, pikepdf.Stream) else ()
        return {Name(key): self._value(source[key]) for key in sorted(source.keys()) if key not in skip}


def _opened(pages_pdf: bytes) -> pikepdf.Pdf:
    try:
        pdf = pikepdf.open(io.BytesIO(pages_pdf), attempt_recovery=False, inherit_page_attributes=False)
    except pikepdf.PdfError as error:
        raise OutputError(f"the pages could not be read back: {error}") from error
    if "/Names" in pdf.Root:  # made direct, since attachments are added to it
        pdf.Root.Names = pikepdf.Dictionary(dict(pdf.Root.Names.items()))
    return pdf


def _stream(number: int, source: Any, value: Value) -> bytes:
    raw: bytes = source.read_raw_bytes()
    assert isinstance(value, dict)
    return stream_start(number, value, len(raw)) + raw + stream_end(raw[-1:])


def _scalar(source: Any) -> Value:
    if source is None or isinstance(source, bool | int | Decimal):
        return source
    raise OutputError(f"the pages hold a value of a kind not known: {type(source).__name__}")


def _scalar_object(source: Any) -> Value:
    if isinstance(source, pikepdf.String):
        return bytes(source)
    raise OutputError(f"the pages hold a value of a kind not known: {type(source).__name__}")
