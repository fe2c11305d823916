"""Time-stamps through the command, by a real server (openssl behind HTTP): given, and all that can fail."""

from __future__ import annotations

import json
import random
import re
import shutil
import subprocess
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, ExitStack, nullcontext
from pathlib import Path
from typing import Any

import msgspec
import pikepdf
import pytest
from asn1crypto import x509 as asn1_x509
from cryptography.hazmat.primitives.serialization import Encoding
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko_certvalidator import ValidationContext
from time_server import NOW, YEAR, Authority, openssl, serving

from dossier.container.hashing import hash_ranges
from dossier.container.read import read_dossier
from dossier.flows import ask_time
from dossier.flows.verifying import times
from dossier.seal import form, pdf
from dossier.words import Catalogue

Run = Callable[..., Any]


def tree(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


@pytest.fixture(scope="module")
def authority(tmp_path_factory: pytest.TempPathFactory) -> Authority:
    return Authority(tmp_path_factory.mktemp("clock"))


def with_servers(job: Path, home: Path, *servers: str) -> Path:
    """A copy of the job whose workshop names these servers."""
    shutil.copytree(job.parent, home)
    shop = home / "workshop.toml"
    text = shop.read_text(encoding="utf-8")
    shop.write_text(f"time_servers = {json.dumps(servers)}\n{text}", encoding="utf-8")
    return home / job.name


@pytest.fixture(scope="module")
def stamped(
    job: Path, run: Run, authority: Authority, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Path]:
    """The dossier folder of a workshop whose server answers, the owner's copy."""
    home = tmp_path_factory.mktemp("stamped")
    with serving(authority.answer) as server:
        folder = with_servers(job, home / "shop", server)
        ran = run("compile", folder, "--to", home / "out", "--copy", "owner")
    assert ran.code == 0, ran.err
    assert ran.err.count("Time-stamp of Example Clock No. 1") == 1
    return home / "out"


def checks_of(run: Run, *words: object) -> tuple[dict[str, Any], list[str]]:
    """The result and the codes of check 9."""
    ran = run("verify", *words, "--json")
    (result,) = json.loads(ran.out)
    return result, [check["code"] for check in result["checks"] if check["number"] == 9]


def test_the_stamp_in_a_file_that_was_saved_again_counts(
    stamped: Path, authority: Authority, run: Run, tmp_path: Path
) -> None:
    """qpdf keeps what is attached; nothing lies beside the file."""
    with pikepdf.open(stamped / "dossier.pdf") as opened:
        opened.attachments["note.txt"] = b"0123 is the byte 30 that a time-stamp begins with, too"
        opened.save(tmp_path / "again.pdf")
    result, codes = checks_of(run, tmp_path / "again.pdf", "--time-authority", authority.folder / "root.pem")
    assert result["overall"] == "altered" and codes == ["time-stamp-matches"]


def test_openssl_verifies_the_file_beside(stamped: Path, authority: Authority, tmp_path: Path) -> None:
    """What it is over is put together here from the plain JSON (FORMAT.md section 4), not by our code."""
    record = json.loads((stamped / "record.json").read_bytes())
    for signature in record["signatures"]:
        signature.pop("header", None)
    (tmp_path / "data").write_text(json.dumps(record, sort_keys=True, separators=(",", ":")))
    said = openssl(
        *("ts", "-verify", "-data", tmp_path / "data", "-in", stamped / "record.tsr"),
        *("-CAfile", authority.folder / "root.pem"),
    )
    assert b"Verification: OK" in said


def test_the_commands_in_the_format_are_enough(stamped: Path, authority: Authority, tmp_path: Path) -> None:
    """FORMAT.md section 4, run as they stand in a shell."""
    text = (Path(__file__).parents[2] / "schemas/FORMAT.md").read_text(encoding="utf-8")
    found = re.search(
        r"^    sed '[^\n]*record\.json > stamped\n    openssl ts -verify[^\n]*$", text, re.MULTILINE
    )
    assert found
    openssl("version")  # there, or the test is skipped
    for name in ("record.json", "record.tsr"):
        shutil.copy(stamped / name, tmp_path)
    shutil.copy(authority.folder / "root.pem", tmp_path / "root-of-the-authority.pem")
    done = subprocess.run(["sh", "-ec", found[0]], cwd=tmp_path, capture_output=True, check=False)
    assert b"Verification: OK" in done.stdout


def printed_commands(text: str) -> str:
    """The commands of the step on the time-stamp, as how-to-check.txt has them."""
    lines = text.splitlines()
    at = next(n for n, line in enumerate(lines) if "openssl ts -reply" in line)
    first = max(n for n in range(at) if not lines[n].startswith("    ")) + 1
    last = min(n for n in range(at, len(lines)) if not lines[n].startswith("    "))
    return "\n".join(line.strip() for line in lines[first:last])


def test_how_to_check_has_a_step_that_works(
    stamped: Path, output: Path, authority: Authority, run: Run, tmp_path: Path
) -> None:
    """Run as printed, by openssl and sed alone; a holder's copy has the step too, where a token is."""
    assert run("copy", stamped, "--to", tmp_path / "held").code == 0
    for folder in (stamped, tmp_path / "held"):
        place = tmp_path / f"run-{folder.name}"
        shutil.copytree(folder, place)
        shutil.copy(authority.folder / "root.pem", place / "authority.pem")
        command = printed_commands((place / "how-to-check.txt").read_text(encoding="utf-8"))
        done = subprocess.run(
            ["sh", "-e", "-c", command], cwd=place, capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, done.stderr
        assert "Verification: OK" in done.stdout + done.stderr
        assert "Time stamp:" in done.stdout
        record = place / "record.json"
        record.write_bytes(record.read_bytes().replace(b'"signature":"', b'"signature":"A', 1))
        done = subprocess.run(
            ["sh", "-e", "-c", command], cwd=place, capture_output=True, text=True, check=False
        )
        assert done.returncode != 0
        assert "how-to-differs" not in run("verify", folder, "--pages", "--json").out
    assert "openssl ts" not in (output / "how-to-check.txt").read_text(encoding="utf-8")
    assert "key-card.json" in (output / "how-to-check.txt").read_text(encoding="utf-8")


def test_the_pdf_carries_it_and_conforms(
    stamped: Path, assert_conforming: Callable[[bytes], None], run: Run
) -> None:
    pdf = (stamped / "dossier.pdf").read_bytes()
    assert_conforming(pdf)
    assert (stamped / "record.tsr").read_bytes() in pdf


def test_pyhanko_finds_the_signature_time_stamped(stamped: Path, authority: Authority) -> None:
    """PAdES baseline B-T by another validator (ETSI EN 319 142-1 section 6.3)."""
    root = asn1_x509.Certificate.load(authority.root.public_bytes(Encoding.DER))
    with (stamped / "dossier.pdf").open("rb") as file:
        (signature,) = PdfFileReader(file, strict=True).embedded_signatures
        status = validate_pdf_signature(
            signature, ts_validation_context=ValidationContext(trust_roots=[root], allow_fetching=False)
        )
    assert status.intact
    assert status.valid
    assert status.timestamp_validity is not None
    assert status.timestamp_validity.valid
    assert status.timestamp_validity.trusted


def test_the_check_says_by_when_it_was_signed(stamped: Path, authority: Authority, run: Run) -> None:
    root = authority.folder / "root.pem"
    today = NOW.date().isoformat()
    for file in ("dossier.pdf", "record.json", "record.sd-jwt", ""):
        result, codes = checks_of(run, stamped / file, "--time-authority", root)
        assert set(codes) == {"time-stamp-matches"}
        assert len(codes) == (2 if file in ("dossier.pdf", "") else 1)
        assert any(f"signed no later than {today}" in check["text"] for check in result["checks"])
        assert "current" not in json.dumps(result).replace("currently", "")
        _, codes = checks_of(run, stamped / file)
        assert set(codes) == {"time-stamp-authority-not-confirmed"}


def test_an_unconfirmed_authority_keeps_nothing_from_being_in_order(
    output: Path, stamped: Path, run: Run
) -> None:
    """Exit code as without a time-stamp; the trial key is why it is not 0."""
    assert run("verify", stamped).code == run("verify", output).code


def test_the_same_token_holds_for_every_copy(stamped: Path, output: Path, run: Run, tmp_path: Path) -> None:
    """A resale copy made by leaving out, without a key: what is stamped is the same bytes."""
    from dossier.seal import record  # noqa: PLC0415 - here alone

    sealed = form.from_json((stamped / "record.json").read_bytes())
    barer = record.leave_out(sealed, "resale")
    (tmp_path / "record.json").write_bytes(form.to_json(barer))
    shutil.copy(stamped / "record.tsr", tmp_path)
    assert form.to_json(barer) != form.to_json(sealed)
    assert checks_of(run, tmp_path / "record.json")[1] == ["time-stamp-authority-not-confirmed"]


def test_a_token_of_another_record(stamped: Path, output: Path, run: Run, tmp_path: Path) -> None:
    shutil.copy(output / "record.json", tmp_path)
    shutil.copy(stamped / "record.tsr", tmp_path)
    result, codes = checks_of(run, tmp_path / "record.json")
    assert codes == ["time-stamp-other"]
    assert result["overall"] == "altered"


def test_a_changed_token_beside_is_not_the_one_inside(stamped: Path, run: Run, tmp_path: Path) -> None:
    shutil.copytree(stamped, tmp_path / "x")
    data = bytearray((tmp_path / "x/record.tsr").read_bytes())
    data[-1] ^= 1
    (tmp_path / "x/record.tsr").write_bytes(data)
    result, _ = checks_of(run, tmp_path / "x")
    assert "file-beside-differs" in [check["code"] for check in result["checks"]]


@pytest.mark.parametrize("data", [b"", b"0", b"0\x80\0\0", b"\xff" * 70_000, b"<html>no</html>"])
def test_bytes_that_are_no_time_stamp(stamped: Path, run: Run, tmp_path: Path, data: bytes) -> None:
    shutil.copy(stamped / "record.json", tmp_path)
    (tmp_path / "record.tsr").write_bytes(data)
    assert checks_of(run, tmp_path / "record.json")[1] == ["time-stamp-shape"]


def test_nothing_is_asked_where_nobody_is_named(
    job: Path, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import socket  # noqa: PLC0415 - here alone

    def no_network(*_: object) -> None:
        raise AssertionError("a socket was opened")

    monkeypatch.setattr(socket.socket, "connect", no_network)
    ran = run("compile", job, "--to", tmp_path / "out")
    assert ran.code == 0
    assert "ime-stamp" not in ran.err
    assert not (tmp_path / "out/record.tsr").exists()


def replaced(answer: Callable[[bytes], bytes], old: bytes, new: bytes) -> Callable[[bytes], bytes]:
    return lambda query: answer(query).replace(old, new)


FAILURES: dict[str, str] = {
    "down": "cannot be reached",
    "slow": "no answer within 1 seconds",
    "dripping": "no answer within 1 seconds",  # never more than 0.2 s without a byte: said of the whole
    "huge": "far larger than a time-stamp",
    "garbage": "not in the one form",
    "error": "HTTP 500",
    "redirect": "HTTP 302",
    "other nonce": "another request than ours",
    "other imprint": "something other than this record",
    "wrong signature": "signature of the time-stamp does not hold",
    "run out": "was not valid at the time",
    "refuses": "refused",
}


def failing(authority: Authority, folder: Path) -> dict[str, AbstractContextManager[str]]:
    """A server for each way to go wrong."""
    from asn1crypto import tsp  # noqa: PLC0415 - here alone

    from dossier.seal import stamp  # noqa: PLC0415

    def wrong_signature(query: bytes) -> bytes:
        answer = bytearray(authority.answer(query))
        answer[-1] ^= 1
        return bytes(answer)

    def other_imprint(query: bytes) -> bytes:
        nonce = tsp.TimeStampReq.load(query)["nonce"].native
        return authority.answer(stamp.request(b"something else", nonce.to_bytes(16)))

    refusal = bytes.fromhex("30053003020102")  # PKIStatus 2, rejection
    return {
        "down": nullcontext("http://127.0.0.1:9/"),  # the discard port: nobody listens
        "slow": serving(authority.answer, wait=3),
        "dripping": serving(authority.answer, drip=True),
        "huge": serving(lambda _: bytes(200_000)),
        "garbage": serving(lambda _: b"<html>sorry</html>"),
        "error": serving(lambda _: b"", status=500),
        "redirect": serving(lambda _: b"", status=302),
        "other nonce": serving(lambda q: authority.answer(q[:-8] + bytes(5) + q[-3:])),
        "other imprint": serving(other_imprint),
        "wrong signature": serving(wrong_signature),
        "run out": serving(Authority(folder / "old", until=NOW - YEAR).answer),
        "refuses": serving(lambda _: refusal),
    }


def test_no_failure_stops_a_compile(
    job: Path, run: Run, authority: Authority, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All in one run: each is told with its server, and the next is asked."""
    monkeypatch.setattr(ask_time, "SECONDS", 1.0)
    with ExitStack() as opened:
        every = failing(authority, tmp_path)
        servers = {kind: opened.enter_context(server) for kind, server in every.items()}
        folder = with_servers(job, tmp_path / "shop", *servers.values())
        ran = run("compile", folder, "--to", tmp_path / "out", "--originals", "none")
    assert ran.code == 0, ran.err
    told = {
        kind: [line for line in ran.err.splitlines() if server in line] for kind, server in servers.items()
    }
    assert {kind: [FAILURES[kind] in line for line in lines] for kind, lines in told.items()} == {
        kind: [True] for kind in FAILURES
    }
    assert "No time-stamp over the record" in ran.err
    assert not (tmp_path / "out/record.tsr").exists()
    assert checks_of(run, tmp_path / "out/dossier.pdf")[1] == ["no-time-stamp"]


def test_the_next_server_is_asked(job: Path, run: Run, authority: Authority, tmp_path: Path) -> None:
    with serving(lambda _: b"no") as bad, serving(authority.answer) as good:
        folder = with_servers(job, tmp_path / "shop", bad, good)
        ran = run("compile", folder, "--to", tmp_path / "out", "--originals", "none")
    assert ran.err.count(f"time-stamp from {bad}") == 1  # for the pages it is not asked again
    assert "Time-stamp of Example Clock No. 1" in ran.err
    assert set(checks_of(run, tmp_path / "out")[1]) == {"time-stamp-authority-not-confirmed"}


@pytest.mark.parametrize("flips", [120, pytest.param(2500, marks=pytest.mark.campaign)])
def test_no_bit_of_a_time_stamped_signature_changes_unnoticed(stamped: Path, flips: int) -> None:
    """Seeded flips over all digits that the CMS takes in the PDF, its unsigned token included."""
    file = stamped / "dossier.pdf"
    sealed = form.from_json((stamped / "record.json").read_bytes())
    read = times.of_record(sealed, (stamped / "record.tsr").read_bytes(), (), Catalogue("en"))
    keys = json.loads(sealed.payload)["workshop"]["keys"]
    signature = read_dossier(file).signature
    assert signature is not None
    digest = hash_ranges(file, signature.ranges)

    def faulty(contents: bytes) -> bool:
        info = msgspec.structs.replace(signature, contents=contents)
        if pdf.check_pdf_signature(info, digest, keys).verdict != "matches":
            return True
        inside = pdf.time_stamp(info)
        answers = times.of_pages(*inside, read.certificates, (), Catalogue("en")) if inside else []
        return not answers or answers[0].code != "time-stamp-authority-not-confirmed"

    whole = bytes.fromhex(signature.contents.decode())
    used = len(whole.rstrip(b"\0"))
    assert used > 1500
    assert not faulty(signature.contents)
    seeded = random.Random(20261125)
    for at in seeded.sample(range(used * 8), flips):
        changed = bytearray(whole)
        changed[at // 8] ^= 1 << at % 8
        assert faulty(changed.hex().encode()), at


def test_a_record_that_is_finished_gets_its_time_stamp_later(
    output: Path, run: Run, authority: Authority, tmp_path: Path
) -> None:
    shutil.copytree(output, tmp_path / "done")
    before = tree(tmp_path / "done")
    with serving(authority.answer) as server:
        ran = run("stamp", tmp_path / "done", "--server", server)
        assert ran.code == 0, ran.err
        assert "Time-stamp of Example Clock No. 1" in ran.out
        after = tree(tmp_path / "done")
        assert after.keys() - before.keys() == {"record.tsr"}
        assert {name: after[name] for name in before} == before
        assert "already" in run("stamp", tmp_path / "done", "--server", server).out
        assert tree(tmp_path / "done") == after
    root = authority.folder / "root.pem"
    for file in ("", "record.json", "dossier.pdf"):
        assert checks_of(run, tmp_path / "done" / file, "--time-authority", root)[1] == ["time-stamp-matches"]


def test_stamping_says_what_it_lacks(output: Path, run: Run, tmp_path: Path) -> None:
    shutil.copy(output / "record.json", tmp_path)
    ran = run("stamp", tmp_path / "record.json")
    assert (ran.code, "no time-stamp server" in ran.err) == (64, True)
    ran = run("stamp", tmp_path / "record.json", "--server", "http://127.0.0.1:9/")
    assert (ran.code, "cannot be reached" in ran.err) == (1, True)
    data = (tmp_path / "record.json").read_bytes()
    (tmp_path / "record.json").write_bytes(data[:-40] + b"A" * 4 + data[-36:])
    ran = run("stamp", tmp_path / "record.json", "--server", "http://127.0.0.1:9/")
    assert (ran.code, "does not check" in ran.err) == (64, True)
    assert not (tmp_path / "record.tsr").exists()


def test_a_stamped_dossier_already_has_one(stamped: Path, run: Run, tmp_path: Path) -> None:
    shutil.copy(stamped / "dossier.pdf", tmp_path)
    ran = run("stamp", tmp_path / "dossier.pdf", "--server", "http://127.0.0.1:9/")
    assert (ran.code, "already" in ran.out) == (0, True)


def test_the_archive_keeps_it(stamped: Path, run: Run, tmp_path: Path) -> None:
    ran = run("archive", stamped, "--to", tmp_path / "archive", "--without-job")
    assert ran.code == 0, ran.err
    (kept,) = (tmp_path / "archive").rglob("record.tsr")
    assert kept.read_bytes() == (stamped / "record.tsr").read_bytes()
