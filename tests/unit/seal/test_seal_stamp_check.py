"""Check 9 of a record: what a time-stamp comes to, with openssl as the authority (FORMAT.md section 8)."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import msgspec
import pytest
import stool
from cryptography.hazmat.primitives.serialization import Encoding
from time_server import NOW, YEAR, Authority, openssl

from dossier.archive import evidence, leaves, record_path
from dossier.flows.verifying import times
from dossier.model.record import Sealed
from dossier.seal import record, stamp, stamp_token
from dossier.seal.keys import WorkshopKey
from dossier.seal.stamp_codes import MATCHES, NOT_CONFIRMED, RAN_OUT
from dossier.words import Catalogue

NONCE = bytes(range(1, 17))


@pytest.fixture(scope="module")
def authority(tmp_path_factory: pytest.TempPathFactory) -> Authority:
    return Authority(tmp_path_factory.mktemp("authority"))


def stamped(sealed: Sealed, authority: Authority) -> bytes:
    """The bytes of a `record.tsr`."""
    return stamped_over(record.to_stamp(sealed), authority)


def stamped_over(data: bytes, authority: Authority) -> bytes:
    answer = authority.answer(stamp.request(data, NONCE))
    return stamp.to_file(stamp.received(answer, data, NONCE, dt.datetime.now(dt.UTC)))


def signed_at(key: WorkshopKey, when: dt.datetime) -> Sealed:
    unsealed = stool.an_unsealed(key)
    payload = msgspec.structs.replace(unsealed.payload, iat=int(when.timestamp()))
    return record.seal(msgspec.structs.replace(unsealed, payload=payload), [key], stool.counting_salts())


def root_of(authority: Authority) -> tuple[bytes]:
    return (authority.root.public_bytes(Encoding.DER),)


def test_only_a_confirmed_authority_gives_a_time(
    sealed: Sealed, authority: Authority, words: Catalogue
) -> None:
    file = stamped(sealed, authority)
    unsure = times.of_record(sealed, file, (), words)
    assert [check.code for check in unsure.answers] == [NOT_CONFIRMED]
    assert unsure.stamped is None
    sure = times.of_record(sealed, file, root_of(authority), words)
    assert [check.code for check in sure.answers] == [MATCHES]
    assert sure.stamped is not None
    assert abs(sure.stamped - dt.datetime.now(dt.UTC)) < dt.timedelta(minutes=10)
    assert "of Example Clock No. 1 holds" in sure.answers[0].text
    assert 'on the word of "Example Clock No. 1", an' in unsure.answers[0].text


def test_a_time_stamp_of_a_kind_that_is_not_checked_makes_none_of_the_pages_wrong(
    sealed: Sealed, words: Catalogue, tmp_path: Path
) -> None:
    """Its certificates, which the signature of the pages covers, name the issuer of the pages' authority."""
    authority = Authority(tmp_path, ess="sha3-256")
    token = stamp_token.normal(
        stamp._granted(authority.answer(stamp.request(record.to_stamp(sealed), NONCE)))
    )
    found = times.of_record(sealed, stamp.to_file(token), root_of(authority), words)
    assert [check.code for check in found.answers] == ["time-stamp-algorithm"]
    config = authority.folder / "ts.cnf"
    config.write_text(config.read_text().replace("sha3-256", "sha256"))
    of_pages = stamp.read_file(stamped_over(b"signature", authority))
    answers = times.of_pages(of_pages, b"signature", found.certificates, root_of(authority), words)
    assert [check.code for check in answers] == [MATCHES]


def test_a_token_from_before_the_signing(key: WorkshopKey, authority: Authority, words: Catalogue) -> None:
    now = dt.datetime.now(dt.UTC)
    for ahead, said in ((dt.timedelta(minutes=2), 1), (dt.timedelta(hours=1), 2)):
        sealed = signed_at(key, now + ahead)
        found = times.of_record(sealed, stamped(sealed, authority), root_of(authority), words)
        assert len(found.answers) == said
    assert found.answers[1].code == "time-stamp-before-signing"


def test_an_altered_record_does_not_match(sealed: Sealed, authority: Authority, words: Catalogue) -> None:
    file = stamped(sealed, authority)
    other = msgspec.structs.replace(sealed, payload=sealed.payload.replace(b"ash", b"oak"))
    assert other != sealed
    (answer,) = times.of_record(other, file, root_of(authority), words).answers
    assert (answer.code, answer.verdict) == ("time-stamp-other", "does not match")


def test_without_disclosures_it_is_the_same(sealed: Sealed, authority: Authority, words: Catalogue) -> None:
    barer = record.leave_out(sealed, "resale")
    assert barer.disclosures != sealed.disclosures
    assert record.to_stamp(barer) == record.to_stamp(sealed)


@pytest.mark.parametrize("payload", [b"{}", b"[]", b"\xff", b'{"iat":"x"}', b'{"iat":1e300}'])
def test_a_payload_that_says_no_time(
    authority: Authority, words: Catalogue, sealed: Sealed, payload: bytes
) -> None:
    strange = msgspec.structs.replace(sealed, payload=payload)
    found = times.of_record(strange, stamped(strange, authority), (), words)
    assert [check.code for check in found.answers] == [NOT_CONFIRMED]


def test_the_compact_form_of_a_record_with_two_signatures(
    key: WorkshopKey, ed25519_key: WorkshopKey, authority: Authority, words: Catalogue
) -> None:
    """It holds one of them, and the time-stamp is over both: nothing can be told, and nothing is wrong."""
    both = record.seal(stool.an_unsealed(key, ed25519_key), [key, ed25519_key], stool.counting_salts())
    file = stamped(both, authority)
    compact = record.from_compact(record.to_compact(both))
    (whole,) = times.of_record(both, file, root_of(authority), words).answers
    (short,) = times.of_record(compact, file, root_of(authority), words).answers
    assert (whole.code, short.code) == (MATCHES, "time-stamp-of-whole")
    assert short.verdict == "could not tell"


@pytest.mark.parametrize(("after", "does"), [(0.0, True), (0.9, True), (1.1, False), (8.0, False)])
def test_evidence_does_the_rest_only_of_a_certificate_that_had_not_run_out(
    after: float,
    does: bool,
    sealed: Sealed,
    authority: Authority,
    words: Catalogue,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """RFC 4998 section 5 (from memory): renewal comes before that; afterwards others may have had the key."""
    longer = Authority(tmp_path, until=NOW + 9 * YEAR)
    file = stamped(sealed, authority)
    own = leaves.of_record(record.to_archive(sealed, file))
    listed = [leaves.Leaf("one", own), leaves.Leaf("one/record", own)]
    (tmp_path / leaves.FILE).write_bytes(leaves.write(listed))
    document = evidence.document(listed, None, "2026")
    kept = evidence.Kept(tmp_path, document, stamped_over(document, longer))
    checked = stamp.checked

    def some_years_on(token: bytes, data: bytes) -> stamp.Stamped:
        found = checked(token, data)
        return found._replace(no_later=found.no_later + after * YEAR) if data == document else found

    monkeypatch.setattr(stamp, "checked", some_years_on)
    found = times.of_record(
        *(sealed, file, root_of(authority) + root_of(longer), words),
        evidence=record_path.make([kept], "one", file),
        today=(NOW + 8.5 * YEAR).date(),
    )
    assert [check.code for check in found.answers] == [MATCHES if does else RAN_OUT, MATCHES]
    assert found.stamped is not None
    assert (abs(found.stamped - NOW) < YEAR / 2) == (does or not after)


def test_a_time_stamp_outlives_two_renewals(
    sealed: Sealed, authority: Authority, words: Catalogue, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """RFC 4998 section 5 (from memory): each renewal in time keeps the time of the first; one alone does not.

    The record's own until year 1, stamped again in 0.9 by one until 3, again in 2.9 by one until 9; now: 8.5.
    """
    file = stamped(sealed, authority)
    own = leaves.of_record(record.to_archive(sealed, file))
    listed = [leaves.Leaf("one", own), leaves.Leaf("one/record", own)]
    kept: list[evidence.Kept] = []
    when: dict[bytes, dt.timedelta] = {}
    roots: tuple[bytes, ...] = root_of(authority)
    for year, until in ((0.9, 3), (2.9, 9)):
        clock = Authority(tmp_path / f"clock-{until}", until=NOW + until * YEAR)
        folder = tmp_path / f"{len(kept) + 1:04}"
        folder.mkdir()
        (folder / leaves.FILE).write_bytes(leaves.write(listed))
        document = evidence.document(listed, kept[-1] if kept else None, "by a clock")
        kept.append(evidence.Kept(folder, document, stamped_over(document, clock)))
        when[document], roots = year * YEAR, roots + root_of(clock)
    checked = stamp.checked

    def some_years_on(token: bytes, data: bytes) -> stamp.Stamped:
        found = checked(token, data)
        return found._replace(no_later=found.no_later + when.get(data, 0 * YEAR))

    monkeypatch.setattr(stamp, "checked", some_years_on)
    for some, codes in ((kept, [MATCHES, MATCHES]), (kept[1:], [RAN_OUT, MATCHES])):
        found = times.of_record(
            *(sealed, file, roots, words),
            evidence=record_path.make(some, "one", file),
            today=(NOW + 8.5 * YEAR).date(),
        )
        assert [one.code for one in found.answers] == codes
        assert found.stamped is not None
        assert (abs(found.stamped - NOW) < YEAR / 2) == (some == kept)
        both = some == kept  # what is the same of both is said once, of the first
        assert found.answers[1].where == (f"evidence {'no. 1 to 2 ' if both else ''}of an archive",)
        assert (f"{(NOW + 0.9 * YEAR).date():%Y-%m}" in found.answers[1].text) == both
    apart = [evidence.Kept(kept[0].folder, evidence.document(listed, None, "other"), kept[0].stamp), kept[1]]
    (answer,) = times.of_record(
        sealed, None, roots, words, evidence=record_path.make(apart, "one", file)
    ).answers
    assert answer.code == "evidence-other"  # the later one is not over it


def test_a_time_stamp_other_than_the_one_that_evidence_covers(
    sealed: Sealed, authority: Authority, words: Catalogue, tmp_path: Path
) -> None:
    """Both are told; the evidence does nothing for the one that it does not cover."""
    longer = Authority(tmp_path, until=NOW + 9 * YEAR)
    covered, other = (stamped(sealed, authority) for _ in range(2))
    own = leaves.of_record(record.to_archive(sealed, covered))
    listed = [leaves.Leaf("one", own), leaves.Leaf("one/record", own)]
    (tmp_path / leaves.FILE).write_bytes(leaves.write(listed))
    document = evidence.document(listed, None, "2026")
    kept = evidence.Kept(tmp_path, document, stamped_over(document, longer))
    file = record_path.make([kept], "one", covered)
    inside, archive = words.say("stamp.where.covered"), words.say("stamp.where.evidence")
    later = (NOW + 8.5 * YEAR).date()
    for at_hand, told in (
        (covered, [(MATCHES, "record.tsr"), (MATCHES, archive)]),
        (None, [(MATCHES, "record.tsr"), (MATCHES, archive)]),
        (other, [(RAN_OUT, "record.tsr"), (MATCHES, inside), (MATCHES, archive)]),
        (b"", [("time-stamp-shape", "record.tsr"), (MATCHES, inside), (MATCHES, archive)]),
    ):
        both = root_of(authority) + root_of(longer)
        found = times.of_record(sealed, at_hand, both, words, evidence=file, today=later)
        assert [(one.code, *one.where) for one in found.answers] == told
        assert found.stamped is not None and abs(found.stamped - NOW) < YEAR / 2


def test_a_time_stamp_proves_nothing_when_its_certificate_has_run_out(
    sealed: Sealed, authority: Authority, words: Catalogue
) -> None:
    """RFC 3161 section 4 (from memory): a token is renewed while its key is guarded. openssl agrees."""
    file, last = stamped(sealed, authority), authority.own.not_valid_after_utc.date()
    for today, code in ((last, MATCHES), (last + dt.timedelta(days=1), RAN_OUT)):
        found = times.of_record(sealed, file, root_of(authority), words, today=today)
        assert [(check.code, found.stamped is None) for check in found.answers] == [(code, code == RAN_OUT)]
    (data, tsr) = (authority.folder / "data", authority.folder / "tsr")
    data.write_bytes(record.to_stamp(sealed))
    tsr.write_bytes(file)
    usual = ["ts", "-verify", "-data", data, "-in", tsr, "-CAfile", authority.folder / "root.pem"]
    after = int((authority.own.not_valid_after_utc + dt.timedelta(days=1)).timestamp())
    assert b"OK" in openssl(*usual)
    with pytest.raises(AssertionError, match="certificate has expired"):
        openssl(*usual, "-attime", after)


def test_an_issuer_that_has_run_out_vouches_no_more(sealed: Sealed, words: Catalogue, tmp_path: Path) -> None:
    """Whoever has its key could make another signer's certificate, good for any time."""
    authority = Authority(tmp_path, until=NOW + 9 * YEAR, issuer_until=NOW + YEAR)
    file, day = stamped(sealed, authority), (NOW + 2 * YEAR).date()
    (answer,) = times.of_record(sealed, file, root_of(authority), words, today=day).answers
    assert answer.code == RAN_OUT
    given = (authority.issuer.public_bytes(Encoding.DER),)  # what the reader gave is the reader's to judge
    (answer,) = times.of_record(sealed, file, given, words, today=day).answers
    assert answer.code == MATCHES


def test_where_a_time_stamp_lies(tmp_path: Path) -> None:
    assert times.place(tmp_path) == tmp_path / "record.tsr"
    for name in ("record.json", "record.sd-jwt", "dossier.pdf"):
        assert times.place(tmp_path / name) == tmp_path / "record.tsr"
    assert times.place(tmp_path / "stool.json") == tmp_path / "stool.tsr"
    (tmp_path / "elsewhere").write_bytes(b"x")
    (tmp_path / "record.tsr").symlink_to(tmp_path / "elsewhere")
    assert times.beside(tmp_path) == times.Unopened("record.tsr")


def test_a_name_is_one_printable_line(sealed: Sealed) -> None:
    assert times._safe("A\x1b[2J\nB" + "c" * 500, confirmed=True) == "A[2JB" + "c" * 115
    assert times._safe('A", which you confirmed: "B', confirmed=False) == '"A, which you confirmed: B"'
