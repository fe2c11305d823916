"""The record of the invented writing slope, one copy of it, and options for drawing its pages."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from typing import Any

import pytest
from writing_slope import CREATED, PHOTOS, details, open_apart, payload, picture

from dossier.model.record import Missing, OpenRecord
from dossier.pages.document import PageOptions


@pytest.fixture(scope="session")
def rich_pictures() -> dict[str, bytes]:
    return {f"photo-{n:03}.jpg": picture(row[0], n) for n, row in enumerate(PHOTOS, 1)}


@pytest.fixture(scope="session")
def rich_record(rich_pictures: dict[str, bytes]) -> OpenRecord:
    body = payload(rich_pictures)
    return OpenRecord(
        payload=body,
        digest=hashlib.sha256(b"a payload").hexdigest(),
        apart=open_apart(),
        photo_details=details(rich_pictures),
        copy="workshop",
    )


@pytest.fixture(scope="session")
def resale_record(rich_pictures: dict[str, bytes], rich_record: OpenRecord) -> OpenRecord:
    """The same record without the private matter and without photograph 13."""
    kept = {name: row for name, row in rich_record.photo_details.items() if name != "photo-013.jpg"}
    missing = (
        Missing(kind="owner", count=1),
        Missing(kind="brought_by", count=1),
        Missing(kind="received_by", count=1),
        Missing(kind="agreement_details", count=4),
        Missing(kind="prices", count=1),
        Missing(kind="values", count=1),
        Missing(kind="private_marks", count=1),
        Missing(kind="private_notes", count=1),
        Missing(kind="photograph", count=1),
    )
    return OpenRecord(
        payload=rich_record.payload,
        digest=rich_record.digest,
        photo_details=kept,
        missing=missing,
        copy="resale",
    )


@pytest.fixture(scope="session")
def page_options() -> Callable[..., PageOptions]:
    def make(**more: Any) -> PageOptions:
        base: dict[str, Any] = {
            "created": CREATED,
            "code_text": "https://check.example/r#"
            + "0123456789abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ-_" * 6,
            "fingerprint": "04512 33871 60214 00977 51820 44013 29956 18307",
        }
        return PageOptions(**(base | more))

    return make
