"""A copy made by a holder: it checks, holds nothing of what was left out, never passes for more than it is.

What is left out is searched for in every byte of every file, in every stream as pikepdf decodes it, and in
the text that pypdfium2 reads from the pages.
"""

from __future__ import annotations

import base64
import datetime as dt
import json
import re
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import msgspec
import pikepdf
import pypdfium2
import pytest
from results import result_of

from dossier.flows import dossier_files as files
from dossier.flows import holder_copy
from dossier.flows.compiling import writing
from dossier.pages import document
from dossier.pages.options import PageOptions
from dossier.seal import record as seal

Run = Callable[..., Any]
LEFT_OUT = ("Quillon", "Hidden Street", "555 0199", "480 EUR", "Zyxquorum", "Xyzzy", "private.jpg")


def codes(result: dict[str, Any]) -> dict[str, str]:
    return {check["code"]: check["verdict"] for check in result["checks"]}


@pytest.fixture(scope="module")
def owners(job: Path, run: Run, tmp_path_factory: pytest.TempPathFactory) -> Path:
    target = tmp_path_factory.mktemp("owner") / "dossier"
    assert run("compile", job, "--to", target, "--copy", "owner").code == 0
    return target


@pytest.fixture(scope="module")
def held(owners: Path, run: Run) -> Path:
    ran = run("copy", owners, "--for", "resale", "--without", "photo-001.jpg")
    assert ran.code == 0, ran.err
    assert "the owner" in ran.out
    return owners.with_name("dossier-resale")


def test_what_no_copy_can_be_made_of_is_said_with_what_can(owners: Path, run: Run, tmp_path: Path) -> None:
    for source in (owners / "record.json", tmp_path):
        ran = run("copy", source, "--to", tmp_path / "copy")
        assert (ran.code, str(source) in ran.err, "dossier.pdf), or" in ran.err) == (4, True, True)
        assert not (tmp_path / "copy").exists()


def test_no_copy_is_made_around_a_changed_picture(owners: Path, run: Run, tmp_path: Path) -> None:
    changed = tmp_path / "changed.pdf"
    data = bytearray((owners / "dossier.pdf").read_bytes())
    for found in re.finditer(rb"\xff\xda\x00\x0c\x03", data):  # pixels begin (ITU-T T.81, B.2.3)
        data[found.end() + 200] ^= 1
    changed.write_bytes(data)
    ran = run("copy", changed, "--to", tmp_path / "copy")
    assert (ran.code, "photo-" in ran.err) == (64, True)
    assert not (tmp_path / "copy").exists()


def disclosed(record: bytes) -> Iterator[bytes]:
    """The disclosures as what they say (base64url of JSON, RFC 9901 section 4.2)."""
    for signature in json.loads(record)["signatures"]:
        for text in signature.get("header", {}).get("disclosures", []):
            yield base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))


def everything(folder: Path) -> Iterator[bytes]:
    yield from disclosed((folder / "record.json").read_bytes())
    for path in sorted(folder.rglob("*")):
        if path.is_file():
            yield path.read_bytes()
            yield path.name.encode()
    for path in folder.glob("*.pdf"):
        with pikepdf.open(path) as pdf:
            for one in pdf.objects:
                if isinstance(one, pikepdf.Stream):
                    try:
                        yield one.read_bytes()
                    except pikepdf.PdfError:
                        yield one.read_raw_bytes()
        with pypdfium2.PdfDocument(path) as document:
            for page in document:
                yield page.get_textpage().get_text_range().encode()


def test_it_checks_and_says_who_made_it(held: Path, run: Run) -> None:
    result = result_of(run, held)
    assert result["overall"] == "not confirmed"  # a trial key
    found = codes(result)
    assert found["pages-by-holder"] == "not applicable"
    assert found["pages-match"] == "matches"
    assert found["disclosures-match"] == "matches"
    assert "2 photographs" in " ".join(result["not_in_copy"])  # the private one, and the one named
    assert (
        "Copy made by a holder"
        in pypdfium2.PdfDocument(held / "dossier.pdf")[0].get_textpage().get_text_range()
    )


def test_the_source_is_not_touched(owners: Path, held: Path, run: Run) -> None:
    assert held.exists()
    assert codes(result_of(run, owners))["pdf-signature-matches"] == "matches"


def test_nothing_that_was_left_out_is_anywhere(owners: Path, held: Path) -> None:
    whole = b"\n".join(everything(held))
    assert [word for word in LEFT_OUT if word.encode() in whole] == []
    # The search finds them where they are.
    there = b"\n".join(everything(owners))
    assert [word for word in LEFT_OUT if word.encode() not in there] == []


def test_it_conforms(held: Path, assert_conforming: Callable[..., None]) -> None:
    for name in ("dossier.pdf", "sheet.pdf", "card.pdf"):
        assert_conforming((held / name).read_bytes())


def test_a_copy_of_a_copy_leaves_out_more(held: Path, run: Run, tmp_path: Path) -> None:
    again = tmp_path / "again"
    assert run("copy", held / "dossier.pdf", "--without", "photo-003.jpg", "--to", again).code == 0
    assert "3 photographs" in " ".join(result_of(run, again)["not_in_copy"])


def test_a_page_edited_afterwards_is_named(held: Path, run: Run, tmp_path: Path) -> None:
    """The key of the workshop is not needed to write such a file, so what is read must be what was signed."""
    edited = tmp_path / "edited.pdf"
    with pikepdf.open(held / "dossier.pdf") as pdf:
        page = pdf.pages[1]
        content = page.Contents.read_bytes()
        at = content.index(b" Tf ")
        page.Contents = pdf.make_stream(content[:at] + b" Tf 3 Ts " + content[at + 4 :])
        pdf.save(edited)
    result = result_of(run, edited)
    assert result["overall"] in ("altered", "unreadable")


def test_a_signed_dossier_cannot_be_passed_off_as_a_holders_copy(
    owners: Path, run: Run, tmp_path: Path
) -> None:
    """Its signature off and another sentence on a page, under the name of another program version: the
    pages cannot be compared then, and the result does not pass them.
    """
    data = {name: (owners / name).read_bytes() for name in ("record.json", "certificate.pem")}
    sealed = seal.from_json(data["record.json"])
    record = seal.open_record(sealed, "owner")
    shutil.copytree(owners, tmp_path / "source")
    assert run("copy", tmp_path / "source", "--for", "owner", "--to", tmp_path / "made").code == 0
    with pikepdf.open(tmp_path / "made" / "dossier.pdf") as pdf:
        drawn = files.drawn_from(pdf.attachments["pages.json"].get_file().read_bytes())
    options = PageOptions(
        created=dt.datetime.fromtimestamp(record.payload.iat, dt.UTC),
        originals="none",
        trial_key=True,
        by_holder=True,
        code_text=drawn.code,
    )
    other = msgspec.structs.replace(record.payload, condition="As new.")
    pictures = holder_copy._pictures(owners / "dossier.pdf", record)
    pages = document.draw(msgspec.structs.replace(record, payload=other), pictures, options)
    texts = {
        "record.json": data["record.json"],
        "record.sd-jwt": seal.to_compact(sealed),
        "manifest.sha256": files.manifest(record),
        "certificate.pem": data["certificate.pem"],
        "how-to-check.txt": b"x",
    }
    for program, expected in ((drawn.program, "altered"), ("dossier 99.0", None)):
        said = files.drawn_bytes(msgspec.structs.replace(drawn, program=program, copy="owner"))
        attached = writing._attachments({**texts, "pages.json": said}, [], options.created, writing.WORDS)
        forged = tmp_path / "forged.pdf"
        writing.write_dossier(forged, pages, attached, None)
        result = result_of(run, forged)
        if expected:
            assert result["overall"] == expected
            assert "pages-differ" in codes(result)
        else:
            assert result["overall"] != "in order"
            assert "pages-differ" in codes(result) or codes(result)["pages-other-program"] == "could not tell"
            headline = run("verify", forged).out.splitlines()[2]
            assert "could not be told" in headline


def test_a_dossier_that_does_not_check_is_not_copied(owners: Path, run: Run, tmp_path: Path) -> None:
    data = bytearray((owners / "dossier.pdf").read_bytes())
    at = bytes(data).index(b'"signature":"') + 20
    data[at] = ord("A") if data[at] != ord("A") else ord("B")
    (tmp_path / "broken.pdf").write_bytes(data)
    ran = run("copy", tmp_path / "broken.pdf", "--to", tmp_path / "made")
    assert ran.code not in (0, 70)
    assert not (tmp_path / "made").exists()


def test_a_photograph_it_does_not_have_is_named(owners: Path, run: Run, tmp_path: Path) -> None:
    ran = run("copy", owners, "--without", "photo-999.jpg", "--to", tmp_path / "made")
    assert ran.code == 64
    assert "photo-999.jpg" in ran.err
