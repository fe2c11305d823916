"""The objects of a finished pages PDF, taken over as they are.

The pages come in the form of a dossier (CONTAINER.md, sections 1 and 2), as this program draws them, so that
nothing is put in other words: only the catalogue and the signature's field, which get something more, are
read. Not done here: judging the pages.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from itertools import pairwise

from dossier.container.layout import FIELD_NAME, ROOT, whole_object
from dossier.container.scan import Objects, by_table
from dossier.container.values import Name, Ref, Value
from dossier.container.window import Window
from dossier.errors import OutputError
from dossier.model.container import Limits


class Body:
    """The objects of `pages_pdf`, numbered from 1; `objects()` gives them in order."""

    def __init__(self, pages_pdf: bytes) -> None:
        self._content = memoryview(pages_pdf)
        self._objects = _read(pages_pdf)
        self._trailer = self._objects.trailer()
        self._changed = {ROOT: self._objects.dictionary(ROOT)}

    @property
    def count(self) -> int:
        return self._objects.count

    @property
    def root(self) -> dict[Name, Value]:
        """The catalogue's entries; what is changed here is written."""
        return self._changed[ROOT]

    @property
    def info(self) -> int:
        """The number of the information dictionary, or 0."""
        info = self._trailer.get(Name("/Info"))
        return info.number if isinstance(info, Ref) else 0

    @property
    def identifier(self) -> Value:
        """/ID as the pages have it."""
        return self._trailer.get(Name("/ID"))

    def signature_field(self) -> dict[Name, Value]:
        """The entries of the unsigned field the pages were drawn with; what is changed here is written."""
        for number in self._fields():
            entries = self._objects.dictionary(number)
            if entries.get(Name("/T")) == FIELD_NAME.encode():
                return self._changed.setdefault(number, entries)
        raise OutputError(f"the pages have no signature field {FIELD_NAME}")

    def objects(self) -> Iterator[bytes | memoryview]:
        """Each object's whole bytes, in order of number."""
        bounds = pairwise([*self._objects.offsets, self._objects.xref_at])
        for number, (start, end) in enumerate(bounds, 1):
            if number in self._changed:
                yield whole_object(number, self._changed[number])
            else:
                yield self._content[start:end]

    def _fields(self) -> list[int]:
        form = self.root.get(Name("/AcroForm"))
        fields = form.get(Name("/Fields")) if isinstance(form, dict) else None
        return [one.number for one in fields if isinstance(one, Ref)] if isinstance(fields, list) else []


def _read(pages_pdf: bytes) -> Objects:
    objects = by_table(Window(io.BytesIO(pages_pdf), len(pages_pdf)), Limits())
    if objects is None:
        raise OutputError("the pages are not in the form of a dossier")
    return objects
