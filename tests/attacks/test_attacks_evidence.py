"""A record with evidence of an archive beside: each vector gives the code it is named by, by both readers.

A checker written from FORMAT.md alone (`second_reader_evidence`) stands against the program.
"""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest
from second_reader_evidence import evidence as by_second

from dossier.flows.verify import Asked, verify
from dossier.seal import stamp_chain
from dossier.seal.stamp_codes import CODES
from dossier.words import Catalogue

HOME = Path(__file__).parents[1] / "vectors" / "evidence"
FOLDERS = sorted(path for path in HOME.iterdir() if path.is_dir())
WORDS = Catalogue("en")
ASKED = Asked(
    today=dt.date(2026, 12, 24), words=WORDS, authorities=tuple(stamp_chain.from_file(HOME / "authority.pem"))
)


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_evidence_gives_the_code_it_is_named_by(folder: Path) -> None:
    code = folder.name.partition("--")[0]
    answers = [one for one in verify(folder / "record.json", ASKED).checks if one.number == 9]
    (own,) = [one for one in answers if one.where[0].endswith("of an archive")]
    assert (own.code, own.verdict) == (code, CODES[code][1])
    if code != "time-stamp-matches":  # the stamp that came along is not looked at, nor believed
        assert len(answers) == 1
    second = by_second((folder / "record.json").read_bytes(), (folder / "record-evidence.json").read_bytes())
    assert (second or "time-stamp-matches") == code


def test_the_time_stamp_that_came_along_is_looked_at() -> None:
    """It stands in the leaf, so that the archive's evidence is over it as well."""
    answers = [
        one for one in verify(HOME / "time-stamp-matches" / "record.json", ASKED).checks if one.number == 9
    ]
    assert [(one.code, one.where) for one in answers] == [
        ("time-stamp-matches", ("record.tsr",)),
        ("time-stamp-matches", ("evidence of an archive",)),
    ]


def test_the_suite_is_there() -> None:
    assert len(FOLDERS) > 20
    assert {"evidence-shape", "evidence-other"} <= {one.name.partition("--")[0] for one in FOLDERS}
