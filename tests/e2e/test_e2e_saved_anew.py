"""A dossier that another program saved again: what is said of its record, its code and its folder."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec
import pikepdf
import pytest
from results import result_of, wrong

from dossier.flows import dossier_files as files
from dossier.flows.verifying import saved_anew
from dossier.seal import record as seal

Run = Callable[..., Any]


def test_of_a_file_saved_anew_by_another_program_the_record_is_checked(
    output: Path, run: Run, tmp_path: Path
) -> None:
    """Without the signature, one page changed: its pages are vouched for by nobody, the record by itself."""
    with pikepdf.open(output / "dossier.pdf") as pdf:
        del pdf.Root.AcroForm.Fields[0]["/V"]
        page = pdf.pages[1]
        content = page.Contents.read_bytes()
        page.Contents = pdf.make_stream(content + b"\n")
        pdf.save(tmp_path / "x.pdf")
    result = result_of(run, tmp_path / "x.pdf")
    whole = result_of(run, output / "dossier.pdf")
    assert result["overall"] == "altered"
    assert wrong(result).keys() == {"saved-anew", "pages-signature-lost"}
    assert result["record"] == whole["record"] and result["digest"] == whole["digest"]
    codes = {one["code"] for one in result["checks"]}
    assert {"signatures-match", "disclosures-match", "manifest-matches", "pages-not-drawn"} <= codes
    assert not codes & {"pages-match", "pages-signed-with-record", "attachments-complete"}


@pytest.mark.parametrize("name", ["manifest.sha256", "record.sd-jwt"])
def test_what_was_exchanged_before_it_was_saved_anew_is_named(
    output: Path, run: Run, tmp_path: Path, name: str
) -> None:
    with pikepdf.open(output / "dossier.pdf") as pdf:
        file = pdf.attachments[name].obj.EF.F
        file.write(file.read_bytes().replace(b"e", b"f", 1))
        pdf.save(tmp_path / "x.pdf")
    found = wrong(result_of(run, tmp_path / "x.pdf"))
    assert found.keys() == {"saved-anew", "pages-signature-lost", "attachment-missing"}
    assert found["attachment-missing"] == [name]


def test_another_record_in_a_file_saved_anew_is_told_by_the_code_and_by_the_folder(
    job: Path, output: Path, run: Run, tmp_path: Path
) -> None:
    """Another signing of the same job: all its words are the same, and its photographs."""
    assert run("compile", job, "--to", tmp_path / "other").code == 0
    folder = shutil.copytree(output, tmp_path / "folder")
    with pikepdf.open(output / "dossier.pdf") as pdf:
        for name in ("record.json", "record.sd-jwt"):
            pdf.attachments[name].obj.EF.F.write((tmp_path / "other" / name).read_bytes())
        pdf.save(folder / "dossier.pdf")
    assert wrong(result_of(run, folder / "dossier.pdf"))["code-differs"] == ["pages.json"]
    found = wrong(result_of(run, folder))
    assert found["code-differs"] == ["pages.json"]
    assert found["file-beside-differs"] == ["record.json", "record.sd-jwt"]


def test_the_code_in_a_file_saved_anew_is_of_its_record_alone(output: Path, run: Run, tmp_path: Path) -> None:
    """None of it, one that is no code's, one that leads elsewhere, and two of which one was drawn."""
    with pikepdf.open(output / "dossier.pdf") as pdf:
        own = pdf.attachments["pages.json"].obj.EF.F.read_bytes()
    drawn = files.drawn_from(own)
    page = drawn.code.partition("#")[0]
    other_page = drawn.code.replace(page, "https://elsewhere.example/record")
    others = [msgspec.structs.replace(drawn, code=code) for code in (other_page, "https://a.example/#junk")]
    changes = {
        "attachment-missing": [None, b"{}"],
        "code-differs": [*map(files.drawn_bytes, others)],
    }
    for code, contents in changes.items():
        for content in contents:
            with pikepdf.open(output / "dossier.pdf") as pdf:
                if content is None:
                    del pdf.attachments["pages.json"]
                    pdf.remove_unreferenced_resources()
                else:
                    pdf.attachments["pages.json"].obj.EF.F.write(content)
                pdf.save(tmp_path / "x.pdf")
            assert wrong(result_of(run, tmp_path / "x.pdf"))[code] == ["pages.json"], content
    with pikepdf.open(output / "dossier.pdf") as pdf:
        pdf.attachments["again.json"] = files.drawn_bytes(
            msgspec.structs.replace(drawn, program="dossier 0.1, pages 1")
        )
        pdf.save(tmp_path / "x.pdf")
    assert "code-differs" in wrong(result_of(run, tmp_path / "x.pdf"))


def test_codes_without_end_in_a_file_saved_anew_are_not_all_compared(
    output: Path, run: Run, tmp_path: Path, monkeypatch: Any
) -> None:
    """Each comparison sums a whole account, and a file has room for thousands of codes."""
    compared: list[str] = []
    told = saved_anew.checks.is_code_of
    monkeypatch.setattr(
        saved_anew.checks, "is_code_of", lambda *given: bool(compared.append(given[0])) or told(*given)
    )
    with pikepdf.open(output / "dossier.pdf") as pdf:
        drawn = files.drawn_from(pdf.attachments["pages.json"].obj.EF.F.read_bytes())
        for number in range(50):
            again = msgspec.structs.replace(drawn, program=f"dossier {number}.0")
            pdf.attachments[f"p{number}.json"] = files.drawn_bytes(again)
        pdf.save(tmp_path / "x.pdf")
    assert "code-differs" in wrong(result_of(run, tmp_path / "x.pdf"))
    assert len(compared) <= 2


def test_a_record_of_a_file_saved_anew_can_be_spoken_of(output: Path, run: Run, tmp_path: Path) -> None:
    """Its record is the same one: a new job of the object can name it."""
    with pikepdf.open(output / "dossier.pdf") as pdf:
        pdf.save(tmp_path / "x.pdf")
    assert run("new", tmp_path / "again", "--from", tmp_path / "x.pdf").code == 0
    assert "satchel" in (tmp_path / "again" / "job.toml").read_text(encoding="utf-8")


def test_a_folder_whose_pdf_was_saved_anew(output: Path, run: Run, tmp_path: Path) -> None:
    folder = shutil.copytree(output, tmp_path / "folder")
    with pikepdf.open(output / "dossier.pdf") as pdf:
        pdf.save(folder / "dossier.pdf")
    result = result_of(run, folder)
    assert result["kind"] == "folder" and wrong(result).keys() == {"saved-anew", "pages-signature-lost"}
    assert "photographs-match" in {one["code"] for one in result["checks"]}
    one, other = sorted((folder / "photographs").glob("photo-*"))[:2]
    one.unlink()
    other.write_bytes(other.read_bytes() + b"x")
    shutil.copy(output / "record.json", folder / "photographs" / "photo-099.jpg")
    found = wrong(result_of(run, folder))
    assert found["photograph-missing"] == [one.name] and found["photograph-differs"] == [other.name]
    assert found["photograph-surplus"] == ["photo-099.jpg"]


@pytest.mark.parametrize(
    "name", ["certificate.pem", "how-to-check.txt", "record.sd-jwt", "photographs/manifest.sha256"]
)
def test_of_a_folder_whose_pdf_was_saved_anew_the_other_files_are_compared(
    output: Path, run: Run, tmp_path: Path, name: str
) -> None:
    folder = shutil.copytree(output, tmp_path / "folder")
    with pikepdf.open(output / "dossier.pdf") as pdf:
        pdf.save(folder / "dossier.pdf")
    with (folder / name).open("ab") as file:
        file.write(b"# more\n")
    (folder / "stranger.txt").write_text("All of it is original.", encoding="utf-8")
    result = result_of(run, folder)
    assert wrong(result)["file-beside-differs"] == [name]
    (others,) = [one["where"] for one in result["checks"] if one["code"] == "file-beside-not-checked"]
    assert "stranger.txt" in others


@pytest.mark.parametrize("make", [lambda path, own: path.symlink_to(own), lambda path, _: os.mkfifo(path)])
def test_links_and_pipes_beside_a_pdf_that_was_saved_anew_are_not_followed(
    output: Path, run: Run, tmp_path: Path, make: Any
) -> None:
    folder = shutil.copytree(output, tmp_path / "folder")
    with pikepdf.open(output / "dossier.pdf") as pdf:
        pdf.save(folder / "dossier.pdf")
    (folder / "record.json").unlink()
    make(folder / "record.json", output / "certificate.pem")
    result = result_of(run, folder)
    (differs,) = wrong(result)["file-beside-differs"]
    assert differs.startswith("record.json, which is ")
    assert "file-beside-missing" not in {one["code"] for one in result["checks"]}


def test_two_dossiers_in_one_file_are_no_dossier(output: Path, run: Run, tmp_path: Path) -> None:
    """As when PDFs are joined: which record the pages are of is not told apart. Nor is one with none."""
    with pikepdf.open(output / "dossier.pdf") as pdf:
        record = pdf.attachments["record.json"].obj.EF.F.read_bytes()
        sealed = seal.from_json(record)
        pdf.attachments["junk.json"] = b'{"payload":"junk"}'
        pdf.save(tmp_path / "one.pdf")
        pdf.attachments["other.json"] = seal.to_json(
            msgspec.structs.replace(sealed, disclosures=sealed.disclosures[1:])
        )
        pdf.save(tmp_path / "two.pdf")
        for name in list(pdf.attachments):
            del pdf.attachments[name]
        pdf.remove_unreferenced_resources()
        pdf.save(tmp_path / "none.pdf")
    assert result_of(run, tmp_path / "one.pdf")["overall"] == "altered"
    for name in ("two.pdf", "none.pdf"):
        result = result_of(run, tmp_path / name)
        assert result["overall"] == "unreadable"
        assert [one["code"] for one in result["checks"]] == ["not-a-dossier"]
