# ruff: noqa: E501 - rows of invented data are long
"""Any record that fits the format's types can be drawn: odd counts, odd dates, references to nothing.

Records under check are hostile, and a check draws their pages again: nothing but our own errors may come out.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import io
from typing import Any

import msgspec
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec import inspect
from PIL import Image

from dossier.errors import DossierError
from dossier.model.record import OpenRecord
from dossier.pages import card, document, how_to_check, sheet
from dossier.pages.document import PageOptions

WORDS = (
    "1",
    "7a",
    "photo-001.jpg",
    "2026-03-14",
    "2026-13-99",
    "Lining",
    "<b>",
    "",
    "word " * 40,
    "-1",
    "\u4e2d",
)
OPTIONS = PageOptions(created=dt.datetime(2026, 9, 21, tzinfo=dt.UTC), fingerprint="1 2 3")


class Everywhere(dict[str, bytes]):
    """The same small picture for every name, so that overlays and grids are drawn too."""

    def get(self, key: str, default: Any = None) -> Any:
        return JPEG


def _jpeg() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (40, 30), (120, 90, 60)).save(out, "JPEG")
    return out.getvalue()


JPEG = _jpeg()
EVERY = Everywhere()


def strategy(kind: inspect.Type) -> st.SearchStrategy[Any]:
    """Values of a type of the model."""
    if isinstance(kind, inspect.StructType):
        return st.builds(kind.cls, **{f.name: strategy(f.type) for f in kind.fields})
    if isinstance(kind, inspect.LiteralType):
        return st.sampled_from(kind.values)
    if isinstance(kind, inspect.VarTupleType | inspect.ListType):
        return st.lists(strategy(kind.item_type), max_size=2).map(tuple)
    if isinstance(kind, inspect.DictType):
        return st.dictionaries(strategy(kind.key_type), strategy(kind.value_type), max_size=2)
    if isinstance(kind, inspect.UnionType):
        return st.one_of([strategy(one) for one in kind.types])
    plain = {
        inspect.StrType: st.sampled_from(WORDS) | st.text(max_size=12),
        inspect.IntType: st.integers(-3, 2000),
        inspect.BoolType: st.booleans(),
        inspect.NoneType: st.none(),
    }
    return plain[type(kind)]


def _joined(record: OpenRecord) -> OpenRecord:
    """With the details that were made given to the photographs that were made, so that they are shown."""
    names = [photograph.name for photograph in record.payload.photographs]
    details = dict(zip(names, record.photo_details.values(), strict=False))
    return msgspec.structs.replace(record, photo_details=details)


RECORDS = strategy(inspect.type_info(OpenRecord)).map(_joined)


@settings(deadline=None, max_examples=40, suppress_health_check=list(HealthCheck))
@given(RECORDS, st.booleans())
def test_any_record_is_drawn(record: OpenRecord, letter: bool) -> None:
    options = msgspec.structs.replace(OPTIONS, paper="Letter" if letter else "A4")
    for draw in (document.draw, sheet.draw_sheet, card.draw_card):
        with contextlib.suppress(DossierError):
            assert draw(record, EVERY, options).startswith(b"%PDF-1.7")
    assert how_to_check.text(record, options)


@settings(deadline=None, max_examples=40)
@given(st.binary(max_size=200))
def test_a_picture_that_is_none_is_our_own_error(data: bytes) -> None:
    record = _with_one_photograph()
    with contextlib.suppress(DossierError):
        document.draw(record, {"photo-001.jpg": data}, OPTIONS)


def _with_one_photograph() -> OpenRecord:
    plain = {
        "payload": {
            "format": "1.0", "_sd_alg": "sha-256", "iat": 0, "record": "urn:uuid:0", "job": "1", "language": "en",
            "workshop": {"name": "W"}, "object": {"type": "chair"}, "for_whom": "other",
            "photographs": [
                {"name": "photo-001.jpg", "bytes": 1, "sha256": "0" * 64, "media_type": "image/jpeg", "details": []}
            ],
        },
        "digest": "0" * 64,
        "photo_details": {"photo-001.jpg": {"name": "photo-001.jpg", "file": "a.jpg"}},
    }  # fmt: skip
    return msgspec.convert(plain, OpenRecord)
