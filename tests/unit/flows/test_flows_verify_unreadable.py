"""What is said of a file that cannot be read: in the reader's own language, and where it stops."""

from __future__ import annotations

import datetime as dt
import re
from pathlib import Path

import pytest

from dossier.flows.verify import Asked, verify
from dossier.words import LANGUAGES, Catalogue


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_record_in_another_form_is_told_in_the_language_asked_for(tmp_path: Path, language: str) -> None:
    """Twice one name (RFC 8259 section 4); before, the reading library's English words were all there was."""
    words, path = Catalogue(language), tmp_path / "record.json"
    path.write_bytes(b'{"payload":1,"payload":2}')
    (found,) = verify(path, Asked(today=dt.date(2026, 12, 24), words=words)).checks
    assert (found.code, found.text) == ("not-canonical", words.say("seal.code.not-canonical"))
    assert found.where == ()


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize(
    ("start", "code"),
    [
        (b"hello", "not-pdf"),
        (b"hello %PDF-1.7", "bytes-before"),
        (b"-----BEGIN CERTIFICATE-----\nMIIB", "certificate-alone"),
    ],
)
def test_a_file_that_is_no_dossier_is_told_once(
    tmp_path: Path, language: str, start: bytes, code: str
) -> None:
    """It had been said again by the reader of PDFs, in English."""
    path = tmp_path / "dossier.pdf"
    path.write_bytes(start)
    (found,) = verify(path, Asked(today=dt.date(2026, 12, 24), words=Catalogue(language))).checks
    assert (found.code, found.where) == (code, ())


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize(
    "key", ["unreadable.bytes-before", "finding.bytes-after-end", "finding.later-revision", "finding.trailer"]
)
def test_what_may_have_come_on_the_way_is_said_with_what_to_do(language: str, key: str) -> None:
    """Mail adds a line, a viewer a comment, and a packed folder holds the PDF as it is."""
    words = Catalogue(language)
    ask = re.split("[:。] ?", words.say("container.unreadable.encrypted"))[-1]
    assert len(ask) > 15
    assert ask in words.say(f"container.{key}")
