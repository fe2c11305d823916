"""Evidence of an archive: made, renewed by another authority, audited, and every change to it found."""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from cryptography.hazmat.primitives.serialization import Encoding
from time_server import NOW, YEAR, Authority, certificate, openssl, serving

from dossier import canonical
from dossier.archive import evidence, leaves, record_path
from dossier.flows import renewal
from dossier.seal import stamp

Run = Callable[..., Any]


@pytest.fixture(scope="module")
def clocks(tmp_path_factory: pytest.TempPathFactory) -> tuple[Authority, Authority]:
    home = tmp_path_factory.mktemp("clocks")
    return Authority(home / "first"), Authority(home / "second", rsa_key=True)


@pytest.fixture(scope="module")
def renewed(
    output: Path, run: Run, clocks: tuple[Authority, ...], tmp_path_factory: pytest.TempPathFactory
) -> Path:
    """An archive of one bag with two evidences, by two authorities."""
    archive = tmp_path_factory.mktemp("home") / "archive"
    assert run("archive", output, "--to", archive, "--without-job").code == 0
    for clock in clocks:
        with serving(clock.answer) as server:
            ran = run("archive", "--to", archive, "--renew", "--server", server)
        assert ran.code == 0, ran.err
    return archive


@pytest.fixture
def archive(renewed: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(renewed, tmp_path / "archive"))


def audited(run: Run, archive: Path, *more: object) -> Any:
    return run("archive", "--to", archive, "--audit", *more)


def test_an_audit_says_by_when_the_bags_were_there(
    renewed: Path, run: Run, clocks: tuple[Authority, ...]
) -> None:
    ran = audited(run, renewed, "--time-authority", clocks[1].folder / "root.pem")
    assert ran.code == 0, ran.out
    one, two = [line for line in ran.out.splitlines() if line.startswith("evidence")]
    assert one.startswith("evidence 1: one bag was there no later than")
    assert "you have confirmed" not in one
    assert two.endswith("an authority you have confirmed")
    assert "renew before that" in ran.err


def test_openssl_verifies_each_time_stamp(renewed: Path, clocks: tuple[Authority, ...]) -> None:
    for number, clock in enumerate(clocks, 1):
        folder = renewed / "evidence" / f"{number:04d}"
        said = openssl(
            *("ts", "-verify", "-data", folder / "evidence.json", "-in", folder / "evidence.tsr"),
            *("-CAfile", clock.folder / "root.pem"),
        )
        assert b"Verification: OK" in said
        text = openssl("ts", "-reply", "-in", folder / "evidence.tsr", "-text").decode()
        assert "Hash Algorithm: sha512" in text


def test_a_stranger_can_work_it_out(renewed: Path) -> None:
    """FORMAT.md section 18 with hashlib alone, for an archive of one bag: leaves of it and its record."""
    first, second = (
        json.loads((renewed / "evidence" / n / "evidence.json").read_bytes()) for n in ("0001", "0002")
    )
    (bag,) = (renewed / "bags").iterdir()
    listed = (renewed / "evidence/0002/leaves.txt").read_text(encoding="utf-8").splitlines()
    record = json.loads((bag / "data/dossier/record.json").read_bytes())
    del record["signatures"][0]["header"]
    stamped = json.dumps(record, separators=(",", ":")).encode()
    assert not (bag / "data/dossier/record.tsr").exists()
    for column, algorithm in enumerate(("sha256", "sha512")):
        data = (bag / f"tagmanifest-{algorithm}.txt").read_bytes()
        leaves = [hashlib.new(algorithm, b"\0" + one).digest() for one in (data, stamped)]
        assert [line.split(" ")[column] for line in listed] == [one.hex() for one in leaves]
        expected = hashlib.new(algorithm, b"\1" + leaves[0] + leaves[1]).hexdigest()
        assert first["root"][algorithm] == expected == second["root"][algorithm]
        for member, name in (("document", "evidence.json"), ("stamp", "evidence.tsr")):
            before = (renewed / "evidence/0001" / name).read_bytes()
            assert second["previous"][member][algorithm] == hashlib.new(algorithm, before).hexdigest()
    assert "previous" not in first


def test_nothing_is_changed_by_renewing(archive: Path, run: Run, clocks: tuple[Authority, ...]) -> None:
    before = {p: p.read_bytes() for p in archive.rglob("*") if p.is_file()}
    with serving(clocks[0].answer) as server:
        assert run("archive", "--to", archive, "--renew", "--server", server).code == 0
    assert {p: p.read_bytes() for p in before} == before
    assert (archive / "evidence/0003/evidence.tsr").is_file()


def test_a_server_that_is_down_changes_nothing(archive: Path, run: Run) -> None:
    before = sorted(archive.rglob("*"))
    ran = run("archive", "--to", archive, "--renew", "--server", "http://127.0.0.1:9/")
    assert (ran.code, "No evidence was made" in ran.err) == (1, True)
    assert [p for p in sorted(archive.rglob("*")) if p.name != ".incoming"] == [
        p for p in before if p.name != ".incoming"
    ]


def test_a_bag_put_away_later_is_named(archive: Path, inside: Path, run: Run) -> None:
    assert run("archive", inside.parent, "--to", archive, "--without-job").code == 0
    ran = audited(run, archive)
    assert ran.code == 0
    assert "One bag is not covered" in ran.err


def changed(path: Path, old: bytes, new: bytes) -> None:
    data = path.read_bytes()
    assert old in data
    path.write_bytes(data.replace(old, new, 1))


def another_root(path: Path) -> None:
    written = json.loads(path.read_bytes())
    written["root"]["sha256"] = written["root"]["sha256"][::-1]
    path.write_bytes(canonical.encode(written))


def a_bag(archive: Path) -> Path:
    return next((archive / "bags").iterdir())


def leaf_left_out(archive: Path) -> None:
    """The last evidence as if there had been no bag, its roots right (RFC 9162 2.1.1: of nothing)."""
    path = archive / "evidence/0002/evidence.json"
    value = json.loads(path.read_bytes())
    (archive / "evidence/0002/leaves.txt").write_bytes(b"")
    value |= {"leaves": 0, "root": {name: hashlib.new(name).hexdigest() for name in ("sha256", "sha512")}}
    path.write_text(json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False))


CHANGES: dict[str, tuple[Callable[[Path], Any], str]] = {
    "a bag taken away": (lambda a: shutil.rmtree(a_bag(a)), "is not in the archive"),
    "a bag made anew": (
        lambda a: changed(a_bag(a) / "tagmanifest-sha512.txt", b"  manifest", b"   manifest"),
        "is not as it was",
    ),
    "the first evidence taken away": (lambda a: shutil.rmtree(a / "evidence/0001"), "out of its order"),
    "another document": (
        lambda a: changed(a / "evidence/0002/evidence.json", b'"made":"2', b'"made":"3'),
        "something other than this record, or the record was changed",
    ),
    "a leaf left out": (leaf_left_out, "something other than this record, or the record was changed"),
    "another order": (
        lambda a: (a / "evidence/0002").rename(a / "evidence/0004"),
        "out of its order",
    ),
    "an earlier time-stamp swapped": (
        lambda a: shutil.copy(a / "evidence/0002/evidence.tsr", a / "evidence/0001/evidence.tsr"),
        "is not over the evidence before it",
    ),
    "a document that is none": (
        lambda a: (a / "evidence/0001/evidence.json").write_bytes(b"{}"),
        "not in the one form",
    ),
    "a root that is another": (
        lambda a: another_root(a / "evidence/0001/evidence.json"),
        "its hash tree is not the one",
    ),
    "a list with another leaf": (
        lambda a: (a / "evidence/0001/leaves.txt").write_text(f"{'0' * 64} {'0' * 128} x\n"),
        "its hash tree is not the one",
    ),
    "a list that is none": (
        lambda a: (a / "evidence/0001/leaves.txt").write_bytes(b"0" * 64 + b" " + b"0" * 128 + b" \xff\n"),
        "its hash tree is not the one",
    ),
    "a list taken away": (
        lambda a: (a / "evidence/0001/leaves.txt").unlink(),
        "its hash tree is not the one",
    ),
    "a time-stamp that is none": (
        lambda a: (a / "evidence/0002/evidence.tsr").write_bytes(b"\x30\x00"),
        "one form the format allows",
    ),
}


@pytest.mark.parametrize("kind", CHANGES)
def test_every_change_is_found(kind: str, archive: Path, run: Run) -> None:
    change, said = CHANGES[kind]
    change(archive)
    ran = audited(run, archive)
    assert ran.code == 1
    assert said in ran.out, ran.out + ran.err


@pytest.mark.parametrize(("years", "late"), [(0.9, False), (1.1, True)])
def test_an_audit_says_what_was_renewed_too_late(
    renewed: Path, monkeypatch: pytest.MonkeyPatch, years: float, late: bool
) -> None:
    """RFC 4998 section 5 (from memory): renewed while it holds; the first certificate ends in a year."""
    stamped = renewal._stamped

    def later(one: evidence.Kept) -> stamp.Stamped:
        found = stamped(one)
        return found._replace(no_later=found.no_later + years * YEAR) if one.number == 2 else found

    monkeypatch.setattr(renewal, "_stamped", later)
    said = renewal.advice(renewed)
    assert ["of evidence 1 ran out on" in one for one in said] == ([True, False] if late else [False])


def test_an_audit_names_the_day_on_which_an_issuer_runs_out_first(
    renewed: Path, clocks: tuple[Authority, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever renewed by the signer's own day lost what was proven (FORMAT.md section 8, check 9 g)."""
    stamped, clock, end = renewal._stamped, clocks[1], NOW + YEAR / 2
    issuer = certificate("Example", clock.issuer_key, clock.root, clock.root_key, ca=True, until=end)
    der = issuer.public_bytes(Encoding.DER)
    monkeypatch.setattr(
        renewal, "_stamped", lambda one: stamped(one)._replace(certificates=(*stamped(one).certificates, der))
    )
    assert renewal.WORDS.say("renewal.audit.until", date=end.date().isoformat()) in renewal.advice(renewed)


def test_a_bag_that_is_not_whole_gets_no_evidence(archive: Path, run: Run) -> None:
    (a_bag(archive) / "data/dossier/record.json").write_bytes(b"{}")
    ran = run("archive", "--to", archive, "--renew", "--server", "http://127.0.0.1:9/")
    assert (ran.code, "is not whole" in ran.err, "out of the archive" in ran.err) == (74, True, True)


def test_a_bag_whose_name_no_list_can_hold_gets_no_evidence(archive: Path, run: Run) -> None:
    """What is written is never changed: a list that cannot be read again would be there for good."""
    a_bag(archive).rename(archive / "bags" / "two\nlines")
    ran = run("archive", "--to", archive, "--renew", "--server", "http://127.0.0.1:9/")
    assert (ran.code, "a character that a list cannot hold" in ran.err) == (74, True)


def test_a_holder_checks_a_barer_copy_without_the_archive(
    output: Path, renewed: Path, run: Run, clocks: tuple[Authority, ...], tmp_path: Path, monkeypatch: Any
) -> None:
    """The whole way: the file for one record, beside a copy that has other disclosures than the archive's."""
    monkeypatch.chdir(tmp_path)
    bag = a_bag(renewed).name
    ran = run("archive", "--to", renewed, "--evidence-of", f"{bag}/")  # as a shell completes a folder
    assert ran.code == 0, ran.err
    assert bag not in Path("record-evidence.json").read_text(encoding="utf-8")
    assert run("copy", output, "--for", "resale", "--to", tmp_path / "bare").code == 0
    clock = clocks[1].folder / "root.pem"
    usual = ["--time-authority", clock, "--json"]
    named = ["bare/record.json", "--evidence", "record-evidence.json"]
    for given in (named, ["bare"]):
        (plain,) = json.loads(run("verify", *given, *usual).out)
        assert [(one["code"], *one["where"]) for one in plain["checks"] if one["number"] == 9] == [
            ("time-stamp-authority-not-confirmed", "evidence no. 1 of an archive"),  # by the first clock
            ("time-stamp-matches", "evidence of an archive"),
        ]
        assert not [one for one in plain["checks"] if "record-evidence.json" in one["where"]]
        shutil.copy("record-evidence.json", tmp_path / "bare")
    link = Path(shutil.copytree(output, tmp_path / "linked")) / "record-evidence.json"
    link.symlink_to(tmp_path / "record-evidence.json")
    (plain,) = json.loads(run("verify", link.parent, "--json").out)
    (shut,) = [one for one in plain["checks"] if one["code"] == "time-stamp-not-read"]
    assert shut["where"] == [link.name]  # a link is not followed
    for words in (["--evidence-of", bag], ["--evidence-of", "nothing"]):
        refused = run("archive", "--to", renewed, *words)  # one is there already; no such bag
        assert refused.code != 0
        assert "hint: " in refused.err
    for other in ("bare/record.json", "bare/dossier.pdf", "nothing"):
        wrong = run("verify", output, "--evidence", other)
        assert (wrong.code, "hint: " in wrong.err) == (64, True)
    (plain,) = json.loads(run("verify", "record-evidence.json", "--json").out)
    assert [one["code"] for one in plain["checks"]] == ["evidence-alone"]
    both = run("verify", output, tmp_path / "bare", "--evidence", "record-evidence.json")
    assert (both.code, "evidence is of one record" in both.err) == (64, True)
    code = Path(__file__).parents[1] / "vectors/code/code-matches-record/code.txt"
    ran = run("verify", code, "--evidence", "record-evidence.json")
    assert (ran.code, "is of a record, and this is something else" in ran.err) == (64, True)


def test_no_evidence_is_handed_out_of_what_it_does_not_cover(
    archive: Path, inside: Path, run: Run, tmp_path: Path, monkeypatch: Any
) -> None:
    monkeypatch.chdir(tmp_path)
    before = a_bag(archive).name
    assert run("archive", inside.parent, "--to", archive, "--without-job").code == 0
    (later,) = (p.name for p in (archive / "bags").iterdir() if p.name != before)
    ran = run("archive", "--to", archive, "--evidence-of", later)
    assert (ran.code, "no evidence covers" in ran.err) == (64, True)
    shutil.copy(
        archive / "bags" / later / "data/dossier/record.json", archive / "bags" / before / "data/dossier"
    )
    ran = run("archive", "--to", archive, "--evidence-of", before)
    assert (ran.code, "is not that of this record" in ran.err) == (74, True)
    assert not (tmp_path / "record-evidence.json").exists()


@pytest.mark.parametrize("damage", ["document", "list", "time-stamp"])
def test_damaged_evidence_takes_nobody_elses_word_away(
    damage: str, archive: Path, run: Run, clocks: tuple[Authority, ...], tmp_path: Path, monkeypatch: Any
) -> None:
    """It had made a holder's whole record read as changed, or nothing was handed out any more."""
    monkeypatch.chdir(tmp_path)
    name = {"document": evidence.DOCUMENT, "list": leaves.FILE, "time-stamp": evidence.STAMP}[damage]

    def handed_out() -> list[int]:
        ran = run("archive", "--to", archive, "--evidence-of", a_bag(archive).name)
        assert (ran.code, "Evidence of this archive is damaged" in ran.err) == (0, True), ran.err
        made = Path("record-evidence.json")
        found = record_path.read(made.read_bytes())
        made.unlink()
        return [way.evidence.number for way in found.ways]

    (archive / "evidence/0002" / name).write_bytes(b"0\0")
    assert handed_out() == [1]
    with serving(clocks[0].answer) as server:
        ran = run("archive", "--to", archive, "--renew", "--server", server)
    assert "Evidence of this archive is damaged" in ran.out + ran.err
    assert handed_out() == [3]
