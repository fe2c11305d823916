"""How an earlier record is named in the answer of check 10."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from dossier.flows.verifying.chain import chain
from dossier.model.rows import EarlierRecord
from dossier.seal import form
from dossier.seal import record as seal
from dossier.words import Catalogue

RECORD = Path(__file__).parents[2] / "vectors" / "record" / "key-confirmed" / "record.json"


@pytest.mark.parametrize(
    ("words", "day"),
    [
        (Catalogue("en", days=True), "12 June 2009"),
        (Catalogue("de", days=True), "12. Juni 2009"),
        (Catalogue("ja", days=True), "2009年6月12日"),
        (Catalogue("en"), "2009-06-12"),
    ],
)
def test_the_day_of_an_earlier_record_is_written_as_the_other_days(words: Catalogue, day: str) -> None:
    """The last is what `--json` prints."""
    earlier = EarlierRecord(record="urn:uuid:2b", sha256="9d" * 32, workshop="Birkner", date="2009-06-12")
    record = seal.open_record(form.from_json(RECORD.read_bytes()))
    payload = msgspec.structs.replace(record.payload, earlier_records=(earlier,))
    [answer] = chain(msgspec.structs.replace(record, payload=payload), {}, words)
    assert answer.where == (f"urn:uuid:2b (Birkner, {day})",)
