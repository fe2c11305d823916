"""What is said about a job after it was put away: put beside, never into its bag, and found with it.

Against the `bagit` library (Library of Congress), `sha256sum -c`, and RFC 8493.
"""

from __future__ import annotations

import hashlib
import json
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import bagit
import pytest
from results import result_of
from time_server import NOW, YEAR, Authority, openssl, serving

from dossier import canonical
from dossier.flows.verify import Asked, verify
from dossier.seal import stamp_chain
from dossier.words import Catalogue

Run = Callable[..., Any]


@pytest.fixture(scope="module")
def put_away(output: Path, run: Run, tmp_path_factory: pytest.TempPathFactory) -> Path:
    archive = tmp_path_factory.mktemp("home") / "archive"
    assert run("archive", output, "--to", archive, "--without-job").code == 0
    return archive


@pytest.fixture
def archive(put_away: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(put_away, tmp_path / "archive"))


@pytest.fixture
def say(job: Path, output: Path, run: Run, tmp_path: Path) -> Callable[..., Path]:
    """A statement about the record, by the key that signed it."""

    def say(kind: str, reason: str, *more: object) -> Path:
        file = tmp_path / f"{kind}-{abs(hash(reason))}.json"
        key = ("--key", job.parent / "keys/trial-key.pem")
        ran = run("declare", kind, output, "--reason", reason, *key, "--to", file, *more)
        assert ran.code == 0, ran.err
        return file

    return say


def bags_of(archive: Path) -> list[Path]:
    return sorted((archive / "bags").iterdir())


def content(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_a_withdrawal_lies_beside_and_the_bag_is_untouched(
    archive: Path, say: Callable[..., Path], run: Run
) -> None:
    (bag,) = bags_of(archive)
    before = content(bag)
    ran = run("archive", say("withdrawal", "Kettlewell saw it was another case."), "--to", archive)
    assert ran.code == 0, ran.err
    assert content(bag) == before
    _, later = bags_of(archive)
    assert later.name.startswith(f"{bag.name}--withdrawal-")
    for one in bags_of(archive):
        read = bagit.Bag(str(one))
        assert read.is_valid()
        assert read.info["Bag-Group-Identifier"] == bag.name
        subprocess.run(
            ["sha256sum", "--strict", "-c", "manifest-sha256.txt"], cwd=one, check=True, capture_output=True
        )
        assert f"{bag.name}" in (one / "READ-ME.txt").read_text()
        assert "READ-ME.txt" in (one / "tagmanifest-sha256.txt").read_text()


def test_what_a_trial_key_said_is_marked_so(
    say: Callable[..., Path], output: Path, job: Path, run: Run, tmp_path: Path
) -> None:
    """As its records are, in the first line and for machines (FORMAT.md, 12): it proves nothing."""
    receipt = tmp_path / "receipt.json"
    key = job.parent / "keys/trial-key.pem"
    assert run("acknowledge", output, "--key", key, "--to", receipt).code == 0
    for file in (say("correction", "The lining is cotton."), receipt):
        result = result_of(run, file)
        assert result["trial_key"] is True and result["overall"] == "not confirmed"
        assert "this proves nothing" in run("verify", file).out
        file.write_bytes(file.read_bytes().replace(b'"signature":"', b'"signature":"AA', 1))
        assert not result_of(run, file)["trial_key"]


def test_find_shows_it_with_the_job_and_by_its_own_words(
    archive: Path, say: Callable[..., Path], run: Run
) -> None:
    assert run("find", "satchel", "--in", archive).code == 0  # a catalogue from before
    run("archive", say("correction", "The thread is of silk, said Zwentibold."), "--to", archive)
    run("archive", say("aftercare", "Keep dry."), "--to", archive)
    for words in (["satchel"], ["zwentibold"], ["satchel", "--rebuild"]):
        found = run("find", *words, "--in", archive)
        assert found.code == 0, words
        assert found.out.count("bags") == 1
        assert "a correction: The thread is of silk" in found.out
        assert "a note on care: Keep dry." in found.out
    assert '"later"' in run("find", "satchel", "--in", archive, "--json").out


def test_a_check_of_the_dossier_in_its_bag_is_told(
    archive: Path, output: Path, say: Callable[..., Path], run: Run, tmp_path: Path
) -> None:
    """Who checks what lies in the archive is never told that no withdrawal is known while one lies beside.

    Also where it was put away with the dossier again: that had made a second copy, unknown to the first.
    """
    (bag,) = bags_of(archive)
    quiet = run("verify", bag / "data" / "dossier")
    dossier = Path(shutil.copytree(output, tmp_path / "dossier"))
    shutil.copy(say("withdrawal", "It was another case."), dossier)
    assert run("archive", dossier, "--to", archive, "--without-job").code == 0
    assert [one.name[: len(bag.name) + 12] for one in bags_of(archive)] == [
        bag.name,
        f"{bag.name}--withdrawal",
    ]
    for path in ("dossier", "dossier/dossier.pdf", "dossier/record.json"):
        ran = run("verify", bag / "data" / path)
        assert ran.code == 3, ran.out
        assert "It was another case." in ran.out
    assert "It was another case." not in quiet.out


def test_what_lies_beside_and_cannot_be_read_is_named(
    archive: Path, say: Callable[..., Path], run: Run
) -> None:
    run("archive", say("withdrawal", "It was another case."), "--to", archive)
    bag, later = bags_of(archive)
    (file,) = (later / "data" / "statements").iterdir()
    file.write_bytes(file.read_bytes()[:-40])
    ran = run("verify", bag / "data" / "dossier", "--json")
    assert "statements-not-all-read" in ran.out
    audit = run("archive", "--to", archive, "--audit")
    assert audit.code == 1
    assert later.name in audit.out


@pytest.mark.parametrize("harm", ["gone", "a link", "empty"])
def test_a_bag_beside_that_holds_nothing_that_can_be_read_is_named(
    archive: Path, say: Callable[..., Path], run: Run, tmp_path: Path, harm: str
) -> None:
    run("archive", say("withdrawal", "It was another case."), "--to", archive)
    bag, later = bags_of(archive)
    if harm == "gone":
        shutil.rmtree(later / "data" / "statements")
    elif harm == "a link":
        later.rename(tmp_path / "elsewhere")
        later.symlink_to(tmp_path / "elsewhere")
    else:
        next((later / "data" / "statements").iterdir()).unlink()
    ran = run("verify", bag / "data" / "dossier", "--json")
    assert "statements-not-all-read" in ran.out
    assert later.name in ran.out


def test_the_same_is_put_away_once_and_a_receipt_and_a_paper_too(
    archive: Path, say: Callable[..., Path], job: Path, output: Path, run: Run, tmp_path: Path
) -> None:
    picture = tmp_path / "signed-paper.jpg"
    picture.write_bytes(b"\xff\xd8ink")
    paper = say("paper-receipt", "Signed at hand-over.", "--scan", picture)
    assert run("archive", paper, "--to", archive).code == 0
    again = run("archive", paper, "--to", archive)
    assert "in the archive already" in again.out
    receipt = tmp_path / "receipt.json"
    own = ("--key", job.parent / "keys/trial-key.pem", "--to", receipt)
    assert run("acknowledge", output, *own).code == 0
    assert run("archive", receipt, "--to", archive).code == 0
    names = [one.name for one in bags_of(archive)]
    assert len(names) == 3
    (kept,) = [one for one in bags_of(archive) if "paper-receipt" in one.name]
    assert (kept / "data/statements/signed-paper.jpg").read_bytes() == picture.read_bytes()
    (kept / "data/statements/signed-paper.jpg").write_bytes(b"")  # a bag that is damaged does not have it
    assert "in the archive already" not in run("archive", paper, "--to", archive).out
    assert "in the archive already" in run("archive", paper, "--to", archive).out
    assert len(bags_of(archive)) == 4


def test_an_audit_names_the_bag_that_is_gone(archive: Path, say: Callable[..., Path], run: Run) -> None:
    run("archive", say("aftercare", "Keep dry."), "--to", archive)
    assert run("archive", "--to", archive, "--audit").code == 0
    bag, _ = bags_of(archive)
    shutil.rmtree(bag)
    ran = run("archive", "--to", archive, "--audit")
    assert ran.code == 1
    assert f"{bag.name}, is not in the archive" in ran.out
    assert "a note on care: Keep dry.\n" in run("find", "dry", "--in", archive).out


def test_evidence_covers_it(archive: Path, say: Callable[..., Path], run: Run, tmp_path: Path) -> None:
    run("archive", say("withdrawal", "It was another case."), "--to", archive)
    with serving(Authority(tmp_path / "clock").answer) as server:
        assert run("archive", "--to", archive, "--renew", "--server", server).code == 0
    assert "2 bags were there no later than" in run("archive", "--to", archive, "--audit").out
    shutil.rmtree(bags_of(archive)[1])
    gone = run("archive", "--to", archive, "--audit")
    assert gone.code == 1
    assert "is not in the archive" in gone.out


def test_what_is_about_no_record_here_or_does_not_check_is_not_put_away(
    archive: Path, say: Callable[..., Path], run: Run, tmp_path: Path
) -> None:
    good = say("withdrawal", "It was another case.")
    bad = tmp_path / "bad.json"
    bad.write_bytes(good.read_bytes()[:-8] + b'AAAA"}]}')
    ran = run("archive", bad, "--to", archive)
    assert ran.code != 0
    assert "does not check itself" in ran.err
    (bag,) = bags_of(archive)
    other = tmp_path / "other"
    other.mkdir()
    (other / "bags").mkdir()
    ran = run("archive", good, "--to", other)
    assert ran.code != 0
    assert "is not in this archive" in ran.err
    assert bags_of(archive) == [bag]
    assert bags_of(other) == []


def test_a_run_that_breaks_off_leaves_nothing_in_place(
    archive: Path, say: Callable[..., Path], run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = say("withdrawal", "It was another case.")
    (bag,) = bags_of(archive)
    with monkeypatch.context() as patched:
        patched.setattr(Path, "rename", _broken)
        assert run("archive", file, "--to", archive).code != 0
    assert bags_of(archive) == [bag]
    assert run("archive", file, "--to", archive).code == 0


def _broken(*_: object) -> None:
    raise OSError(28, "No space left on device")


def test_the_holder_of_a_copy_reaches_the_later_stamp_of_the_archive(
    job: Path, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """FORMAT.md section 18, by hashlib and openssl: from the own record and record.tsr to the evidence."""
    clock, longer = Authority(tmp_path / "clock"), Authority(tmp_path / "longer", until=NOW + 9 * YEAR)
    shutil.copytree(job.parent, tmp_path / "shop")
    shop = tmp_path / "shop" / "workshop.toml"
    with serving(clock.answer) as server:
        shop.write_text(f'time_servers = ["{server}"]\n' + shop.read_text(encoding="utf-8"), encoding="utf-8")
        assert run("compile", tmp_path / "shop" / job.name, "--to", tmp_path / "out").code == 0
        copied = run("copy", tmp_path / "out", "--to", tmp_path / "copy", "--for", "resale")
        assert copied.code == 0, copied.err
        archive = tmp_path / "archive"
        assert run("archive", tmp_path / "out", "--to", archive, "--without-job").code == 0
    with serving(longer.answer) as server:
        assert run("archive", "--to", archive, "--renew", "--server", server).code == 0
    (bag,) = bags_of(archive)
    monkeypatch.chdir(tmp_path)
    assert run("archive", "--to", archive, "--evidence-of", bag.name).code == 0
    file = json.loads((tmp_path / "record-evidence.json").read_bytes())
    record = json.loads((tmp_path / "copy" / "record.json").read_bytes())
    del record["signatures"][0]["header"]
    record["stamp"] = (tmp_path / "copy" / "record.tsr").read_bytes().hex()
    assert (file["record_stamp"], file["place"]) == (record["stamp"], 1)
    for name in ("sha256", "sha512"):
        leaf = hashlib.new(name, b"\0" + canonical.encode(record)).digest()
        (other,) = map(bytes.fromhex, file[name])
        assert file["evidence"]["root"][name] == hashlib.new(name, b"\1" + other + leaf).hexdigest()
    (tmp_path / "evidence.json").write_bytes(canonical.encode(file["evidence"]))
    (tmp_path / "evidence.tsr").write_bytes(bytes.fromhex(file["stamp"]))
    said = openssl(
        *("ts", "-verify", "-data", tmp_path / "evidence.json", "-in", tmp_path / "evidence.tsr"),
        *("-CAfile", longer.folder / "root.pem"),
    )
    assert b"Verification: OK" in said
    roots = tuple(one for some in (clock, longer) for one in stamp_chain.from_file(some.folder / "root.pem"))
    asked = Asked(today=(NOW + 2 * YEAR).date(), authorities=roots, words=Catalogue("en"))
    ends = [one.code for one in verify(tmp_path / "copy" / "record.json", asked).checks if one.number == 9]
    assert ends == ["time-stamp-ran-out"]
    shutil.copy(tmp_path / "record-evidence.json", tmp_path / "copy")
    ends = [one.code for one in verify(tmp_path / "copy" / "record.json", asked).checks if one.number == 9]
    assert ends == ["time-stamp-matches"] * 2  # the evidence covers the one that ran out
