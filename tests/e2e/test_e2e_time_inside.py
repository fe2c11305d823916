"""`dossier stamp --inside`: a time-stamp of today over a finished PDF, put into it; against a real server."""

from __future__ import annotations

import datetime as dt
import json
import random
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.serialization import Encoding
from results import result_of, wrong
from time_server import NOW, YEAR, Authority, serving

from dossier.container import time_revisions
from dossier.container.hashing import hash_ranges
from dossier.container.put_time import put_time
from dossier.container.read import read_dossier
from dossier.container.time_revisions import Kept
from dossier.flows.verify import Asked, verify
from dossier.flows.verifying import checks, days, times
from dossier.seal import form, stamp, stamp_codes
from dossier.seal.kept import MOST_LISTS
from dossier.seal.stamp_algorithms import Hashed
from dossier.seal.stamp_chain import from_file
from dossier.words import Catalogue

Run = Callable[..., Any]
DAY = dt.timedelta(days=1)


@pytest.fixture(scope="module")
def soon(tmp_path_factory: pytest.TempPathFactory) -> Authority:
    """Whose certificate runs out in a month."""
    return Authority(tmp_path_factory.mktemp("soon"), until=NOW + 30 * DAY)


@pytest.fixture(scope="module")
def late(tmp_path_factory: pytest.TempPathFactory) -> Authority:
    return Authority(tmp_path_factory.mktemp("late"))


@pytest.fixture(scope="module")
def compiled(job: Path, run: Run, soon: Authority, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A dossier with two places, time-stamped by one whose certificate runs out soon."""
    home = tmp_path_factory.mktemp("places")
    shutil.copytree(job.parent, home / "shop")
    shop = home / "shop" / "workshop.toml"
    text = shop.read_text(encoding="utf-8")
    with serving(soon.answer) as server:
        shop.write_text(f"time_places = 2\ntime_servers = {json.dumps([server])}\n{text}", encoding="utf-8")
        ran = run("compile", home / "shop" / job.name, "--to", home / "out", "--copy", "owner")
    assert ran.code == 0, ran.err
    return home / "out"


@pytest.fixture(scope="module")
def lists(soon: Authority, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What the first authority has revoked: nothing."""
    path = tmp_path_factory.mktemp("lists") / "issuer.crl"
    made = (
        x509.CertificateRevocationListBuilder()
        .issuer_name(soon.issuer.subject)
        .last_update(NOW - DAY)
        .next_update(NOW + YEAR)
        .sign(soon.issuer_key, hashes.SHA256())
    )
    path.write_bytes(made.public_bytes(Encoding.DER))
    return path


@pytest.fixture
def folder(compiled: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(compiled, tmp_path / "dossier"))


@pytest.fixture(scope="module")
def stamped(
    compiled: Path, run: Run, late: Authority, lists: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Path]:
    """The same with one time-stamp put in."""
    folder = Path(shutil.copytree(compiled, tmp_path_factory.mktemp("inside") / "dossier"))
    with serving(late.answer) as server:
        ran = run("stamp", "--inside", folder, "--server", server, "--crl", lists)
    assert ran.code == 0, ran.err
    assert "Time-stamp of Example Clock No. 1" in ran.out
    assert "No list of revoked certificates of today by CN=Example Root of Clocks" in ran.err
    assert "by CN=Example Issuer" not in ran.err
    return folder


def codes(path: Path, authority: Authority, today: dt.date, number: int = 9) -> list[str]:
    found = verify(path, Asked(today=today, authorities=from_file(authority.folder / "root.pem")))
    assert found.overall != "altered", found
    return [one.code for one in found.checks if one.check == {9: "time-stamps", 1: "container"}[number]]


def test_the_pdf_begins_as_it_was_and_checks(stamped: Path, compiled: Path, run: Run) -> None:
    pdf = (stamped / "dossier.pdf").read_bytes()
    assert pdf.startswith((compiled / "dossier.pdf").read_bytes())
    ran = run("verify", "--pages", stamped, "--json")
    (result,) = json.loads(ran.out)
    found = {check["code"] for check in result["checks"]}
    assert ran.code == 2, ran.out  # a key that nobody confirmed
    assert {"container-time-stamped", "pages-match", "pdf-signature-matches"} <= found
    where = [check["where"] for check in result["checks"] if check["number"] == 9]
    assert where == [["record.tsr"], ["signature of the pages"], ["time-stamp no. 1 put into the PDF later"]]
    assert not [path for path in stamped.iterdir() if path.name.endswith(".partial")]


@pytest.mark.parametrize("more", [b"% more\n", b"4 0 obj\n<< /Type /Page >>\nendobj\nxref\n"])
def test_behind_time_stamps_too_nothing_speaks_for_what_was_added(
    stamped: Path, run: Run, tmp_path: Path, more: bytes
) -> None:
    """The stretches of the signature end before the time-stamps, be anything else behind these or not."""
    (tmp_path / "x.pdf").write_bytes((stamped / "dossier.pdf").read_bytes() + more)
    found = wrong(result_of(run, tmp_path / "x.pdf"))
    assert found.keys() - {"later-revision", "bytes-after-end"} == {"pdf-signature-of-part"}


def test_pages_with_places_conform(stamped: Path, compiled: Path, assert_conforming: Any) -> None:
    """Before a place is taken by every rule, then by all but the one that several signatures cannot meet."""
    assert_conforming((compiled / "dossier.pdf").read_bytes())
    allow = frozenset({"PDFA3A-SIGNATURE-BYTERANGE-001"})
    assert_conforming((stamped / "dossier.pdf").read_bytes(), allow=allow)


def test_it_covers_what_has_run_out_since(stamped: Path, compiled: Path, soon: Authority) -> None:
    """The stamps of the first authority hold after its certificate has run out, for whoever confirms both."""
    later = (NOW + 60 * DAY).date()
    assert codes(compiled, soon, later) == ["time-stamp-ran-out"] * 2
    own = ["time-stamp-ran-out"] * 2 + ["time-stamp-authority-not-confirmed"]
    assert codes(stamped, soon, later) == own


def test_for_whoever_confirms_both(stamped: Path, soon: Authority, late: Authority) -> None:
    both = from_file(soon.folder / "root.pem") + from_file(late.folder / "root.pem")
    for after, wanted in ((0, "time-stamp-matches"), (60, "time-stamp-matches"), (800, "time-stamp-ran-out")):
        found = verify(stamped, Asked(today=(NOW + after * DAY).date(), authorities=both))
        assert [one.code for one in found.checks if one.check == "time-stamps"] == [wanted] * 3


def test_days_are_held_against_it(stamped: Path, late: Authority, monkeypatch: pytest.MonkeyPatch) -> None:
    """FORMAT.md, check 9: against every time-stamp that counts, here the one that was put in alone."""
    told: list[Any] = []

    def look(payload: Any, stamped: dt.datetime | None, *_: Any) -> list[Any]:
        told.append(stamped)
        return []

    monkeypatch.setattr(days, "look", look)
    assert codes(stamped, late, NOW.date()).count("time-stamp-matches") == 1
    assert told != [None]


@pytest.mark.parametrize("flips", [300, pytest.param(8_000, marks=pytest.mark.campaign)])
def test_no_bit_of_a_time_stamp_put_in_changes_unnoticed(stamped: Path, flips: int) -> None:
    """Seeded flips over all bits of its token, by a reader who has confirmed nobody."""
    file = stamped / "dossier.pdf"
    sealed = form.from_json((stamped / "record.json").read_bytes())
    (one,) = read_dossier(file).time_stamps
    digest, whole = hash_ranges(file, one.ranges), bytes.fromhex(one.contents.decode())
    used = len(time_revisions.token(one.contents))

    def code(changed: bytes) -> str:
        info = msgspec.structs.replace(one, contents=changed.hex().encode())
        found = times.of_document(sealed, [(info, digest)], (), Catalogue("en"), signers=one.certificates)
        return found.answers[0].code

    assert used > 1000
    assert code(whole) == "time-stamp-authority-not-confirmed"
    seeded = random.Random(20261126)
    for at in (*seeded.sample(range(used * 8), flips), used * 8, len(whole) * 8 - 1):
        changed = bytearray(whole)
        changed[at // 8] ^= 1 << at % 8
        assert code(bytes(changed)) != "time-stamp-authority-not-confirmed", at


def revoked_by(issuer: Any, key: Any, name: x509.Name | None = None) -> bytes:
    made = x509.CertificateRevocationListBuilder().issuer_name(name or issuer.subject)
    made = made.last_update(NOW - DAY).next_update(NOW + YEAR)
    return made.sign(key, hashes.SHA256()).public_bytes(Encoding.DER)


def test_what_is_kept_is_of_those_who_signed(
    folder: Path, soon: Authority, late: Authority, lists: Path, tmp_path: Path
) -> None:
    """CONTAINER.md section 7. Below a time-stamp that holds, of an authority that the reader confirmed."""
    pdf, thief = folder / "dossier.pdf", Authority(tmp_path / "thief")
    ours = (late.own.public_bytes(Encoding.DER), late.issuer.public_bytes(Encoding.DER))
    theirs = thief.issuer.public_bytes(Encoding.DER)
    in_their_name = revoked_by(soon.issuer, thief.issuer_key)

    def token(digest: bytes) -> bytes:
        nonce = bytes(range(1, 17))
        answer = late.answer(stamp.request(Hashed(digest), nonce))
        return stamp.received(answer, Hashed(digest), nonce, dt.datetime.now(dt.UTC))

    def found(kept: Kept) -> tuple[str, bool]:
        path = tmp_path / "kept.pdf"
        path.unlink(missing_ok=True)
        put_time(pdf, path, kept, token)
        both = from_file(soon.folder / "root.pem") + from_file(late.folder / "root.pem")
        result = verify(path, Asked(today=NOW.date(), authorities=both))
        told = [one.code for one in result.checks]
        assert told.count("time-stamp-matches") == 3
        return result.overall, next((one for one in told if one.startswith("time-stamp-keeps-")), "")

    of_root = revoked_by(late.root, late.root_key)
    assert found(Kept(ours, (lists.read_bytes(), of_root))) == ("not confirmed", "")
    for other in (
        Kept((*ours, b"Any words at all.")),
        Kept((*ours, theirs)),
        Kept(ours, (b"Any words at all.",)),
        Kept(ours, (lists.read_bytes() + b"x",)),
        Kept(ours, (in_their_name,)),
        Kept(ours, (revoked_by(thief.issuer, thief.issuer_key, x509.Name([])),)),
    ):
        assert found(other) == ("altered", "time-stamp-keeps-others"), other
    many = Kept(ours, tuple(revoked_by(soon.issuer, soon.issuer_key) for _ in range(MOST_LISTS + 1)))
    assert found(many) == ("not confirmed", "time-stamp-keeps-many")
    assert checks.unsure([stamp_codes.answer("time-stamp-keeps-many", Catalogue("en"))])  # never in order


def test_again_and_until_no_place_is_left(stamped: Path, run: Run, late: Authority, tmp_path: Path) -> None:
    folder = Path(shutil.copytree(stamped, tmp_path / "again"))
    with serving(late.answer) as server:
        assert run("stamp", "--inside", folder / "dossier.pdf", "--server", server).code == 0
        assert codes(folder, late, NOW.date()).count("time-stamp-matches") == 2
        before = (folder / "dossier.pdf").read_bytes()
        ran = run("stamp", "--inside", folder, "--server", server)
    assert ran.code != 0 and "no place left" in ran.err
    assert (folder / "dossier.pdf").read_bytes() == before


def test_a_link_stays_one(folder: Path, run: Run, late: Authority, tmp_path: Path) -> None:
    link = tmp_path / "link.pdf"
    link.symlink_to(folder / "dossier.pdf")
    with serving(late.answer) as server:
        assert run("stamp", "--inside", link, "--server", server).code == 0
    assert link.is_symlink()
    assert len(read_dossier(folder / "dossier.pdf").time_stamps) == 1


def test_two_at_once(folder: Path, run: Run, late: Authority) -> None:
    """While the first waits for its server, the second is told; else it would undo what the first does."""
    told: list[Any] = []

    def answer(query: bytes) -> bytes:
        if not told:
            told.append(run("stamp", "--inside", folder / "dossier.pdf", "--server", "http://127.0.0.1:1/"))
        return late.answer(query)

    with serving(answer) as server:
        assert run("stamp", "--inside", folder, "--server", server).code == 0
    assert told[0].code == 64 and "is being put into it already" in told[0].err
    assert len(read_dossier(folder / "dossier.pdf").time_stamps) == 1
    assert not [path.name for path in folder.iterdir() if path.name.startswith(".")]


def test_no_server_leaves_the_file(folder: Path, run: Run) -> None:
    before = {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}
    with serving(lambda query: b"busy", status=503) as server:
        ran = run("stamp", "--inside", folder, "--server", server)
    assert ran.code == 1 and "the PDF is as it was" in ran.err
    assert {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()} == before


def test_a_token_over_something_else_is_not_kept(folder: Path, run: Run, late: Authority) -> None:
    """A server that signs another digest than the one asked for."""

    def lying(query: bytes) -> bytes:
        return late.answer(query[:30] + bytes(32) + query[62:])

    before = (folder / "dossier.pdf").read_bytes()
    with serving(lying) as server:
        ran = run("stamp", "--inside", folder, "--server", server)
    assert ran.code == 1
    assert (folder / "dossier.pdf").read_bytes() == before


def test_an_altered_dossier_gets_none(folder: Path, run: Run) -> None:
    pdf = folder / "dossier.pdf"
    pdf.write_bytes(pdf.read_bytes().replace(b"/Lang (en)", b"/Lang (de)"))
    ran = run("stamp", "--inside", pdf, "--server", "http://127.0.0.1:1/")
    assert ran.code != 0 and "does not check" in ran.err


def test_what_is_no_pdf_is_not_said_to_fail_a_check(folder: Path, run: Run, tmp_path: Path) -> None:
    for named in (folder / "record.json", tmp_path):
        ran = run("stamp", "--inside", named, "--server", "http://127.0.0.1:1/")
        assert ran.code == 64 and "there is no PDF here" in ran.err and "does not check" not in ran.err


def test_a_list_of_somebody_else_is_said(folder: Path, run: Run, late: Authority, tmp_path: Path) -> None:
    other = Authority(tmp_path / "other")
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "Somebody Else")])
    made = (
        x509.CertificateRevocationListBuilder()
        .issuer_name(name)
        .last_update(NOW - DAY)
        .next_update(NOW + YEAR)
        .sign(other.issuer_key, hashes.SHA256())
    )
    (tmp_path / "other.crl").write_bytes(made.public_bytes(Encoding.PEM))
    before = (folder / "dossier.pdf").read_bytes()
    with serving(late.answer) as server:
        ran = run("stamp", "--inside", folder, "--server", server, "--crl", tmp_path / "other.crl")
    assert ran.code != 0 and "CN=Somebody Else" in ran.err
    assert (folder / "dossier.pdf").read_bytes() == before


def test_a_holder_makes_a_copy_of_it(stamped: Path, run: Run, tmp_path: Path) -> None:
    assert run("copy", stamped, "--to", tmp_path / "held").code == 0
    result = verify(tmp_path / "held", Asked(today=NOW.date()))
    assert result.overall == "not confirmed"


def test_what_an_archive_keeps_is_left_alone(stamped: Path, run: Run, tmp_path: Path) -> None:
    (tmp_path / "archive" / "bag").mkdir(parents=True)
    for part in ("bagit.txt", "manifest-sha512.txt"):  # RFC 8493, section 2.1, with data/
        (tmp_path / "archive" / "bag" / part).write_text("BagIt-Version: 1.0\n")
    inner = Path(shutil.copytree(stamped, tmp_path / "archive" / "bag" / "data"))
    for words in (("--inside", inner), (inner / "record.json",)):
        ran = run("stamp", *words, "--server", "http://127.0.0.1:1/")
        assert ran.code != 0 and "archive --renew" in ran.err


def test_a_dossier_without_places_says_what_to_do(output: Path, run: Run) -> None:
    ran = run("stamp", "--inside", output, "--server", "http://127.0.0.1:1/")
    assert ran.code != 0 and "time_places in workshop.toml" in ran.err
