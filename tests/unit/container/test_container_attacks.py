"""Files made to deceive. Each is named by the code it must give; a code without one fails the last test.

The classes of attack on signed PDFs are those of the published surveys (universal forgery, incremental
saving, signature wrapping, shadow hide and replace): Mladenov et al., CCS 2019; Mainka et al., NDSS 2021.
"""

from __future__ import annotations

import io
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import attacks_on_contents  # noqa: F401 - each puts itself into the list
import pikepdf
import pytest
from attack_kit import ATTACKS, Attack, entries, pages_of, str_only
from attacks_on_layout import a_page_changed_by_a_later_revision

from dossier.container import said
from dossier.container.compare import compare_pages
from dossier.container.read import page_digests, read_dossier
from dossier.container.values import Name
from dossier.errors import UnreadableError
from dossier.model.container import Limits


@pytest.mark.parametrize(("code", "name", "make"), ATTACKS, ids=str_only)
def test_attack_is_named(forgery: Any, tmp_path: Path, code: str, name: str, make: Attack) -> None:
    path = tmp_path / "attack.pdf"
    path.write_bytes(make(forgery))
    found = read_dossier(path)
    assert code in {finding.code for finding in found.findings}, found.findings
    assert {type(place) for finding in found.findings for place in finding.where} <= {str}


def test_the_forger_alone_gives_no_finding(forgery: Any, tmp_path: Path) -> None:
    path = tmp_path / "same.pdf"
    path.write_bytes(forgery.whole())
    assert read_dossier(path).findings == ()


def test_a_later_revision_is_not_read_and_its_page_is_named(forgery: Any, tmp_path: Path, maker: Any) -> None:
    path = tmp_path / "attack.pdf"
    path.write_bytes(a_page_changed_by_a_later_revision(forgery))
    found = read_dossier(path)
    assert found.changed_pages == (2,)
    assert found.revision_end < found.size
    assert {f.code for f in found.findings} == {"later-revision", "byte-range"}
    assert not compare_pages(path, maker.pages())


UNREADABLE: list[tuple[str, str, Callable[[bytes], bytes]]] = [
    ("not-pdf", "empty", lambda whole: b""),
    ("not-pdf", "a picture", lambda whole: b"\xff\xd8\xff\xe0" + bytes(100)),
    ("bytes-before", "an archive before it", lambda whole: b"PK\x03\x04" + whole),
    ("bytes-before", "a line break before it", lambda whole: b"\n" + whole),
    ("truncated", "half of it", lambda whole: whole[: len(whole) // 2]),
    ("truncated", "the head only", lambda whole: whole[:15]),
    (
        "encrypted",
        "as its trailer says",
        lambda whole: whole.replace(b"<< /ID [", b"<< /Encrypt 3 0 R /ID ["),
    ),
    ("encrypted", "by another program", lambda whole: saved(encryption=ENCRYPTED)),
    ("not-a-dossier", "by another program", lambda whole: saved()),
    ("not-a-dossier", "with an xref stream", lambda whole: saved(object_stream_mode=PACKED)),
]
ENCRYPTED = pikepdf.Encryption(owner="a", user="b")
PACKED = pikepdf.ObjectStreamMode.generate


def saved(**how: Any) -> bytes:
    out = io.BytesIO()
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        pdf.save(out, **how)
    return out.getvalue()


@pytest.mark.parametrize(("code", "name", "make"), UNREADABLE, ids=str_only)
def test_unreadable_is_said(
    signed: Path, tmp_path: Path, code: str, name: str, make: Callable[[bytes], bytes]
) -> None:
    path = tmp_path / "attack.pdf"
    path.write_bytes(make(signed.read_bytes()))
    with pytest.raises(UnreadableError) as raised:
        read_dossier(path)
    assert raised.value.code == code


def test_no_file(tmp_path: Path) -> None:
    for path in (tmp_path / "none.pdf", tmp_path):
        with pytest.raises(UnreadableError) as raised:
            read_dossier(path)
        assert raised.value.code == "no-file"


@pytest.mark.parametrize("limit", ["file_bytes", "objects", "structure_bytes", "pages", "attachments"])
def test_limits_hold(signed: Path, limit: str) -> None:
    with pytest.raises(UnreadableError) as raised:
        read_dossier(signed, Limits(**{limit: 2}))
    assert raised.value.code == "too-large"


def test_a_bomb_is_not_unpacked(forgery: Any, tmp_path: Path) -> None:
    page = forgery.objects[pages_of(forgery)[0]][0]
    content = forgery.objects[page[Name("/Contents")].number]
    content[1] = zlib.compress(bytes(200 << 20), 9)
    path = tmp_path / "bomb.pdf"
    path.write_bytes(forgery.whole())
    assert read_dossier(path).findings == ()  # nothing is unpacked for that
    with pytest.raises(UnreadableError) as raised:
        page_digests(path)
    assert raised.value.code == "stream-too-large"


def test_work_is_bounded_however_often_objects_are_shared(forgery: Any, tmp_path: Path) -> None:
    link = forgery.add(entries(Type=Name("/Annot"), Subtype=Name("/Link"), Rect=[0, 0, 1, 1]))
    shared = forgery.add([link] * 20_000)
    for page in pages_of(forgery):
        forgery.objects[page][0][Name("/Annots")] = shared
    path = tmp_path / "shared.pdf"
    path.write_bytes(forgery.whole())
    for look in (read_dossier, page_digests):
        with pytest.raises(UnreadableError) as raised:
            look(path, Limits(work_bytes=1 << 18))
        assert raised.value.code == "too-large"


def test_every_code_has_an_attack() -> None:
    assert {code for code, _, _ in ATTACKS} == set(said.FINDINGS)
    tested_alone = {"no-file", "too-large", "stream-too-large"}
    assert {code for code, _, _ in UNREADABLE} | tested_alone == set(said.UNREADABLE)
