"""From a job folder to a signed dossier, through the command, checked with other people's tools."""

from __future__ import annotations

import base64
import hashlib
import json
import os
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import bagit
import pypdfium2
import pytest
import zxingcpp
from joserfc import jws
from joserfc.jwk import ECKey
from jsonschema import Draft202012Validator
from jwcrypto.jwk import JWK
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import validate_pdf_signature
from sd_jwt.verifier import SDJWTVerifier

ROOT = Path(__file__).parents[2]
Run = Callable[..., Any]


def tool(name: str) -> str:
    """A program of Debian's; on a machine without it the test is skipped, on CI it must be there."""
    found = shutil.which(name)
    if found is None:
        if os.environ.get("CI"):
            pytest.fail(f"{name} is not installed")
        pytest.skip(f"{name} is not on this machine")
    return found


def payload_of(folder: Path) -> dict[str, Any]:
    text = json.loads((folder / "record.json").read_bytes())["payload"]
    plain: dict[str, Any] = json.loads(base64.urlsafe_b64decode(text + "=" * (-len(text) % 4)))
    return plain


def test_the_output_is_complete(output: Path) -> None:
    assert sorted(p.name for p in output.iterdir()) == [
        "card.pdf",
        "certificate.pem",
        "dossier.pdf",
        "how-to-check.txt",
        "photographs",
        "record.json",
        "record.sd-jwt",
        "sheet.jsonld",
        "sheet.pdf",
        "sheet.txt",
    ]


@pytest.mark.parametrize("name", ["dossier.pdf", "sheet.pdf", "card.pdf"])
def test_every_pdf_conforms(output: Path, name: str, assert_conforming: Callable[[bytes], None]) -> None:
    assert_conforming((output / name).read_bytes())


def test_a_dossier_with_originals_inside_conforms(
    inside: Path, assert_conforming: Callable[[bytes], None]
) -> None:
    assert_conforming(inside.read_bytes())


def test_the_signature_by_pyhanko(output: Path) -> None:
    """pyHanko, an independent PAdES validator: intact, valid, over the entire file."""
    with (output / "dossier.pdf").open("rb") as file:
        reader = PdfFileReader(file, strict=True)
        (signature,) = reader.embedded_signatures
        status = validate_pdf_signature(signature)
    assert status.intact
    assert status.valid
    assert status.coverage.name == "ENTIRE_FILE"


def test_the_signature_by_pdfsig(output: Path) -> None:
    """poppler's pdfsig."""
    done = subprocess.run(
        [tool("pdfsig"), "-nocert", str(output / "dossier.pdf")], capture_output=True, text=True, check=False
    )
    assert "Signature is Valid." in done.stdout
    assert "ETSI.CAdES.detached" in done.stdout
    assert "Total document signed" in done.stdout


def test_attachments_by_pdfdetach_and_sha256sum(inside: Path, output: Path, tmp_path: Path) -> None:
    """poppler's pdfdetach takes everything out, coreutils' sha256sum finds the photographs as recorded."""
    subprocess.run([tool("pdfdetach"), "-saveall", "-o", str(tmp_path), str(inside)], check=True)
    subprocess.run([tool("sha256sum"), "--strict", "-c", "manifest.sha256"], cwd=tmp_path, check=True)
    names = {p.name for p in tmp_path.iterdir()}
    assert {"record.json", "record.sd-jwt", "certificate.pem", "how-to-check.txt", "photo-001.jpg"} <= names


def test_the_manifest_beside_by_sha256sum(output: Path) -> None:
    subprocess.run(
        [tool("sha256sum"), "--strict", "-c", "manifest.sha256"], cwd=output / "photographs", check=True
    )


def test_the_record_by_independent_libraries(output: Path) -> None:
    """The sd-jwt package reads the compact form; joserfc verifies its signature; jsonschema the payload."""
    compact = (output / "record.sd-jwt").read_text().strip()
    header, payload, signature = compact.split("~")[0].split(".")
    key = payload_of(output)["workshop"]["keys"][0]
    verified = jws.deserialize_compact(f"{header}.{payload}.{signature}", ECKey.import_key(key), ["ES256"])
    schema = json.loads((ROOT / "schemas" / "record.schema.json").read_text())
    Draft202012Validator(schema).validate(json.loads(verified.payload))
    opened = SDJWTVerifier(compact, lambda *_: JWK(**key)).get_verified_payload()
    assert opened["apart"]["owner"] == [
        {
            "name": "Quillon Varnhagen",
            "address": "77 Hidden Street",
            "telephone": "+43 1 555 0199",
            "email": "quillon@owner.example",
        }
    ]


def test_the_code_on_the_page_by_an_independent_decoder(output: Path, run: Run) -> None:
    """zxing-cpp reads the code from the cover as pdfium draws it at 150 dpi; the program then checks it."""
    page = pypdfium2.PdfDocument(output / "dossier.pdf")[0]
    image = page.render(scale=150 / 72).to_pil()
    (code,) = zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormat.QRCode)
    assert code.text.startswith("https://check.example/r#")
    assert len(code.text) <= 450
    ran = run("verify", code.text)
    assert ran.code == 2
    assert "tool satchel" in ran.out
    assert "Nothing" in ran.out or "only the words in the code" in ran.out


def test_a_picture_of_the_code_is_checked(output: Path, run: Run, tmp_path: Path) -> None:
    page = pypdfium2.PdfDocument(output / "dossier.pdf")[0]
    page.render(scale=150 / 72).to_pil().save(tmp_path / "scan.png")
    ran = run("verify", tmp_path / "scan.png", "--json")
    (result,) = json.loads(ran.out)
    assert result["kind"] == "code"
    assert result["overall"] == "not confirmed"
    assert result["trial_key"]


def test_verify_says_trial_key(output: Path, run: Run) -> None:
    for file in (output, output / "dossier.pdf", output / "record.json", output / "record.sd-jwt"):
        ran = run("verify", file, "--json")
        (result,) = json.loads(ran.out)
        assert ran.code == 2, ran.out
        assert result["trial_key"]
        assert all(check["verdict"] != "does not match" for check in result["checks"])
        assert "proves nothing" in run("verify", file).out


def test_checks_come_in_the_documented_order(output: Path, run: Run) -> None:
    (result,) = json.loads(run("verify", output / "dossier.pdf", "--json").out)
    numbers = [check["number"] for check in result["checks"]]
    assert numbers == sorted(numbers)
    assert set(numbers) == set(range(1, 12))


def test_compiling_and_checking_never_write_the_job_folder(job: Path, run: Run, tmp_path: Path) -> None:
    def tree() -> dict[str, tuple[str, int]]:
        return {
            str(p): (hashlib.sha256(p.read_bytes()).hexdigest(), p.stat().st_mtime_ns)
            for p in sorted(job.rglob("*"))
            if p.is_file()
        }

    before = tree()
    assert run("check", job).code == 0
    assert run("compile", job, "--draft", "--to", tmp_path / "draft").code == 0
    assert run("compile", job, "--to", tmp_path / "out").code == 0
    for paper in ("slip", "labels", "receipt", "estimate"):
        assert run(paper, job, "--to", tmp_path / f"{paper}.pdf").code in (0, 64)  # 64: nothing lies apart
    assert run("photographs", job, "--to", tmp_path / "sheet.jpg").code == 0
    assert tree() == before


def test_proposals_alone_are_written_into_the_job_folder(job: Path, run: Run, tmp_path: Path) -> None:
    """README and the help of `photographs` name them."""
    copy = shutil.copytree(job.parent, tmp_path / "ws") / job.name
    before = {p: p.read_bytes() for p in copy.rglob("*") if p.is_file()}
    assert run("photographs", copy, "--propose").code == 0
    assert run("photographs", copy, "--measure").code == 0
    after = {p: p.read_bytes() for p in copy.rglob("*") if p.is_file()}
    written = {p.name for p in after.keys() - before.keys()}
    assert written <= {"photos.csv", "photos.proposed.csv", "measurements.proposed.csv"}
    assert before.items() <= after.items()


def test_a_draft_is_unsigned_and_marked_on_every_page(job: Path, run: Run, tmp_path: Path) -> None:
    assert run("compile", job, "--draft", "--to", tmp_path / "draft").code == 0
    assert [p.name for p in (tmp_path / "draft").iterdir()] == ["draft.pdf"]
    document = pypdfium2.PdfDocument(tmp_path / "draft" / "draft.pdf")
    for page in document:
        assert "draft" in page.get_textpage().get_text_bounded().lower()
    done = run("verify", tmp_path / "draft" / "draft.pdf")
    assert done.code == 4 and "a draft is not signed" in done.out


def test_a_failed_run_leaves_the_earlier_output_whole(
    job: Path, output: Path, run: Run, tmp_path: Path
) -> None:
    copy = tmp_path / "ws" / "satchel"
    shutil.copytree(job.parent, tmp_path / "ws")
    shutil.copytree(output, tmp_path / "out")
    before = {p.name: p.read_bytes() for p in (tmp_path / "out").iterdir() if p.is_file()}
    refused = run("compile", copy, "--to", tmp_path / "out")
    assert refused.code == 73
    assert "--replace" in refused.err
    (copy / "parts.csv").write_text("number,part\n1,\n1,body\n")
    failed = run("compile", copy, "--to", tmp_path / "out", "--replace")
    assert failed.code == 65
    assert "parts.csv:2" in failed.err
    assert {p.name: p.read_bytes() for p in (tmp_path / "out").iterdir() if p.is_file()} == before
    assert [p.name for p in tmp_path.iterdir() if p.name.startswith(".")] == []


@pytest.mark.parametrize("copy", ["owner", "resale", "insurer"])
def test_copies_still_check_and_hold_nothing_left_out(job: Path, run: Run, tmp_path: Path, copy: str) -> None:
    out = tmp_path / copy
    assert run("compile", job, "--to", out, "--copy", copy).code == 0
    (result,) = json.loads(run("verify", out, "--json").out)
    assert result["overall"] == "not confirmed"
    secrets = {
        "owner": [],
        "resale": ["Quillon", "Hidden Street", "555 0199", "480 EUR", "Zyxquorum", "Xyzzy", "private.jpg"],
        "insurer": ["Xyzzy", "private.jpg"],
    }[copy]
    everything = b"".join(p.read_bytes() for p in out.rglob("*") if p.is_file())
    text = "".join(
        page.get_textpage().get_text_bounded()
        for name in ("dossier.pdf", "sheet.pdf", "card.pdf")
        for page in pypdfium2.PdfDocument(out / name)
    )
    for secret in secrets:
        assert secret.encode() not in everything
        assert secret not in text
    if copy == "resale":
        assert "the owner" in result["not_in_copy"]


def test_archive_find_and_audit(job: Path, output: Path, run: Run, tmp_path: Path) -> None:
    shutil.copytree(job.parent, tmp_path / "ws")
    copy = tmp_path / "ws" / "satchel"
    archive = tmp_path / "archive"
    finished = shutil.copytree(output, tmp_path / "elsewhere")
    alone = run("archive", finished, "--to", archive)
    assert alone.code == 64
    assert "--job" in alone.err
    other = run("archive", finished, "--job", tmp_path / "nowhere", "--to", archive)
    assert (other.code, "nowhere: this is no job folder" in other.err) == (64, True)
    assert not archive.exists()
    ran = run("archive", finished, "--job", copy, "--to", archive)
    assert ran.code == 0, ran.err
    assert "own copy" not in ran.err
    again = run("archive", tmp_path / "nowhere", finished, "--to", archive)  # one that fails stops no other
    assert "already" in again.out and "nowhere" in again.err and again.code == 64
    (bag,) = (archive / "bags").iterdir()
    assert bagit.Bag(str(bag)).is_valid()
    assert (bag / "data" / "job" / "photos" / "before.jpg").read_bytes() == (
        copy / "photos" / "before.jpg"
    ).read_bytes()
    for word in ("satchel", "varnhagen", "2026-007"):
        assert "2026-007" in run("find", word, "--in", archive).out
    assert run("find", "piano", "--in", archive).code == 1
    (listed,) = json.loads(run("find", "satchel", "--in", archive, "--json").out)
    put_away = [path for path in (archive / "bags" / listed["bag"] / "data").rglob("*") if path.is_file()]
    assert listed["bytes"] == sum(path.stat().st_size for path in put_away)
    (archive / "catalogue.sqlite").unlink()
    assert "2026-007" in run("find", "satchel", "--in", archive).out
    assert run("archive", "--audit", "--to", archive).code == 0
    assert "trial key" in run("verify", bag).out
    assert run("copy", finished, "--for", "resale", "--to", tmp_path / "barer").code == 0
    barer = run("archive", tmp_path / "barer", "--without-job", "--to", tmp_path / "other")
    assert "the workshop's own copy" in barer.err and barer.code == 0
    (bag / "data" / "dossier" / "record.json").write_bytes(b"{}")
    (archive / "bags" / "no bag").mkdir()
    broken = run("archive", "--audit", "--to", archive)
    assert broken.code == 1
    assert "record.json" in broken.out and "no bag" in broken.out and broken.err == ""
    shutil.rmtree(bag)
    lost = run("archive", "--audit", "--to", archive)
    assert lost.code == 1 and bag.name in lost.out and "is not any more" in lost.out


def test_a_changed_job_is_not_put_away_as_the_one_compiled(
    job: Path, output: Path, run: Run, tmp_path: Path
) -> None:
    shutil.copytree(job.parent, tmp_path / "ws")
    copy = tmp_path / "ws" / "satchel"
    shutil.copytree(output, copy.parent / output.name)
    with (copy / "work.csv").open("a") as file:
        file.write("2026-03-30,AB,1,,cleaned,again,,,A1\n")
    ran = run("archive", copy, "--to", tmp_path / "archive")
    assert ran.code == 64
    assert "work.csv" in ran.err
