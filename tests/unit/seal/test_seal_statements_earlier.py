"""What was said later of an earlier record is told at check 10 of what builds on it (FORMAT.md section 8)."""

from __future__ import annotations

import datetime as dt
import os
from pathlib import Path
from typing import Any

import msgspec
import pytest
import stool

from dossier.flows.verify import Asked, verify, with_at_hand
from dossier.flows.verifying import chain, earlier_said
from dossier.model.result import EXIT_CODES, Result
from dossier.model.rows import EarlierRecord
from dossier.model.statements import RecordNamed
from dossier.seal import form, record, statements
from dossier.seal.keys import WorkshopKey
from dossier.seal.statements import Wanted
from dossier.seal.trust import Trust
from dossier.words import LANGUAGES, Catalogue

FIRST_KEY, SECOND_KEY, OTHER = stool.p256(), stool.p256(77), stool.p256(666)
FIRST = record.seal(stool.an_unsealed(FIRST_KEY), [FIRST_KEY], stool.counting_salts())
OPENED = record.open_record(FIRST)
ABOUT = RecordNamed(record=OPENED.payload.record, sha256=OPENED.digest)
TODAY = dt.date(2026, 12, 24)
DAY = dt.datetime(2026, 12, 1, tzinfo=dt.UTC)
TRUSTED = Trust(thumbprints=frozenset({SECOND_KEY.kid}))


def the_second() -> bytes:
    unsealed = stool.an_unsealed(SECOND_KEY)
    row = EarlierRecord(record=ABOUT.record, sha256=ABOUT.sha256, workshop="Two Benches")
    number = "urn:uuid:00000000-0000-5000-8000-000000000002"
    payload = msgspec.structs.replace(unsealed.payload, record=number, earlier_records=(row,))
    unsealed = msgspec.structs.replace(unsealed, payload=payload)
    return record.to_json(record.seal(unsealed, [SECOND_KEY], stool.counting_salts()))


SECOND = the_second()


def say(kind: str, signer: WorkshopKey = FIRST_KEY, day: dt.datetime = DAY, **members: Any) -> bytes:
    usual: dict[str, Any] = {"kind": kind, "about": ABOUT, "reason": f"why: {kind}"}
    wanted = Wanted(**{**usual, **members})
    return statements.state(wanted, "Two Benches", [signer], iat=int(day.timestamp()), chance=bytes(16))


OPENED_SECOND = record.open_record(form.from_json(SECOND))
NAMED_SECOND = RecordNamed(record=OPENED_SECOND.payload.record, sha256=OPENED_SECOND.digest)
ELSEWHERE = RecordNamed(record=ABOUT.record, sha256="00" * 32)
MATCH = "earlier-records-match"
CASES: dict[str, tuple[list[bytes], list[str], int]] = {
    "nothing": ([], [MATCH], 0),
    "withdrawn": ([say("withdrawal")], [MATCH, "earlier-record-withdrawn"], 2),
    "replaced": (
        [say("supersession", replaced_by=ELSEWHERE)],
        [MATCH, "earlier-record-withdrawn"],
        2,
    ),
    "corrected": ([say("correction", rows=("parts/1",))], [MATCH, "earlier-record-corrected"], 0),
    "lost": ([say("lost or stolen")], [MATCH, "earlier-object-reported-lost"], 2),
    "cared for": ([say("aftercare")], [MATCH], 0),
    "withdrawn by somebody else": ([say("withdrawal", OTHER)], [MATCH], 0),
    "withdrawn by who made the second": ([say("withdrawal", SECOND_KEY)], [MATCH], 0),
    "replaced by the second": (
        [say("supersession", replaced_by=NAMED_SECOND)],
        [MATCH],
        0,
    ),
    "replaced by itself": (
        [say("supersession", replaced_by=ABOUT)],
        [MATCH, "earlier-record-withdrawn"],
        2,
    ),
    "withdrawn before it was made": (
        [say("withdrawal", day=DAY - dt.timedelta(days=14))],
        [MATCH, "earlier-statements-not-all-read"],
        2,
    ),
    "changed after signing": (
        [say("withdrawal")[:-8] + b'AAAA"}]}'],
        [MATCH, "earlier-statement-not-in-order"],
        0,
    ),
    "saved again by an editor": (
        [b" " + say("withdrawal")],
        [MATCH, "earlier-statements-not-all-read"],
        2,
    ),
}


def checked(second: Path, *others: Path, words: Catalogue | None = None) -> Result:
    asked = Asked(today=TODAY, trust=TRUSTED, words=words or Catalogue("en"))
    return verify(second, with_at_hand(asked, [second, *others]))


def tenth(result: Result) -> list[str]:
    return [check.code for check in result.checks if check.number == 10]


def laid(home: Path, said: list[bytes], where: str) -> tuple[Path, Path]:
    """The second record, and the folder of the first with what was said later of it."""
    first = home / "e"
    (first / where).mkdir(parents=True, exist_ok=True)
    (first / "record.json").write_bytes(record.to_json(FIRST))
    for count, data in enumerate(said):
        (first / where / f"statement-{count}.json").write_bytes(data)
    (home / "second.json").write_bytes(SECOND)
    return home / "second.json", first


@pytest.mark.parametrize("where", ["", "statements"])
@pytest.mark.parametrize("case", CASES)
def test_whoever_builds_on_an_earlier_record_is_told(case: str, where: str, tmp_path: Path) -> None:
    said, codes, exit_code = CASES[case]
    second, first = laid(tmp_path, said, where)
    for given in (first, first / "record.json"):
        result = checked(second, given)
        assert tenth(result) == codes
        assert EXIT_CODES[result.overall] == exit_code
        assert not result.unsure


def test_statements_named_by_themselves_are_heard_too(tmp_path: Path) -> None:
    second, first = laid(tmp_path, [], "")
    (tmp_path / "elsewhere").mkdir()
    (said := tmp_path / "elsewhere" / "w.json").write_bytes(say("withdrawal"))
    assert tenth(checked(second, first, said)) == [MATCH, "earlier-record-withdrawn"]


def test_without_the_record_nobody_knows_whose_key_may_speak(tmp_path: Path) -> None:
    second, first = laid(tmp_path, [say("withdrawal")], "")
    (first / "record.json").unlink()
    assert tenth(checked(second, first)) == ["earlier-records-not-here"]


@pytest.mark.parametrize("language", LANGUAGES)
def test_which_record_and_why_is_said(language: str, tmp_path: Path) -> None:
    second, first = laid(tmp_path, [say("withdrawal")], "")
    result = checked(second, first, words=Catalogue(language))
    (found,) = [one for one in result.checks if one.code == "earlier-record-withdrawn"]
    (line,) = found.where
    assert ABOUT.record in line and "Two Benches" in line and "why: withdrawal" in line


def test_what_lies_in_a_folder_is_bounded_over_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The rest is named, so that nobody is told that there was nothing."""
    monkeypatch.setattr(earlier_said, "MOST_FOLDERS", 2)
    for name in "abcd":
        (tmp_path / name).mkdir()
        (tmp_path / name / "record.json").write_bytes(b"{}")
    found = earlier_said.beside(sorted(tmp_path.iterdir()))
    assert found.unread == ("c/",)


@pytest.mark.skipif(os.name == "nt", reason="links need rights there")
def test_a_link_among_them_is_not_followed_and_named(tmp_path: Path) -> None:
    second, first = laid(tmp_path, [], "")
    (tmp_path / "aside").mkdir()
    (tmp_path / "aside" / "w.json").write_bytes(say("withdrawal"))
    (first / "w.json").symlink_to(tmp_path / "aside" / "w.json")
    result = checked(second, first)
    assert tenth(result) == [MATCH, "earlier-statements-not-all-read"]
    assert any("e/w.json" in one.where for one in result.checks)


def test_records_at_hand_have_their_own_keys(tmp_path: Path) -> None:
    _, first = laid(tmp_path, [], "")
    (found,) = chain.at_hand([first], Catalogue("en")).values()
    assert found.subject.kids == (FIRST_KEY.kid,)


@pytest.mark.skipif(os.name == "nt", reason="links need rights there")
def test_what_lies_near_other_files_is_not_asked_of_this_one(tmp_path: Path) -> None:
    """Nor a file that was named and so has a result of its own, be it a link."""
    second, first = laid(tmp_path, [], "")
    (tmp_path / "other").mkdir()
    (tmp_path / "other" / "x.json").symlink_to(tmp_path / "gone")
    (tmp_path / "other" / "y.json").write_bytes(b"{}")
    (first / "as-link.json").symlink_to(second)
    assert tenth(checked(second, first, tmp_path / "other" / "y.json", first / "as-link.json")) == [MATCH]


@pytest.mark.parametrize("turned", [False, True])
def test_each_making_of_an_earlier_record_is_asked_for_itself(tmp_path: Path, turned: bool) -> None:
    """Two have one number; a word about the one had been lost where the other was named after it."""
    unsealed = stool.an_unsealed(FIRST_KEY)
    later = msgspec.structs.replace(
        unsealed, payload=msgspec.structs.replace(unsealed.payload, iat=unsealed.payload.iat + 5)
    )
    again = record.seal(later, [FIRST_KEY], stool.counting_salts())
    digests = [ABOUT.sha256, record.open_record(again).digest]
    rows = tuple(
        EarlierRecord(record=ABOUT.record, sha256=digest, workshop="Two Benches")
        for digest in (digests[::-1] if turned else digests)
    )
    wanted = stool.an_unsealed(SECOND_KEY)
    number = "urn:uuid:00000000-0000-5000-8000-000000000003"
    payload = msgspec.structs.replace(wanted.payload, record=number, earlier_records=rows)
    third = record.seal(
        msgspec.structs.replace(wanted, payload=payload), [SECOND_KEY], stool.counting_salts()
    )
    (tmp_path / "third.json").write_bytes(record.to_json(third))
    _, first = laid(tmp_path, [say("withdrawal")], "")
    (tmp_path / "again.json").write_bytes(record.to_json(again))
    found = tenth(checked(tmp_path / "third.json", first, tmp_path / "again.json"))
    assert found == [MATCH, "earlier-record-withdrawn"]


@pytest.mark.parametrize("turned", [False, True])
def test_a_second_copy_of_a_record_hides_nothing_that_lies_with_the_first(
    tmp_path: Path, turned: bool
) -> None:
    second, first = laid(tmp_path, [say("withdrawal")], "statements")
    (tmp_path / "z").mkdir()
    (tmp_path / "z" / "copy.json").write_bytes(record.to_json(FIRST))
    given = [first, tmp_path / "z" / "copy.json"]
    found = tenth(checked(second, *(given[::-1] if turned else given)))
    assert found == [MATCH, "earlier-record-withdrawn"]


@pytest.mark.parametrize(("replaced", "by", "told"), [("first", "second", False), ("second", "first", True)])
def test_a_record_that_was_replaced_by_one_that_builds_on_it_is_no_alarm(
    tmp_path: Path, replaced: str, by: str, told: bool
) -> None:
    """A third names both: how the second came after the first is the chain itself. The other way round it is
    not: the first stands, the workshop says, and the second does not.
    """
    named = {"first": ABOUT, "second": NAMED_SECOND}
    unsealed = stool.an_unsealed(OTHER)
    rows = tuple(EarlierRecord(record=one.record, sha256=one.sha256, workshop="w") for one in named.values())
    number = "urn:uuid:00000000-0000-5000-8000-000000000004"
    payload = msgspec.structs.replace(unsealed.payload, record=number, earlier_records=rows)
    unsealed = msgspec.structs.replace(unsealed, payload=payload)
    (tmp_path / "third.json").write_bytes(
        record.to_json(record.seal(unsealed, [OTHER], stool.counting_salts()))
    )
    signer = {"first": FIRST_KEY, "second": SECOND_KEY}[replaced]
    said = say("supersession", signer, about=named[replaced], replaced_by=named[by])
    second, first = laid(tmp_path, [said], "")
    found = tenth(checked(tmp_path / "third.json", first, second))
    assert found == [MATCH, *(["earlier-record-withdrawn"] if told else [])]
