# ruff: noqa: E501 - rows of invented data are long
"""Any record that fits the format's types can be drawn: odd counts, odd dates, references to nothing.

Records under check are hostile, and a check draws their pages again: nothing but our own errors may come out.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import io
from collections.abc import Callable, Sequence
from typing import Any

import msgspec
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from msgspec import inspect
from PIL import Image

from dossier.errors import DossierError
from dossier.model.record import OpenRecord, PhotoDetails, Photograph
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


def strategy(kind: inspect.Type, words: Sequence[str] = WORDS) -> st.SearchStrategy[Any]:
    """Values of a type of the model, their texts out of `words` or any."""
    if isinstance(kind, inspect.StructType):
        return st.builds(kind.cls, **{f.name: strategy(f.type, words) for f in kind.fields})
    if isinstance(kind, inspect.LiteralType):
        return st.sampled_from(kind.values)
    if isinstance(kind, inspect.VarTupleType | inspect.ListType):
        return st.lists(strategy(kind.item_type, words), max_size=2).map(tuple)
    if isinstance(kind, inspect.DictType):
        return st.dictionaries(strategy(kind.key_type, words), strategy(kind.value_type, words), max_size=2)
    if isinstance(kind, inspect.UnionType):
        return st.one_of([strategy(one, words) for one in kind.types])
    plain = {
        inspect.StrType: st.sampled_from(words) | st.text(max_size=12),
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


@settings(deadline=None, max_examples=25, suppress_health_check=list(HealthCheck))
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


# A name in each direction and way of joining letters, emoji of one and of several characters, names that
# never end, with and without a place to break them.
NAMES = (
    *WORDS,
    "\u05d9\u05e6\u05d7\u05e7 \u05dc\u05d5\u05d9, 7\u05d1",  # Hebrew
    "\u0645\u062d\u0645\u062f \u0628\u0646 \u0639\u0644\u064a (1923)",  # Arabic
    "\u0935\u093f\u0915\u094d\u0930\u092e",  # Devanagari
    "\u0e2a\u0e21\u0e0a\u0e32\u0e22\u0e43\u0e08\u0e14\u0e35",  # Thai
    "\u691c\u67fb\u6e08\u307f\u306e\u304b\u3070\u3093\u3002",  # Japanese
    "\uae40\ubbfc\uc900",  # Korean
    "\u0413\u0440\u0438\u0433\u043e\u0440\u0438\u0439 \u03a3\u03c9\u03ba\u03c1\u03ac\u03c4\u03b7\u03c2",  # Cyrillic, Greek
    "a\u0301e\u0308 \u1ebf\u1ed9",  # marks that combine, Vietnamese
    "\U0001f9f3 \U0001f469\u200d\U0001f527 \u2764\ufe0f",  # emoji, joined
    "\u202eegasrever\u202c",  # an override of direction
    "Lederkofferschlossriegelfeder" * 12,
    "an old name that goes on, and on, " * 12,
    "line\nline\n\nline",
)
_KIND = inspect.type_info(OpenRecord)
# How many parts, the larger the rarer: one job of 200 takes as long as forty of one.
SIZES = (*[0] * 3, *[1] * 17, *[30] * 3, 200)
JOBS = st.tuples(strategy(_KIND, NAMES), st.sampled_from(SIZES)).map(lambda drawn: _sized(*drawn))


def _sized(record: OpenRecord, parts: int) -> OpenRecord:
    """So many parts and lines of work, twice as many photographs, out of those that were made."""
    if parts == 1:
        return _joined(record)
    payload = record.payload
    some = [
        payload.photographs[n % len(payload.photographs)] for n in range(2 * parts) if payload.photographs
    ]
    photographs = tuple(
        msgspec.structs.replace(one, name=f"photo-{n:03}.jpg") for n, one in enumerate(some, 1)
    )
    return msgspec.structs.replace(
        record,
        payload=msgspec.structs.replace(
            payload,
            parts=_many(payload.parts, parts, lambda n: {"number": str(n)}),
            work=_many(payload.work, parts, lambda n: {"number": n}),
            photographs=photographs,
        ),
        photo_details=_details(record, photographs),
    )


def _many(rows: Sequence[Any], count: int, numbered: Callable[[int], dict[str, Any]]) -> tuple[Any, ...]:
    if not rows:
        return ()
    return tuple(msgspec.structs.replace(rows[n % len(rows)], **numbered(n)) for n in range(1, count + 1))


def _details(record: OpenRecord, photographs: Sequence[Photograph]) -> dict[str, PhotoDetails]:
    made = list(record.photo_details.values())
    if not made:
        return {}
    return {
        one.name: msgspec.structs.replace(made[n % len(made)], name=one.name)
        for n, one in enumerate(photographs)
    }


@pytest.mark.campaign
@pytest.mark.parametrize("lot", range(12))
@settings(
    deadline=None,
    max_examples=25,
    database=None,
    derandomize=False,  # as it would be under CI: every lot the same jobs
    suppress_health_check=list(HealthCheck),
    phases=[Phase.generate],
)
@given(
    JOBS,
    st.sampled_from(("A4", "Letter")),
    st.sampled_from(("en", "de", "fr", "it", "es", "ja")),
    st.booleans(),
)
def test_any_job_is_archive_grade_and_accessible(
    assert_conforming: Callable[[bytes], None],
    lot: int,
    record: OpenRecord,
    paper: Any,
    language: str,
    draft: bool,
) -> None:
    """ISO 19005-3 level A and ISO 14289-1, by page-validation and by `pdf_checks`, for each of 300 jobs.

    In lots, so that several run at once and a fault in one leaves the others running.
    """
    options = msgspec.structs.replace(OPTIONS, paper=paper, language=language, draft=draft)
    for draw in (document.draw, sheet.draw_sheet, card.draw_card):
        assert_conforming(draw(record, EVERY, options))
