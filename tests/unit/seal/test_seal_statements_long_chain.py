"""Of four records, each naming the one before it alone, one was replaced (FORMAT.md section 8, check 10)."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import msgspec
import pytest
import stool

from dossier.flows.verify import Asked, verify, with_at_hand
from dossier.model.rows import EarlierRecord
from dossier.model.statements import RecordNamed
from dossier.seal import form, record, statements
from dossier.seal.statements import Wanted

KEY = stool.p256()
TODAY = dt.date(2026, 12, 24)
DAY = dt.datetime(2026, 12, 1, tzinfo=dt.UTC)


def made(number: int, before: RecordNamed | None) -> tuple[bytes, RecordNamed]:
    unsealed = stool.an_unsealed(KEY)
    rows = (EarlierRecord(record=before.record, sha256=before.sha256, workshop="w"),) if before else ()
    called = f"urn:uuid:00000000-0000-5000-8000-{number:012d}"
    payload = msgspec.structs.replace(unsealed.payload, record=called, earlier_records=rows)
    sealed = record.seal(msgspec.structs.replace(unsealed, payload=payload), [KEY], stool.counting_salts())
    data = record.to_json(sealed)
    return data, RecordNamed(record=called, sha256=record.open_record(form.from_json(data)).digest)


@pytest.mark.parametrize(
    ("replaced", "by", "told"), [(0, 1, False), (0, 2, False), (0, 3, False), (2, 0, True), (1, 0, True)]
)
def test_a_record_replaced_by_one_that_builds_on_it_through_others_is_no_alarm(
    replaced: int, by: int, told: bool, tmp_path: Path
) -> None:
    named: list[RecordNamed] = []
    for number in range(4):
        data, one = made(number, named[-1] if named else None)
        (tmp_path / f"{number}.json").write_bytes(data)
        named.append(one)
    wanted = Wanted(kind="supersession", about=named[replaced], reason="anew", replaced_by=named[by])
    said = statements.state(wanted, "Two Benches", [KEY], iat=int(DAY.timestamp()), chance=bytes(16))
    (tmp_path / "said.json").write_bytes(said)
    files = [tmp_path / "3.json", *(tmp_path / f"{n}.json" for n in range(3))]
    result = verify(files[0], with_at_hand(Asked(today=TODAY), files))
    codes = [one.code for one in result.checks if one.number == 10]
    assert codes == ["earlier-records-match", *(["earlier-record-withdrawn"] if told else [])]
