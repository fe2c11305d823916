"""The commands of how-to-check.txt run, as printed, on the files of a real dossier.

They use sha256sum, openssl, pdfdetach (poppler) and xxd: none of ours. Each must pass on what is whole, and
must not on what was changed.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import os
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec
import pytest
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric import ed25519

from dossier.container.write import Attachment, write_dossier
from dossier.model.record import Apart, OpenApart, OpenRecord, PhotoDetails, Photograph, Unsealed
from dossier.model.rows import Contact
from dossier.pages import document, how_to_check
from dossier.pages.document import PageOptions
from dossier.seal import form, keys, pdf
from dossier.seal import record as seal
from dossier.words import Catalogue

NOW = dt.datetime(2026, 9, 21, 10, 30, tzinfo=dt.UTC)
TOOLS = ("sh", "sha256sum", "openssl", "pdfdetach", "xxd", "od", "awk")
WORDS = Catalogue("en")
needs_tools = pytest.mark.skipif(
    any(shutil.which(tool) is None for tool in TOOLS) and not os.environ.get("CI"),
    reason="the usual command-line tools are not all here",
)


class Made(msgspec.Struct):
    folder: Path
    record: OpenRecord
    options: PageOptions
    key: keys.WorkshopKey

    def run(self, step: str) -> subprocess.CompletedProcess[str]:
        command = how_to_check.commands(self.record)[step]
        return subprocess.run(
            ["sh", "-e", "-c", command],
            cwd=self.folder,
            capture_output=True,
            text=True,
            timeout=60,
            check=False,
        )

    def said(self, step: str) -> str:
        done = self.run(step)
        return done.stdout + done.stderr


def _unsealed(record: OpenRecord, key: keys.WorkshopKey) -> Unsealed:
    photograph = Photograph(
        name="photo-001.jpg", bytes=5, sha256=hashlib.sha256(b"photo").hexdigest(), media_type="image/jpeg"
    )
    shop = msgspec.structs.replace(record.payload.workshop, keys=(key.public,), signatures=(key.alg,))
    payload = msgspec.structs.replace(
        record.payload, workshop=shop, photographs=(photograph,), know_it_by=(), marks=(), apart=Apart()
    )
    return Unsealed(
        payload=payload,
        apart=OpenApart(owner=(Contact(name="Leonie Farrow"),)),
        photo_details=(PhotoDetails(name="photo-001.jpg", file="IMG_1.JPG"),),
    )


def make(folder: Path, record: OpenRecord, options: PageOptions, key: keys.WorkshopKey) -> Made:
    """A dossier as the flow writes it, with one photograph inside."""
    sealed = seal.seal(_unsealed(record, key), [key], lambda: os.urandom(16))
    opened = seal.open_record(sealed)
    assert key.certificate is not None
    texts = {
        "record.json": form.to_json(sealed),
        "record.sd-jwt": form.to_compact(sealed),
        "manifest.sha256": f"{hashlib.sha256(b'photo').hexdigest()}  photo-001.jpg\n".encode(),
        "certificate.pem": key.certificate.public_bytes(serialization.Encoding.PEM),
        "how-to-check.txt": how_to_check.text(opened, options).encode(),
        "photo-001.jpg": b"photo",
    }
    attachments = [
        Attachment(
            name=name, media_type="text/plain", relationship="Data", description=name,
            source=data, size=len(data), sha256=hashlib.sha256(data).hexdigest(), created=NOW,
        )
        for name, data in texts.items()
    ]  # fmt: skip
    sign: Callable[[Path, Any], None] | None = None
    if key.alg == "ES256":
        sign = lambda path, _: pdf.sign_pdf(path, key, when=NOW, name="n", reason="r")  # noqa: E731
    write_dossier(folder / "dossier.pdf", document.draw(opened, {}, options), attachments, sign)
    return Made(folder, opened, options, key)


@pytest.fixture
def p256(tmp_path: Path, rich_record: OpenRecord, page_options: Callable[..., PageOptions]) -> Made:
    key = keys.new_key("Birkner", now=NOW)
    options = page_options(code_text="", fingerprint=keys.fingerprint_words(key.kid), originals="inside")
    return make(tmp_path, rich_record, options, key)


@pytest.fixture
def edwards(tmp_path: Path, rich_record: OpenRecord, page_options: Callable[..., PageOptions]) -> Made:
    private = ed25519.Ed25519PrivateKey.generate()
    key = keys.WorkshopKey(private, keys.self_issued(private, "Birkner", now=NOW))
    options = page_options(code_text="", fingerprint=keys.fingerprint_words(key.kid))
    return make(tmp_path, rich_record, options, key)


def _check_record(made: Made, verified: str) -> None:
    assert made.run("get_out").returncode == 0
    assert "photo-001.jpg: OK" in made.said("photographs")
    assert verified in made.said("signature")
    assert made.record.digest in made.said("digest")
    lines = made.said("disclosures").splitlines()
    assert len(lines) == 3
    assert lines[0] == "in the record: photo-001.jpg"
    assert all(line.startswith("in the record") for line in lines)
    assert made.said("fingerprint").split() == made.options.fingerprint.split()


@needs_tools
def test_every_command_passes_on_a_whole_dossier(p256: Made) -> None:
    _check_record(p256, "Verified OK")
    done = p256.run("pdf")
    assert "successful" in (done.stdout + done.stderr).lower()
    last = done.stdout.split()
    assert last[-1] == last[-2]


@needs_tools
def test_every_command_passes_for_an_ed25519_key(edwards: Made) -> None:
    assert "pdf" not in how_to_check.commands(edwards.record)
    _check_record(edwards, "Verified Successfully")


@needs_tools
def test_photographs_that_lie_in_a_folder_of_their_own(p256: Made) -> None:
    """From the folder of the PDF, as every other step."""
    p256.run("get_out")
    (p256.folder / "photographs").mkdir()
    (p256.folder / "photo-001.jpg").rename(p256.folder / "photographs" / "photo-001.jpg")
    lines = how_to_check.commands(p256.record, beside=True)["photographs"]
    assert lines.strip() in how_to_check.text(
        p256.record, msgspec.structs.replace(p256.options, originals="beside")
    )
    done = subprocess.run(["sh", "-c", lines], cwd=p256.folder, capture_output=True, text=True, check=True)
    assert done.stdout == "photo-001.jpg: OK\n"


@needs_tools
def test_changes_are_noticed(p256: Made) -> None:
    p256.run("get_out")
    (p256.folder / "photo-001.jpg").write_bytes(b"phota")
    assert p256.run("photographs").returncode != 0
    record = (p256.folder / "record.sd-jwt").read_bytes()
    at = record.index(b".") + 40
    (p256.folder / "record.sd-jwt").write_bytes(record[:at] + bytes([record[at] ^ 1]) + record[at + 1 :])
    assert "Verified OK" not in p256.said("signature")
    assert p256.record.digest not in p256.said("digest")


@needs_tools
def test_a_forged_disclosure_is_noticed(p256: Made) -> None:
    p256.run("get_out")
    path = p256.folder / "record.sd-jwt"
    path.write_bytes(path.read_bytes() + b"WyJmb3JnZWQiXQ~")
    p256.run("signature")
    p256.run("digest")
    assert p256.said("disclosures").count("NOT IN THE RECORD") == 1


@needs_tools
def test_a_list_of_photographs_that_is_another_is_noticed(p256: Made) -> None:
    """It lies beside and its photographs fit it, which proves nothing: the record has their digests."""
    p256.run("get_out")
    p256.run("signature")
    p256.run("digest")
    (p256.folder / "photographs").mkdir(exist_ok=True)
    other = (p256.folder / "manifest.sha256").read_text().replace("  ", "0  ", 1)[1:]
    (p256.folder / "photographs" / "manifest.sha256").write_text(other)
    lines = p256.said("disclosures").splitlines()
    assert lines[:2] == ["in the record: photo-001.jpg", "NOT IN THE RECORD: photo-001.jpg"]


def test_a_second_signature_is_said_not_to_be_checked(p256: Made) -> None:
    keys = ({"alg": "ES256"}, {"alg": "ML-DSA-65"})
    shop = msgspec.structs.replace(p256.record.payload.workshop, keys=keys)
    payload = msgspec.structs.replace(p256.record.payload, workshop=shop)
    record = msgspec.structs.replace(p256.record, payload=payload)
    said = " ".join(how_to_check.text(record, p256.options).split())
    assert "These commands do not check it" in said
    assert "These commands do not check it" not in how_to_check.text(p256.record, p256.options)


@needs_tools
def test_a_changed_pdf_is_noticed(p256: Made) -> None:
    p256.run("get_out")
    path = p256.folder / "dossier.pdf"
    whole = path.read_bytes()
    path.write_bytes(whole[:2000] + bytes([whole[2000] ^ 1]) + whole[2001:])
    assert p256.run("pdf").returncode != 0
    path.write_bytes(whole + b"% added\n")
    last = p256.run("pdf").stdout.split()
    assert last[-1] != last[-2]


def test_the_text_carries_its_commands_and_what_to_compare(p256: Made) -> None:
    text = how_to_check.text(p256.record, p256.options)
    flat = " ".join(text.split())
    for command in how_to_check.commands(p256.record).values():
        assert " ".join(command.split()) in flat
    for said in (p256.record.digest, p256.options.fingerprint, p256.record.payload.record, "+44 1632 960014"):
        assert said in flat
    for key in ("object", "truth", "owner", "later"):
        assert WORDS.say(f"pages.checking.cannot_{key}") in flat
    words = [line for line in text.splitlines() if not line.startswith("    ")]
    assert max(len(line) for line in words if "http" not in line) <= 100


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", "gives {}: do not rely on that"),
        ("de", "steht {}: verlassen Sie sich nicht darauf"),
        ("fr", "indique {}\u00a0: ne vous y fiez pas"),
        ("es", "da {}: no se fíe de él"),
        ("it", "riporta {}: non farvi affidamento"),
        ("ja", "{} には頼らないでください"),
    ],
)
def test_the_number_given_here_is_said_not_to_be_relied_on(
    language: str, said: str, rich_record: OpenRecord, page_options: Callable[..., PageOptions]
) -> None:
    """Who forges a record writes their own number into it; without one, there is none to warn of."""
    options, telephone = page_options(language=language), rich_record.payload.workshop.telephone
    text = how_to_check.text(rich_record, options)
    step = Catalogue(language).say("pages.checking.step_3", telephone=telephone)
    for words in (text, step):
        assert "".join(said.format(telephone).split()) in "".join(words.split())
    shop = msgspec.structs.replace(rich_record.payload.workshop, telephone="")
    bare = msgspec.structs.replace(rich_record.payload, workshop=shop)
    text = how_to_check.text(msgspec.structs.replace(rich_record, payload=bare), options)
    assert Catalogue(language).say("pages.not_said") not in text
    assert "".join(said.split("{}")[1].split()) not in "".join(text.split())


def test_a_draft_and_a_trial_key_are_said(
    rich_record: OpenRecord, page_options: Callable[..., PageOptions]
) -> None:
    text = how_to_check.text(rich_record, page_options(draft=True, trial_key=True))
    flat = " ".join(text.split())
    assert WORDS.say("pages.checking.draft") in flat
    assert WORDS.say("pages.checking.trial") in flat
