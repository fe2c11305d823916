"""What was done to a signed dossier is found and said by name: which photograph, member or page."""

from __future__ import annotations

import base64
import errno
import hashlib
import json
import os
import random
import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from pyhanko.pdf_utils.generic import NameObject, NumberObject, StreamObject
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from results import result_of, wrong

Run = Callable[..., Any]


def test_any_byte_flipped_is_noticed(output: Path, run: Run, tmp_path: Path) -> None:
    """A seeded sample of single-bit flips over the whole file; the long campaign has its own marker."""
    data = (output / "dossier.pdf").read_bytes()
    rng = random.Random(20260314)
    target = tmp_path / "flipped.pdf"
    for at in sorted(rng.sample(range(len(data)), 10)):
        flipped = bytearray(data)
        flipped[at] ^= 1 << rng.randrange(8)
        target.write_bytes(flipped)
        assert result_of(run, target)["overall"] in ("altered", "unreadable"), f"byte {at}"


@pytest.mark.campaign
def test_any_byte_flipped_is_noticed_campaign(output: Path, run: Run, tmp_path: Path) -> None:
    data = (output / "dossier.pdf").read_bytes()
    rng = random.Random(1)
    target = tmp_path / "flipped.pdf"
    for _ in range(2_000):
        flipped = bytearray(data)
        at = rng.randrange(len(data))
        flipped[at] ^= 1 << rng.randrange(8)
        target.write_bytes(flipped)
        assert result_of(run, target)["overall"] in ("altered", "unreadable"), f"byte {at}"


def test_a_photograph_inside_swapped_is_named(inside: Path, run: Run, tmp_path: Path) -> None:
    data = bytearray(inside.read_bytes())
    with pikepdf.open(inside) as pdf:
        original = pdf.attachments["photo-002.jpg"].get_file().read_bytes()
    at = bytes(data).index(original)
    data[at + len(original) // 2] ^= 0xFF
    (tmp_path / "x.pdf").write_bytes(data)
    found = wrong(result_of(run, tmp_path / "x.pdf"))
    assert found["photograph-differs"] == ["photo-002.jpg"]
    assert "pdf-signature-digest" in found


def test_a_photograph_beside_swapped_is_named(output: Path, run: Run, tmp_path: Path) -> None:
    copy = shutil.copytree(output, tmp_path / "copy")
    shutil.copy(copy / "photographs" / "photo-001.jpg", copy / "photographs" / "photo-002.jpg")
    found = wrong(result_of(run, copy))
    assert found == {"photograph-differs": ["photo-002.jpg"]}
    os.truncate(copy / "photographs" / "photo-002.jpg", 1 << 42)  # holds nothing, and is not read for hours
    assert wrong(result_of(run, copy)) == found
    (copy / "photographs" / "photo-002.jpg").unlink()
    assert wrong(result_of(run, copy)) == {"photograph-missing": ["photo-002.jpg"]}


def test_of_a_file_by_itself_the_photographs_beside_are_pointed_to(
    output: Path, run: Run, tmp_path: Path
) -> None:
    """Whoever has the whole folder shall not take "not looked at" for "not there"."""

    def said(path: Path) -> list[str]:
        (found,) = json.loads(run("verify", path, "--json").out)
        (answer,) = (one for one in found["checks"] if one["code"] == "photographs-not-here")
        return list(answer["where"])

    (word,) = said(output / "dossier.pdf")
    assert '"photographs"' in word
    shutil.copy(output / "dossier.pdf", tmp_path / "alone.pdf")
    assert said(tmp_path / "alone.pdf") == []


def test_a_photograph_beside_that_cannot_be_opened_now_is_not_called_another(
    output: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It may be away in a cloud, and be fetched tomorrow."""
    digest = hashlib.file_digest

    def away(file: Any, name: str) -> Any:
        if Path(file.name).name == "photo-002.jpg":
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        return digest(file, name)

    monkeypatch.setattr(hashlib, "file_digest", away)
    ran = run("verify", output, "--json")
    (said,) = json.loads(ran.out)
    (answer,) = (one for one in said["checks"] if one["code"] == "photograph-unreadable")
    assert (answer["verdict"], answer["where"]) == ("could not tell", ["photo-002.jpg"])
    assert wrong(said) == {} and ran.code == 2
    assert "photographs-match" not in {one["code"] for one in said["checks"]}


def test_a_folder_of_photographs_that_cannot_be_opened_now_hides_nothing_else(
    output: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Neither listing it nor asking for a file in it is allowed; the PDF beside it can be checked."""

    def shut(of: Any) -> Any:
        def ask(path: Path, *given: Any, **more: Any) -> Any:
            if (path == output / "photographs" and of is iterdir) or path.parent == output / "photographs":
                raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
            return of(path, *given, **more)

        return ask

    iterdir, stat = Path.iterdir, Path.stat
    monkeypatch.setattr(Path, "iterdir", shut(iterdir))
    monkeypatch.setattr(Path, "stat", shut(stat))
    (said,) = json.loads(run("verify", output, "--json").out)
    found = {one["code"]: one["where"] for one in said["checks"]}
    assert len(found["photograph-unreadable"]) == 5 and "photographs-match" not in found
    assert "photographs/manifest.sha256" in found["file-beside-not-checked"]
    assert wrong(said) == {} and "signatures-match" in found


def test_a_folder_of_earlier_records_that_cannot_be_opened_hides_nothing_else(
    output: Path, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    copy, iterdir = Path(shutil.copytree(output, tmp_path / "copy")), Path.iterdir
    (copy / "earlier").mkdir()

    def shut(path: Path) -> Any:
        if path == copy / "earlier":
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        return iterdir(path)

    monkeypatch.setattr(Path, "iterdir", shut)
    said = result_of(run, copy)
    assert wrong(said) == {} and "signatures-match" in {one["code"] for one in said["checks"]}


def test_a_picture_on_a_page_changed_is_named(output: Path, run: Run, tmp_path: Path) -> None:
    data = bytearray((output / "dossier.pdf").read_bytes())
    start = next(m.start() for m in re.finditer(rb"\xff\xd8\xff\xe0", bytes(data)))
    data[start + 2000] ^= 1
    (tmp_path / "x.pdf").write_bytes(data)
    found = wrong(result_of(run, tmp_path / "x.pdf"))
    assert "pdf-signature-digest" in found
    assert len(found["picture-differs"]) == 1
    assert found["picture-differs"][0].startswith("photo-00")
    assert "pages-differ" not in found  # the pages stand as drawn around it: none is named that is right


def test_a_later_revision_that_changes_a_page_is_named(output: Path, run: Run, tmp_path: Path) -> None:
    """An incremental update by pyHanko, as any editor would save it, laying new words over page 3."""
    with (output / "dossier.pdf").open("rb") as file:
        writer = IncrementalPdfFileWriter(file)
        page_ref, _ = writer.find_page_for_modification(2)
        page = page_ref.get_object()
        stream = StreamObject(stream_data=b"BT /F1 30 Tf 100 500 Td (All original) Tj ET")
        page[NameObject("/Contents")] = writer.add_object(stream)
        writer.update_container(page)
        with (tmp_path / "x.pdf").open("wb") as target:
            writer.write(target)
    found = wrong(result_of(run, tmp_path / "x.pdf"))
    assert "page 3" in found["later-revision"]
    assert found.keys() == {"later-revision", "byte-range", "pdf-signature-of-part"}
    data = bytearray((tmp_path / "x.pdf").read_bytes())
    data[data.index(b"/StructTreeRoot")] ^= 1
    (tmp_path / "y.pdf").write_bytes(data)
    assert "pdf-signature-digest" in wrong(result_of(run, tmp_path / "y.pdf"))


def test_a_later_revision_that_cannot_be_read_for_certain_says_so(
    output: Path, run: Run, tmp_path: Path
) -> None:
    """A table may stand anywhere, in the bytes of an attachment too; the pages of it were not compared."""
    data = (output / "dossier.pdf").read_bytes()
    (tmp_path / "x.pdf").write_bytes(data + b"startxref\n200\n%%EOF\n")
    result = result_of(run, tmp_path / "x.pdf")
    (said,) = wrong(result)["later-revision"]
    assert "could not be told" in said
    (pages,) = [one for one in result["checks"] if one["number"] == 7]
    assert (pages["code"], pages["where"]) == ("pages-not-drawn", [said])


@pytest.mark.parametrize("name", ["record.json", "photo-003.jpg"])
def test_a_later_revision_that_exchanges_an_attachment_is_named(
    job: Path, run: Run, tmp_path: Path, name: str
) -> None:
    """The object as pyHanko writes it anew; who opens the file gets that one."""
    ran = run("compile", job, "--to", tmp_path / "out", "--originals", "inside")
    assert ran.code == 0, ran.err
    with (tmp_path / "out" / "dossier.pdf").open("rb") as file:
        writer = IncrementalPdfFileWriter(file)
        listed = writer.root["/Names"]["/EmbeddedFiles"]["/Names"]
        specs = {str(listed[n]): listed[n + 1] for n in range(0, len(listed), 2)}
        stream = specs[name].raw_get("/EF").raw_get("/F")
        other = StreamObject(stream.get_object(), stream_data=b"another")
        writer.objects[(stream.generation, stream.idnum)] = other
        writer.mark_update(stream)
        with (tmp_path / "x.pdf").open("wb") as target:
            writer.write(target)
    result = result_of(run, tmp_path / "x.pdf")
    assert name in wrong(result)["later-revision"]
    (said,) = [one["text"] for one in result["checks"] if one["code"] == "later-revision"]
    assert "as it was signed" in said


def test_a_later_revision_that_takes_a_page_out_says_so(output: Path, run: Run, tmp_path: Path) -> None:
    with (output / "dossier.pdf").open("rb") as file:
        writer = IncrementalPdfFileWriter(file)
        pages = writer.root["/Pages"]
        del pages["/Kids"][2]
        pages["/Count"] = NumberObject(len(pages["/Kids"]))
        writer.update_container(pages)
        with (tmp_path / "x.pdf").open("wb") as target:
            writer.write(target)
    assert "the list of pages" in wrong(result_of(run, tmp_path / "x.pdf"))["later-revision"]


@pytest.mark.parametrize("numbers", [b"0 -9 9 9", b"0 10 5 99999999999", b"5 1 2 3", b"0 0 0 0"])
def test_a_signature_over_other_stretches_is_found(
    output: Path, run: Run, tmp_path: Path, numbers: bytes
) -> None:
    data = (output / "dossier.pdf").read_bytes()
    old = re.search(rb"/ByteRange \[[0-9 ]+\] *", data)
    assert old is not None
    new = (b"/ByteRange [" + numbers + b"]").ljust(len(old[0]))
    (tmp_path / "x.pdf").write_bytes(data.replace(old[0], new))
    assert "byte-range" in wrong(result_of(run, tmp_path / "x.pdf"))


def test_a_record_swapped_for_another_is_found(output: Path, job: Path, run: Run, tmp_path: Path) -> None:
    """The record of another signing of the same job in place of the one beside."""
    assert run("compile", job, "--to", tmp_path / "other").code == 0
    copy = shutil.copytree(output, tmp_path / "copy")
    shutil.copy(tmp_path / "other" / "record.json", copy / "record.json")
    assert wrong(result_of(run, copy)) == {"file-beside-differs": ["record.json"]}


def test_a_member_of_the_record_changed_is_found(output: Path, run: Run, tmp_path: Path) -> None:
    record = json.loads((output / "record.json").read_bytes())
    payload = json.loads(base64.urlsafe_b64decode(record["payload"] + "=="))
    payload["condition"] = "As new."
    text = json.dumps(payload, separators=(",", ":"), sort_keys=True, ensure_ascii=False)
    record["payload"] = base64.urlsafe_b64encode(text.encode()).decode().rstrip("=")
    target = tmp_path / "record.json"
    target.write_text(json.dumps(record, separators=(",", ":"), sort_keys=True))
    assert "signature-wrong" in wrong(result_of(run, target))


def test_a_disclosure_changed_is_found(output: Path, run: Run, tmp_path: Path) -> None:
    head, *disclosures, end = (output / "record.sd-jwt").read_text().split("~")
    for at, one in enumerate(disclosures):
        text = base64.urlsafe_b64decode(one + "=" * (-len(one) % 4)).decode()
        if "Quillon" in text:
            other = base64.urlsafe_b64encode(text.replace("Quillon", "Quilton").encode()).decode().rstrip("=")
            disclosures[at] = other
    (tmp_path / "record.sd-jwt").write_text("~".join([head, *disclosures, end]))
    assert "disclosure-unreferenced" in wrong(result_of(run, tmp_path / "record.sd-jwt"))


@pytest.mark.parametrize(
    ("content", "name"),
    [
        (b"", "empty.pdf"),
        (b"%PDF-1.7\n" + b"[" * 100_000, "nested.pdf"),
        (b"{" * 100_000, "deep.json"),
        (b'{"a":1,"a":2}', "twice.json"),
        (b"\x89PNG\r\n\x1a\n" + b"\0" * 64, "broken.png"),
        (b"\xff\xd8\xff\xe0" + b"\0" * 64, "broken.jpg"),
        (b"GIF89a", "other.gif"),
        (b"https://check.example/r#AAAA", "code.txt"),
        (b"eyJ" + b"~" * 50_000, "tildes.sd-jwt"),
    ],
)
def test_what_cannot_be_read_is_said_so(run: Run, tmp_path: Path, content: bytes, name: str) -> None:
    (tmp_path / name).write_bytes(content)
    ran = run("verify", tmp_path / name)
    assert ran.code == 4, ran.out
    assert "Traceback" not in ran.out + ran.err


def test_a_truncated_dossier(output: Path, run: Run, tmp_path: Path) -> None:
    data = (output / "dossier.pdf").read_bytes()
    for length in (100, len(data) // 2, len(data) - 1, len(data) - 2000):
        (tmp_path / "x.pdf").write_bytes(data[:length])
        assert result_of(run, tmp_path / "x.pdf")["overall"] in ("altered", "unreadable")


def test_a_confirmed_key(job: Path, run: Run, tmp_path: Path) -> None:
    """A workshop's own key: not confirmed until its certificate, public key or digits are given."""
    shutil.copytree(job.parent, tmp_path / "ws")
    made = run("keys", "new", tmp_path / "ws" / "own", "--name", "Bench & Awl", "--no-passphrase")
    assert made.code == 0, made.err
    settings = tmp_path / "ws" / "workshop.toml"
    text = settings.read_text().replace("keys/trial-key.pem", "own/workshop-key.pem")
    settings.write_text(text.replace("keys/trial-certificate.pem", "own/workshop-certificate.pem"))
    assert run("compile", tmp_path / "ws" / "satchel", "--to", tmp_path / "out").code == 0
    assert result_of(run, tmp_path / "out")["overall"] == "not confirmed"
    digits = re.search(r"((?:\d{5} ){7}\d{5})", made.out)
    assert digits is not None
    for trust in (tmp_path / "ws" / "own" / "workshop-certificate.pem", digits[1]):
        ran = run("verify", tmp_path / "out", "--trust", trust)
        assert ran.code == 0, ran.out
    other = run("keys", "new", tmp_path / "other", "--name", "Other", "--no-passphrase")
    assert other.code == 0
    ran = run("verify", tmp_path / "out", "--trust", tmp_path / "other" / "workshop-certificate.pem")
    assert ran.code == 2


def test_a_photograph_under_another_name_is_told(output: Path, run: Run, tmp_path: Path) -> None:
    folder = shutil.copytree(output, tmp_path / "folder")
    one, other = sorted((folder / "photographs").glob("photo-*"))[:2]
    one.rename(one.with_name("my satchel.jpg"))
    found = wrong(result_of(run, folder))
    assert found["photograph-surplus"] == [f"my satchel.jpg, which is {one.name} under another name"]
    assert found["photograph-missing"] == [one.name]
    own = one.with_name("my satchel.jpg")
    own.write_bytes(own.read_bytes()[:-1] + b"x")
    (own.with_name("more.jpg")).write_bytes(other.read_bytes())
    assert wrong(result_of(run, folder))["photograph-surplus"] == ["more.jpg", "my satchel.jpg"]


@pytest.mark.parametrize("kind", ["link", "pipe", "folder", "all"])
def test_a_photograph_that_is_no_file_is_not_the_right_one(
    output: Path, run: Run, tmp_path: Path, pipe: Callable[[Path], None], kind: str
) -> None:
    """Links go through archives of files: with forged pictures behind them a dossier had been "in order"."""
    folder = shutil.copytree(output, tmp_path / "folder")
    photographs = folder / "photographs"
    names = sorted(one.name for one in photographs.glob("photo-*"))
    one = photographs / names[0]
    if kind == "all":
        photographs.rename(tmp_path / "real")
        photographs.symlink_to(tmp_path / "real")
    else:
        one.rename(tmp_path / "own.jpg")
        make = {"link": lambda: one.symlink_to(tmp_path / "own.jpg"), "pipe": lambda: pipe(one)}
        make.get(kind, one.mkdir)()
    result = result_of(run, folder)
    assert result["overall"] == "altered"
    why = "which is a link and was not followed" if kind in ("link", "all") else "which is no file"
    wanted = names if kind == "all" else names[:1]
    assert wrong(result)["photograph-differs"] == [f"{name}, {why}" for name in wanted]


def test_photographs_beside_are_looked_at_also_where_they_are_inside(
    job: Path, run: Run, tmp_path: Path
) -> None:
    """Whoever opens the folder sees those that lie there: forged ones had been "in order"."""
    assert run("compile", job, "--to", tmp_path / "out", "--originals", "inside").code == 0
    assert wrong(result_of(run, tmp_path / "out")) == {}
    (tmp_path / "out" / "photographs").mkdir()
    for name in ("photo-001.jpg", "more.jpg"):
        (tmp_path / "out" / "photographs" / name).write_bytes(b"forged")
    found = wrong(result_of(run, tmp_path / "out"))
    assert found == {"photograph-differs": ["photo-001.jpg"], "photograph-surplus": ["more.jpg"]}
    with pikepdf.open(tmp_path / "out" / "dossier.pdf", allow_overwriting_input=True) as pdf:
        pdf.save()
    found = wrong(result_of(run, tmp_path / "out"))
    assert found["photograph-differs"] == ["photo-001.jpg"]


@pytest.mark.parametrize("name", ["manifest.sha256", "Thumbs.db"])
def test_a_folder_by_the_name_of_a_file_that_is_passed_over_is_none(
    job: Path, run: Run, tmp_path: Path, name: str
) -> None:
    assert run("compile", job, "--to", tmp_path / "out", "--originals", "inside").code == 0
    (tmp_path / "out" / "photographs" / name).mkdir(parents=True)
    assert wrong(result_of(run, tmp_path / "out")) == {"photograph-surplus": [name]}
