"""What statements, receipts and key cards at hand do to a check (FORMAT.md, checks 5, 11 and 12)."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import stool

from dossier.flows.verify import Asked, verify, with_at_hand
from dossier.flows.verifying import lying_beside
from dossier.flows.verifying.statements import CODES, rows_named
from dossier.model.result import EXIT_CODES, Check, Result
from dossier.model.statements import CardKey, KeyCard, KeyState, RecordNamed, Required, Scan
from dossier.seal import code, keycard, record, recovery, statements, trust
from dossier.seal.keys import WorkshopKey, new_second_key
from dossier.seal.standing import Signing, before_more_were_called_for
from dossier.seal.statements import Wanted
from dossier.seal.trust import Trust
from dossier.words import LANGUAGES, Catalogue

KEY, NEXT, OTHER = stool.p256(), stool.p256(77), stool.p256(666)
SECOND = new_second_key()
SEALED = record.seal(stool.an_unsealed(KEY), [KEY], stool.counting_salts())
OPENED = record.open_record(SEALED)
ABOUT = RecordNamed(record=OPENED.payload.record, sha256=OPENED.digest)
ELSEWHERE = RecordNamed(record=OPENED.payload.record, sha256="00" * 32)
RECOVERY = recovery.keys_of(bytes(range(32)))
TODAY = dt.date(2026, 12, 24)
DAY = dt.datetime(2026, 12, 1, tzinfo=dt.UTC)
TRUSTED = Trust(thumbprints=frozenset({KEY.kid}))
PAPER = b"a picture of a paper"
SCAN = Scan(
    name="paper.jpg", bytes=len(PAPER), sha256=hashlib.sha256(PAPER).hexdigest(), media_type="image/jpeg"
)

Make = Callable[..., None]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "record.json").write_bytes(record.to_json(SEALED))
    return tmp_path


def say(kind: str, *signers: WorkshopKey, day: dt.datetime = DAY, **members: Any) -> bytes:
    usual: dict[str, Any] = {"kind": kind, "about": ABOUT, "reason": f"why: {kind}"}
    wanted = Wanted(**{**usual, **members})
    return statements.state(
        wanted, "Two Benches", signers or (KEY,), iat=int(day.timestamp()), chance=bytes(16)
    )


def a_card(*keys: tuple[WorkshopKey, KeyState, dict[str, str]], required: Required | None = None) -> bytes:
    rows = tuple(CardKey(key=k.public, state=state, since="2026-01-01", **dates) for k, state, dates in keys)
    card = KeyCard(
        format="1.0",
        number=1,
        issued="2026-11-20",
        expires="2028-11-01",
        name="Two Benches",
        recovery=tuple(k.public for k in RECOVERY),
        keys=rows,
        required=(required,) if required else (),
    )
    return keycard.make(card, RECOVERY, [k for k, state, _ in keys if state == "in use"])


def checked(folder: Path, known: Trust = TRUSTED) -> Result:
    return verify(folder / "record.json", Asked(today=TODAY, trust=known, words=Catalogue("en")))


def later(result: Result) -> list[Check]:
    return [check for check in result.checks if check.number in (11, 12)]


def codes(result: Result) -> list[str]:
    return [check.code for check in later(result)]


@pytest.mark.parametrize("language", LANGUAGES)
def test_two_corrections_are_not_one(language: str, folder: Path) -> None:
    words = Catalogue(language)
    for count in (1, 2):
        (folder / f"c{count}.json").write_bytes(say("correction", reason=f"no. {count}", rows=("parts/9",)))
        result = verify(folder / "record.json", Asked(today=TODAY, trust=TRUSTED, words=words))
        (answer,) = [one for one in result.checks if one.code == "record-corrected"]
        assert answer.text == words.say("statements.code.record-corrected", n=count)
        assert words.say("statements.row.parts", row="9") in answer.where[0]
        assert "parts/9" not in "".join(answer.where)


def test_a_row_of_a_kind_without_a_word_stays_as_it_is_written() -> None:
    words = Catalogue("en")
    assert (
        rows_named(("parts_now/3", "parts", "parts/", "a.b/1"), words) == "parts_now/3, parts, parts/, a.b/1"
    )


CASES: dict[str, tuple[list[bytes], list[str], int]] = {
    "none": ([], ["no-correction-known"], 0),
    "correction": ([say("correction", rows=("parts/1",))], ["record-corrected"], 0),
    "withdrawal": ([say("withdrawal")], ["record-withdrawn"], 3),
    "supersession": ([say("supersession", replaced_by=ELSEWHERE)], ["record-superseded"], 3),
    "aftercare": ([say("aftercare")], ["aftercare-noted", "no-correction-known"], 0),
    "lost": ([say("lost or stolen")], ["object-reported-lost", "no-correction-known"], 3),
    "lost, then found": (
        [say("lost or stolen"), say("found again", day=DAY + dt.timedelta(days=3))],
        ["object-found-again", "no-correction-known"],
        0,
    ),
    "found, then lost again": (
        [say("lost or stolen", day=DAY + dt.timedelta(days=3)), say("found again")],
        ["object-reported-lost", "no-correction-known"],
        3,
    ),
    "lost and found in one second": (
        [say("lost or stolen"), say("found again")],
        ["object-reported-lost", "no-correction-known"],
        3,
    ),
    "lost, and found in years to come": (
        [say("lost or stolen"), say("found again", day=DAY.replace(year=2099))],
        ["object-reported-lost", "statement-dated-ahead", "no-correction-known"],
        3,
    ),
    "before the record was signed": (
        [say("withdrawal", day=DAY - dt.timedelta(days=14))],
        ["statement-dated-before", "no-correction-known"],
        2,
    ),
    "by somebody else": ([say("withdrawal", OTHER)], ["statement-by-another", "no-correction-known"], 0),
    "changed after signing": (
        [say("withdrawal")[:-8] + b'AAAA"}]}'],
        ["statement-not-in-order", "no-correction-known"],
        0,
    ),
    "about another making": ([say("withdrawal", about=ELSEWHERE)], ["no-correction-known"], 0),
    "a receipt": (
        [statements.acknowledge(ABOUT, "", OTHER, iat=int(DAY.timestamp()), chance=bytes(16))],
        ["no-correction-known", "receipt-signed"],
        0,
    ),
    "a receipt by the workshop": (
        [statements.acknowledge(ABOUT, "", KEY, iat=int(DAY.timestamp()), chance=bytes(16))],
        ["no-correction-known", "receipt-by-workshop"],
        0,
    ),
    "a receipt of before the record": (
        [statements.acknowledge(ABOUT, "", OTHER, iat=1, chance=bytes(16))],
        ["no-correction-known", "receipt-dated-otherwise"],
        0,
    ),
    "a receipt still to come": (
        [statements.acknowledge(ABOUT, "", OTHER, iat=int(DAY.timestamp()) + 10**8, chance=bytes(16))],
        ["no-correction-known", "receipt-dated-otherwise"],
        0,
    ),
    "a changed receipt": (
        [statements.acknowledge(ABOUT, "", OTHER, iat=1, chance=bytes(16))[:-8] + b'AAAA"}]}'],
        ["no-correction-known", "receipt-not-in-order"],
        0,
    ),
    "a paper": ([say("paper receipt", scan=SCAN)], ["no-correction-known", "receipt-on-paper"], 0),
    "a paper by somebody else": ([say("paper receipt", OTHER, scan=SCAN)], ["no-correction-known"], 0),
}


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("place", [".", "statements"])
def test_statements_lying_beside_are_told(folder: Path, name: str, place: str) -> None:
    files, expected, exit_code = CASES[name]
    (folder / place).mkdir(exist_ok=True)
    for number, data in enumerate(files):
        (folder / place / f"{number}.json").write_bytes(data)
    result = checked(folder)
    assert codes(result) == expected
    assert EXIT_CODES[result.overall] == exit_code
    assert {check.code: check.verdict for check in later(result) if check.code in CODES} == {
        code: CODES[code][1] for code in expected if code in CODES
    }


def test_every_code_has_a_case() -> None:
    here = {code for _, expected, _ in CASES.values() for code in expected}
    assert set(CODES) - here == {
        "receipt-paper-differs",
        "statements-not-all-read",
        "statement-short-of-card",
        "statement-short-of-record",
    }  # below


def test_day_and_reason_are_shown(folder: Path) -> None:
    (folder / "w.json").write_bytes(say("correction", reason="The strap\nis of 1931.", rows=("parts/1",)))
    (answer,) = later(checked(folder))
    assert answer.where == ("2026-12-01: The strap is of 1931. (part 1)",)


def test_the_record_that_takes_its_place_is_named_by_its_digest_too(folder: Path) -> None:
    """One job keeps its number however often its record is made (FORMAT.md section 3)."""
    (folder / "w.json").write_bytes(say("supersession", replaced_by=ELSEWHERE))
    (answer,) = later(checked(folder))
    assert f"({ELSEWHERE.record}, {ELSEWHERE.sha256})" in answer.where[0].replace("replaced by ", "")


def test_none_is_at_hand_but_the_one_shown(folder: Path) -> None:
    said = [later(checked(folder))[-1].text]
    (folder / "w.json").write_bytes(say("withdrawal", OTHER))
    said.append(later(checked(folder))[-1].text)
    assert [text.startswith("apart from that, ") for text in said] == [False, True]


def test_words_of_a_statement_move_no_cursor(folder: Path) -> None:
    (folder / "w.json").write_bytes(say("correction", reason="a\x1b[2Jb"))
    (answer,) = later(checked(folder))
    assert "\x1b" not in answer.where[0]


@pytest.mark.parametrize(
    ("content", "code"), [(PAPER, "receipt-on-paper"), (b"another", "receipt-paper-differs")]
)
def test_a_picture_of_a_paper_is_compared_and_never_called_a_signature(
    folder: Path, content: bytes, code: str
) -> None:
    (folder / "w.json").write_bytes(say("paper receipt", scan=SCAN))
    (folder / SCAN.name).write_bytes(content)
    answers = {check.code: check for check in later(checked(folder))}
    assert code in answers
    assert answers[code].verdict != "matches"
    assert "receipt-signed" not in answers


def test_statements_may_be_given_as_files_too(folder: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    aside = tmp_path_factory.mktemp("aside") / "w.json"
    aside.write_bytes(say("withdrawal"))
    asked = with_at_hand(
        Asked(today=TODAY, trust=TRUSTED, words=Catalogue("en")), [folder / "record.json", aside]
    )
    assert verify(folder / "record.json", asked).overall == "superseded"
    alone = verify(aside, asked)
    assert (alone.kind, alone.overall) == ("statement", "in order")
    assert ("Words", "why: withdrawal") in alone.said
    unknown = verify(aside, Asked(today=TODAY, words=Catalogue("en")))
    assert unknown.overall == "not confirmed"


def test_a_later_key_speaks_where_a_confirmed_card_names_both(folder: Path) -> None:
    card = a_card((KEY, "retired", {"until": "2026-11-30"}), (NEXT, "in use", {}))
    (folder / "w.json").write_bytes(say("withdrawal", NEXT))
    assert codes(checked(folder)) == ["statement-by-another", "no-correction-known"]
    (folder / "key-card.json").write_bytes(card)  # lies there, and nobody confirmed it
    assert codes(checked(folder)) == ["statement-by-another", "no-correction-known"]
    pinned = trust.from_fingerprint(keycard.read(card).fingerprint)
    assert codes(checked(folder, pinned)) == ["record-withdrawn"]


def test_a_key_that_others_have_had_withdraws_nothing(folder: Path) -> None:
    lost = {"compromised_from": "2026-11-25"}
    (folder / "key-card.json").write_bytes(a_card((KEY, "compromised", lost), (NEXT, "in use", {})))
    pinned = Trust(cards=(keycard.read((folder / "key-card.json").read_bytes()),))
    early = DAY.replace(month=11, day=20)
    (folder / "w.json").write_bytes(say("withdrawal"))
    (folder / "v.json").write_bytes(say("withdrawal", day=early))  # dated back
    assert codes(checked(folder, pinned)) == ["statement-by-another", "no-correction-known"]


def test_one_signature_where_the_card_asks_for_two_changes_nothing(folder: Path) -> None:
    """The same card is held against a statement as against a record of its day (FORMAT.md section 17)."""
    both = Required(since="2026-12-01", algorithms=("ES256", "ML-DSA-65"))
    known = Trust(cards=(keycard.read(a_card((KEY, "in use", {}), (SECOND, "in use", {}), required=both)),))
    day_before = say("withdrawal", day=DAY - dt.timedelta(days=1))
    short, whole = ["statement-short-of-card", "no-correction-known"], ["record-withdrawn"]
    for data, expected in (
        (say("withdrawal"), short),
        (say("withdrawal", KEY, SECOND), whole),
        (day_before, whole),
    ):
        (folder / "w.json").write_bytes(data)
        assert codes(checked(folder, known)) == expected
    (folder / "w.json").write_bytes(say("withdrawal"))
    alone = verify(folder / "w.json", Asked(today=TODAY, trust=known, words=Catalogue("en")))
    assert [check.code for check in alone.checks] == ["signatures-match", "signature-short-of-card"]
    (folder / "w.json").write_bytes(say("withdrawal", *RECOVERY))
    assert codes(checked(folder, known)) == whole
    (folder / "w.json").write_bytes(say("paper receipt", scan=SCAN))
    assert codes(checked(folder, known)) == ["no-correction-known"]


def test_a_withdrawal_outweighs_no_alteration(folder: Path) -> None:
    whole = (folder / "record.json").read_bytes()
    (folder / "record.json").write_bytes(whole[:-8] + b'AAAA"}]}' if whole.endswith(b"}]}") else whole)
    (folder / "w.json").write_bytes(say("withdrawal"))
    assert checked(folder).overall == "altered"


def test_links_and_large_files_beside_are_left_alone(
    folder: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    aside = tmp_path_factory.mktemp("aside") / "w.json"
    aside.write_bytes(say("withdrawal"))
    (folder / "link.json").symlink_to(aside)
    (folder / "large.json").write_bytes(b'{"payload":"' + b"A" * (2 << 20))
    (folder / "card.json").write_bytes(b'{"card":{}}')
    result = checked(folder)
    assert codes(result) == ["statements-not-all-read"]
    (answer,) = later(result)
    assert answer.where == ("link.json", "card.json")  # what is too large can be none


def a_folder_with(folder: Path, how: str) -> None:
    """A withdrawal that lies there and is not looked at."""
    inside = folder / "statements"
    inside.mkdir()
    if how == "a folder in the folder":
        (inside / "2027").mkdir()
        (inside / "2027" / "w.json").write_bytes(say("withdrawal"))
    elif how == "cut short":
        (inside / "w.json").write_bytes(say("withdrawal")[:-40])
    elif how == "a link to the folder":
        inside.rmdir()
        (folder.parent / "aside").mkdir()
        (folder.parent / "aside" / "w.json").write_bytes(say("withdrawal"))
        inside.symlink_to(folder.parent / "aside")
    else:
        for number in range(8):
            (inside / f"{number}.json").write_bytes(say("aftercare", about=ELSEWHERE, reason=f"no. {number}"))
        (inside / "w.json").write_bytes(say("withdrawal"))


@pytest.mark.parametrize(
    "how",
    [
        "a folder in the folder",
        "cut short",
        "a link to the folder",
        "too many",
        "too many names",
        "too large",
    ],
)
def test_what_was_not_looked_at_is_said_and_never_in_order(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, how: str
) -> None:
    folder = tmp_path / "dossier"
    folder.mkdir()
    (folder / "record.json").write_bytes(record.to_json(SEALED))
    assert checked(folder).overall == "in order"
    a_folder_with(folder, how)
    bounds = {"too many": "MOST_READ", "too many names": "MOST_NAMES", "too large": "MOST_BYTES"}
    if how in bounds:
        monkeypatch.setattr(lying_beside, bounds[how], 3000 if how == "too large" else 4)
    result = checked(folder)
    assert codes(result) == ["statements-not-all-read"]
    assert later(result)[0].where
    assert result.overall == "not confirmed"
    assert not result.unsure  # of the file itself


def test_a_withdrawal_among_hundreds_of_files_is_found(folder: Path) -> None:
    for number in range(450):
        (folder / f"{number:03}.txt").write_bytes(b"x")
        (folder / f"{number:03}.json").write_bytes(record.to_json(SEALED))
    (folder / "z.json").write_bytes(say("withdrawal"))
    assert codes(checked(folder)) == ["record-withdrawn"]


def test_a_link_that_the_reader_names_is_followed(
    folder: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    aside = tmp_path_factory.mktemp("aside")
    (aside / "w.json").write_bytes(say("withdrawal"))
    (aside / "link.json").symlink_to(aside / "w.json")
    asked = with_at_hand(Asked(today=TODAY, trust=TRUSTED, words=Catalogue("en")), [aside / "link.json"])
    assert verify(folder / "record.json", asked).overall == "superseded"


def test_a_code_is_asked_for_what_is_at_hand_too(folder: Path) -> None:
    """Nobody is told "no withdrawal is at hand" while one lies there."""
    text = code.make(OPENED.payload, OPENED.digest, KEY, "https://check.example/r")
    (folder / "code.txt").write_text(text)
    asked = Asked(today=TODAY, trust=TRUSTED, words=Catalogue("en"))
    assert codes(verify(folder / "code.txt", asked)) == ["no-correction-known"]
    (folder / "w.json").write_bytes(say("withdrawal"))
    result = verify(folder / "code.txt", asked)
    assert codes(result) == ["record-withdrawn"]
    assert result.overall == "superseded"
    (folder / "w.json").write_bytes(say("withdrawal", OTHER))
    assert codes(verify(folder / "code.txt", asked)) == ["statement-by-another", "no-correction-known"]
    changed = text[:-2] + ("A" if text[-2] != "A" else "E") + text[-1]
    (folder / "code.txt").write_text(changed)
    (folder / "w.json").write_bytes(say("withdrawal"))
    assert "record-withdrawn" not in codes(verify(folder / "code.txt", asked))


def test_one_key_of_two_says_nothing_where_no_card_does(folder: Path) -> None:
    """Else a thief of the one key could say "found again", or withdraw, to whoever has confirmed no card."""
    both = record.seal(stool.an_unsealed(KEY, SECOND), [KEY, SECOND], stool.counting_salts())
    (folder / "record.json").write_bytes(record.to_json(both))
    opened = record.open_record(both)
    about = RecordNamed(record=opened.payload.record, sha256=opened.digest)
    (folder / "w.json").write_bytes(say("withdrawal", about=about))
    assert codes(checked(folder)) == ["statement-short-of-record", "no-correction-known"]
    assert checked(folder).overall == "not confirmed"  # one of the workshop's keys, and perhaps its word
    assert not checked(folder).unsure  # of the record itself
    (folder / "w.json").write_bytes(say("withdrawal", OTHER, SECOND, about=about))
    assert codes(checked(folder)) == ["statement-short-of-record", "no-correction-known"]
    (folder / "w.json").write_bytes(say("withdrawal", KEY, SECOND, about=about))
    assert codes(checked(folder)) == ["record-withdrawn"]


def test_a_card_takes_nothing_off_what_the_record_calls_for(folder: Path) -> None:
    """Else a thief of one of two keys could say "found again" to whoever confirmed a card."""
    both = record.seal(stool.an_unsealed(KEY, SECOND), [KEY, SECOND], stool.counting_salts())
    (folder / "record.json").write_bytes(record.to_json(both))
    opened = record.open_record(both)
    about = RecordNamed(record=opened.payload.record, sha256=opened.digest)
    lost = {"compromised_from": "2026-11-25"}
    known = Trust(cards=(keycard.read(a_card((KEY, "in use", {}), (SECOND, "in use", {}))),))
    one_lost = Trust(cards=(keycard.read(a_card((KEY, "in use", {}), (SECOND, "compromised", lost))),))
    for signers, trusted, expected in (
        ((KEY,), known, "statement-short-of-record"),
        ((KEY, SECOND), known, "record-withdrawn"),
        ((KEY, SECOND), one_lost, "statement-short-of-record"),
        (RECOVERY, one_lost, "record-withdrawn"),
    ):
        (folder / "w.json").write_bytes(say("withdrawal", *signers, about=about))
        assert codes(checked(folder, trusted))[0] == expected


@pytest.mark.parametrize(
    ("since", "record_told", "statement_told"),
    [("2026-11-01", False, False), ("2026-11-22", True, False), ("2026-12-20", True, True)],
)
def test_a_day_before_two_signatures_are_called_for_is_said_beside(
    folder: Path, since: str, record_told: bool, statement_told: bool
) -> None:
    """A thief of one of the two keys can write such a day and needs no other; FORMAT.md section 13."""
    both = Required(since=since, algorithms=("ES256", "ML-DSA-65"))
    data = a_card((KEY, "in use", {}), (SECOND, "in use", {}), required=both)
    (folder / "key-card.json").write_bytes(data)
    (folder / "w.json").write_bytes(say("withdrawal"))
    result = checked(folder, trust.from_fingerprint(keycard.read(data).fingerprint))
    said = Catalogue("en").say("keycard.before_required", since=since)
    (key,) = [check for check in result.checks if check.code in ("key-on-card", "signature-short-of-card")]
    assert (said in key.where) == record_told
    (withdrawn,) = [check for check in later(result) if check.code != "no-correction-known"]
    assert withdrawn.code == ("record-withdrawn" if statement_told else "statement-short-of-card")
    assert any(said in line for line in withdrawn.where) == statement_told


def test_a_loss_on_a_card_that_nobody_confirmed_is_said_beside(folder: Path) -> None:
    """It may be the workshop's, or a thief's who wants the record doubted: it changes no answer."""
    lost = {"compromised_from": "2026-11-19"}
    data = a_card((KEY, "compromised", lost), (NEXT, "in use", {}))
    usual = checked(folder)
    (folder / "key-card.json").write_bytes(data)
    result = checked(folder)
    (key,) = [check for check in result.checks if check.number == 5]
    assert (result.overall, key.code) == (usual.overall, "key-confirmed")
    print_of = keycard.read(data).fingerprint
    assert any(print_of in line and "2026-11-19" in line for line in key.where)
    confirmed = checked(folder, TRUSTED | trust.from_fingerprint(print_of))
    assert "key-lost-no-stamp" in {check.code for check in confirmed.checks}


def test_a_time_stamp_shows_that_day_too() -> None:
    """What was there before the day from which two are called for is of that time, whoever has a key now."""
    both = Required(since="2026-11-22", algorithms=("ES256", "ML-DSA-65"))
    card = keycard.read(a_card((KEY, "in use", {}), (SECOND, "in use", {}), required=both))
    for day, beside in ((21, 0), (22, 1)):
        at = dt.datetime(2026, 11, day, 12, tzinfo=dt.UTC)
        signing = Signing((KEY.kid,), ("ES256",), dt.date(2026, 11, 18), at)
        assert len(before_more_were_called_for(card, signing, Catalogue("en"))) == beside


def test_a_key_card_on_its_own(folder: Path) -> None:
    path = folder / "key-card.json"
    path.write_bytes(a_card((KEY, "in use", {})))
    card = keycard.read(path.read_bytes())
    asked = Asked(today=TODAY, words=Catalogue("en"))
    assert verify(path, asked).overall == "not confirmed"
    confirmed = verify(
        path, Asked(today=TODAY, trust=trust.from_fingerprint(card.fingerprint), words=Catalogue("en"))
    )
    assert (confirmed.kind, confirmed.overall) == ("key card", "in order")
    assert ("Key card", card.fingerprint) in confirmed.said
    path.write_bytes(path.read_bytes().replace(b'"signature":"', b'"signature":"A', 1))
    assert verify(path, asked).overall == "unreadable"
