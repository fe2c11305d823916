"""Files made to deceive. Each is named by the code it must give; a code without one fails the last test.

The classes of attack on signed PDFs are those of the published surveys (universal forgery, incremental
saving, signature wrapping, shadow hide and replace): Mladenov et al., CCS 2019; Mainka et al., NDSS 2021.
"""

from __future__ import annotations

import io
import re
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter

from dossier.container import layout, said
from dossier.container.compare import compare_pages
from dossier.container.read import page_digests, read_dossier
from dossier.container.values import Name, Ref
from dossier.errors import UnreadableError
from dossier.model import signature_slot
from dossier.model.container import Limits

Attack = Callable[[Any], bytes]
ATTACKS: list[tuple[str, str, Attack]] = []


def attack(code: str) -> Callable[[Attack], Attack]:
    def keep(make: Attack) -> Attack:
        ATTACKS.append((code, make.__name__, make))
        return make

    return keep


def str_only(value: object) -> str:
    return value if isinstance(value, str) else "made"


def entries(**pairs: Any) -> dict[Name, Any]:
    return {Name("/" + key): value for key, value in pairs.items()}


def pages_of(forgery: Any) -> list[int]:
    return list(forgery.numbers("/Type", Name("/Page")))


def on_page(forgery: Any, annotation: dict[Name, Any], page: int = 1) -> None:
    ref = forgery.add({**entries(Type=Name("/Annot"), Rect=[0, 0, 600, 800]), **annotation})
    forgery.objects[pages_of(forgery)[page]][0].setdefault(Name("/Annots"), []).append(ref)


@attack("header")
def another_comment(forgery: Any) -> bytes:
    return forgery.whole().replace(b"\xe2\xe3\xcf\xd3", b"\xe2\xe3\xcf\xd4", 1)


@attack("xref")
def an_entry_that_points_elsewhere(forgery: Any) -> bytes:
    whole = forgery.whole()
    at = whole.rindex(b"xref\n0 ") + 60
    line = whole.index(b" 00000 n", at) - 1
    return whole[:line] + bytes((whole[line] ^ 1,)) + whole[line + 1 :]


@attack("xref")
def a_table_in_two_sections(forgery: Any) -> bytes:
    whole = forgery.whole()
    return re.sub(rb"xref\n0 (\d+)\n(.{20})", rb"xref\n0 1\n\2\n1 \1\n", whole, count=1, flags=re.DOTALL)


@attack("trailer")
def a_trailer_with_more_in_it(forgery: Any) -> bytes:
    forgery.trailer["/XRefStm"] = 15
    return forgery.whole()


@attack("trailer")
def another_root(forgery: Any) -> bytes:
    forgery.trailer["/Root"] = forgery.add(dict(forgery.root))
    return forgery.whole()


@attack("trailer")
def an_earlier_table(forgery: Any) -> bytes:
    forgery.trailer["/Prev"] = 15
    return forgery.whole()


@attack("bytes-after-end")
def bytes_after_the_end(forgery: Any) -> bytes:
    return forgery.whole() + b"%%EOF\n"


@attack("bytes-after-end")
def a_line_break_after_the_end(forgery: Any) -> bytes:
    return forgery.whole() + b"\n"


@attack("later-revision")
def a_page_changed_by_a_later_revision(forgery: Any) -> bytes:
    writer = IncrementalPdfFileWriter(io.BytesIO(forgery.whole()))
    page = writer.root["/Pages"]["/Kids"][1].get_object()
    page["/Contents"] = writer.add_object(generic.StreamObject(stream_data=b"0 0 500 500 re f"))
    writer.mark_update(writer.root["/Pages"]["/Kids"].raw_get(1))
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


@attack("later-revision")
def a_whole_new_table_at_the_end(forgery: Any) -> bytes:
    """Shadow replace: the table at the end leads to other objects and does not mention the first."""
    first = forgery.whole()
    offsets = [int(m) for m in re.findall(rb"(\d{10}) 00000 n", first)]
    page = pages_of(forgery)[0]
    offsets[page - 1] = len(first)
    new = forgery.object_bytes(page).replace(b"595", b"500")
    at = len(first) + len(new)
    return first + new + layout.xref_table(offsets) + layout.trailer(len(offsets) + 1, 1, 0, [b"x", b"y"], at)


@attack("object")
def a_line_feed_alone_after_a_carriage_return(forgery: Any) -> bytes:
    return _other_end(forgery, b"return.txt", b"\r\r\nendstream", b"\r\nendstream")


@attack("object")
def a_carriage_return_of_its_own_before_the_line_feed(forgery: Any) -> bytes:
    return _other_end(forgery, b"trap.txt", b"\n\nendstream", b"\n\r\nendstream")


def _other_end(forgery: Any, name: bytes, written: bytes, other: bytes) -> bytes:
    spec = forgery.objects[forgery.numbers("/F", name)[0]][0]
    number = spec[Name("/EF")][Name("/F")].number
    whole = forgery.object_bytes(number)
    assert whole.count(written) == 1
    return bytes(forgery.whole({number: whole.replace(written, other)}))


@attack("object")
def a_comment_in_an_object(forgery: Any) -> bytes:
    page = pages_of(forgery)[0]
    return forgery.whole({page: forgery.object_bytes(page).replace(b"\nendobj", b" %x\nendobj")})


@attack("object")
def keys_twice(forgery: Any) -> bytes:
    page = pages_of(forgery)[0]
    whole = forgery.object_bytes(page).replace(b"/MediaBox", b"/MediaBox [ 0 0 1 1 ] /MediaBox")
    return forgery.whole({page: whole})


@attack("object")
def an_object_hidden_after_another(forgery: Any) -> bytes:
    page = pages_of(forgery)[0]
    hidden = forgery.object_bytes(page).replace(b"842", b"841")
    return forgery.whole({page: forgery.object_bytes(page) + hidden})


@attack("object")
def an_object_with_another_number(forgery: Any) -> bytes:
    return forgery.whole({2: forgery.object_bytes(2).replace(b"2 0 obj", b"2 1 obj")})


@attack("object")
def values_nested_too_deep(forgery: Any) -> bytes:
    deep = b"[ " * 5000 + b"] " * 4999 + b"]"
    ref = forgery.add([])
    return forgery.whole({ref.number: layout.object_start(ref.number) + deep + layout.OBJECT_END})


@attack("object")
def a_stream_longer_than_it_says(forgery: Any) -> bytes:
    number = next(n for n, (_, stream) in forgery.objects.items() if stream)
    whole = forgery.object_bytes(number)
    return forgery.whole({number: whole.replace(b"\nstream\n", b"\nstream\n ")})


@attack("catalogue")
def an_entry_of_the_catalogue_that_is_not_ours(forgery: Any) -> bytes:
    forgery.root[Name("/SpiderInfo")] = {}
    return forgery.whole()


@attack("catalogue")
def a_catalogue_that_is_none(forgery: Any) -> bytes:
    forgery.objects[1][0] = {}
    return forgery.whole()


@attack("page-tree")
def a_page_tree_that_bites_its_tail(forgery: Any) -> bytes:
    top = forgery.numbers("/Type", Name("/Pages"))[0]
    forgery.objects[top][0][Name("/Kids")].append(Ref(top))
    return forgery.whole()


@attack("page-tree")
def a_page_tree_a_thousand_deep(forgery: Any) -> bytes:
    below = forgery.root[Name("/Pages")]
    for _ in range(1000):
        below = forgery.add(entries(Type=Name("/Pages"), Kids=[below], Count=3))
    forgery.root[Name("/Pages")] = below
    return forgery.whole()


@attack("page-tree")
def a_page_that_names_another_parent(forgery: Any) -> bytes:
    """What a page inherits (ISO 32000-1 7.7.3.4) is then one thing from above and another from below."""
    top = forgery.root[Name("/Pages")]
    clean = forgery.add(dict(forgery.objects[top.number][0]))
    for page in pages_of(forgery):
        forgery.objects[page][0][Name("/Parent")] = clean
    forgery.objects[top.number][0][Name("/CropBox")] = [0, 400, 595, 842]
    return forgery.whole()


@attack("page-tree")
def a_page_too_few_said(forgery: Any) -> bytes:
    top = forgery.numbers("/Type", Name("/Pages"))[0]
    forgery.objects[top][0][Name("/Count")] = 2
    return forgery.whole()


@attack("page-tree")
def kids_shared_by_all_their_parents(forgery: Any) -> bytes:
    kids = forgery.add([])
    first = len(forgery.objects)
    forgery.objects[kids.number][0] = [Ref(first + n) for n in range(400)]
    for _ in range(400):
        forgery.add(entries(Type=Name("/Pages"), Kids=kids, Count=1))
    forgery.root[Name("/Pages")] = Ref(first)
    return forgery.whole()


@attack("outline")
def bookmarks_in_a_ring(forgery: Any) -> bytes:
    top = forgery.numbers("/Type", Name("/Outlines"))[0]
    last = forgery.objects[top][0][Name("/Last")]
    forgery.objects[last.number][0][Name("/Next")] = forgery.objects[top][0][Name("/First")]
    return forgery.whole()


@attack("outline")
def bookmarks_without_end(forgery: Any) -> bytes:
    top = forgery.numbers("/Type", Name("/Outlines"))[0]
    forgery.objects[top][0][Name("/First")] = Ref(top)
    return forgery.whole()


@attack("script")
def a_script_in_a_link(forgery: Any) -> bytes:
    on_page(forgery, entries(Subtype=Name("/Link"), A=entries(S=Name("/JavaScript"), JS=b"app.alert(1)")))
    return forgery.whole()


@attack("script")
def a_script_by_name(forgery: Any) -> bytes:
    forgery.root[Name("/Names")][Name("/JavaScript")] = entries(Names=[b"x", entries(S=Name("/JavaScript"))])
    return forgery.whole()


@attack("action")
def an_action_on_opening(forgery: Any) -> bytes:
    forgery.root[Name("/OpenAction")] = entries(S=Name("/GoTo"))
    return forgery.whole()


@attack("action")
def a_program_to_launch(forgery: Any) -> bytes:
    on_page(forgery, entries(Subtype=Name("/Link"), A=entries(S=Name("/Launch"), F=b"calc.exe")))
    return forgery.whole()


@attack("action")
def a_link_to_a_file(forgery: Any) -> bytes:
    on_page(forgery, entries(Subtype=Name("/Link"), A=entries(S=Name("/URI"), URI=b"file:///etc/passwd")))
    return forgery.whole()


@attack("action")
def a_link_out_of_sight(forgery: Any) -> bytes:
    target = forgery.add(b"javascript:1")
    on_page(forgery, entries(Subtype=Name("/Link"), A=entries(S=Name("/URI"), URI=target)))
    return forgery.whole()


@attack("action")
def an_action_on_a_page(forgery: Any) -> bytes:
    forgery.objects[pages_of(forgery)[0]][0][Name("/AA")] = entries(O=entries(S=Name("/Named")))
    return forgery.whole()


@attack("annotation")
def a_picture_laid_over_a_page(forgery: Any) -> bytes:
    look = forgery.add(
        entries(Type=Name("/XObject"), Subtype=Name("/Form"), BBox=[0, 0, 9, 9]), b"0 0 9 9 re f"
    )
    on_page(forgery, entries(Subtype=Name("/Stamp"), AP=entries(N=look)))
    return forgery.whole()


@attack("annotation")
def a_field_laid_over_a_page(forgery: Any) -> bytes:
    on_page(forgery, entries(Subtype=Name("/Widget"), FT=Name("/Tx"), T=b"x", V=b"not altered"))
    return forgery.whole()


@attack("optional-content")
def content_that_can_be_hidden(forgery: Any) -> bytes:
    group = forgery.add(entries(Type=Name("/OCG"), Name=b"layer"))
    forgery.root[Name("/OCProperties")] = entries(OCGs=[group], D=entries(OFF=[group]))
    return forgery.whole()


@attack("form")
def a_second_form_in_the_form(forgery: Any) -> bytes:
    forgery.root[Name("/AcroForm")][Name("/XFA")] = forgery.add({}, b"<xdp/>")
    return forgery.whole()


@attack("form")
def a_second_field(forgery: Any) -> bytes:
    forgery.root[Name("/AcroForm")][Name("/Fields")].append(forgery.add(entries(FT=Name("/Tx"), T=b"x")))
    return forgery.whole()


@attack("active-content")
def a_film(forgery: Any) -> bytes:
    on_page(forgery, entries(Subtype=Name("/RichMedia"), RichMediaContent={}))
    return forgery.whole()


@attack("active-content")
def a_stream_in_another_file(forgery: Any) -> bytes:
    forgery.add(entries(F=b"http://example.org/page"), b"")
    return forgery.whole()


@attack("active-content")
def an_object_stream(forgery: Any) -> bytes:
    """Shadow hide: objects packed where a scan by bytes does not see them."""
    forgery.add(
        entries(Type=Name("/ObjStm"), N=1, First=4, Filter=Name("/FlateDecode")), zlib.compress(b"2 0 <<>>")
    )
    return forgery.whole()


@attack("attached-elsewhere")
def a_second_list_of_files(forgery: Any) -> bytes:
    forgery.objects[pages_of(forgery)[0]][0][Name("/AF")] = forgery.root[Name("/AF")][:1]
    return forgery.whole()


@attack("attachment-list")
def two_lists_that_differ(forgery: Any) -> bytes:
    forgery.root[Name("/AF")].reverse()
    return forgery.whole()


@attack("attachment-list")
def a_names_tree_without_end(forgery: Any) -> bytes:
    ring = forgery.add({})
    forgery.objects[ring.number][0] = entries(Kids=[ring], Limits=[b"a", b"z"])
    forgery.root[Name("/Names")][Name("/EmbeddedFiles")][Name("/Kids")] = [ring]
    return forgery.whole()


@attack("attachment-list")
def two_names_for_one_file(forgery: Any) -> bytes:
    spec = forgery.numbers("/F", b"record.json")[0]
    forgery.objects[spec][0][Name("/UF")] = b"other.json"
    return forgery.whole()


@attack("attachment-list")
def one_file_shown_and_another_kept(forgery: Any) -> bytes:
    spec = forgery.objects[forgery.numbers("/F", b"record.json")[0]][0]
    other = forgery.objects[forgery.numbers("/F", b"empty.txt")[0]][0]
    spec[Name("/EF")][Name("/UF")] = other[Name("/EF")][Name("/F")]
    return forgery.whole()


@attack("attachment-list")
def a_relationship_that_is_a_list(forgery: Any) -> bytes:
    forgery.objects[forgery.numbers("/F", b"record.json")[0]][0][Name("/AFRelationship")] = [[]]
    return forgery.whole()


@attack("attachment-list")
def a_file_of_another_type(forgery: Any) -> bytes:
    """ISO 32000-1 table 44: the type of a file specification, where there is one, is Filespec."""
    forgery.objects[forgery.numbers("/F", b"record.json")[0]][0][Name("/Type")] = Name("/Filesqec")
    return forgery.whole()


@attack("page-tree")
def a_type_that_is_a_dictionary(forgery: Any) -> bytes:
    forgery.objects[pages_of(forgery)[0]][0][Name("/Type")] = entries(Type=[])
    return forgery.whole()


@attack("attachment-list")
def a_packed_attachment(forgery: Any) -> bytes:
    stream = forgery.objects[forgery.numbers("/F", b"record.json")[0]][0][Name("/EF")][Name("/F")].number
    forgery.objects[stream][0][Name("/Filter")] = Name("/FlateDecode")
    return forgery.whole()


def renamed(forgery: Any, name: bytes) -> bytes:
    spec = forgery.objects[forgery.numbers("/F", b"empty.txt")[0]][0]
    spec[Name("/F")] = spec[Name("/UF")] = name
    pairs = forgery.root[Name("/Names")][Name("/EmbeddedFiles")][Name("/Names")]
    pairs[0] = name  # sorts first anyway
    return forgery.whole()


@attack("attachment-name")
def a_name_that_leads_out(forgery: Any) -> bytes:
    return renamed(forgery, b"../../.profile")


@attack("attachment-name")
def a_name_that_leads_to_the_top(forgery: Any) -> bytes:
    return renamed(forgery, b"/etc/passwd")


@attack("attachment-name")
def a_name_of_a_drive(forgery: Any) -> bytes:
    return renamed(forgery, b"C:\\x")


@attack("attachment-twice")
def two_files_of_one_name(forgery: Any) -> bytes:
    return renamed(forgery, b"RECORD.json")


@attack("attachment-stray")
def a_file_in_no_list(forgery: Any) -> bytes:
    forgery.add(layout.attached_entries("text/plain", 1, "D:20260101000000Z"), b"x")
    return forgery.whole()


@attack("attachment-stray")
def a_file_on_a_page(forgery: Any) -> bytes:
    stream = forgery.add(layout.attached_entries("text/plain", 1, "D:20260101000000Z"), b"x")
    spec = forgery.add(entries(Type=Name("/Filespec"), F=b"x", UF=b"x", EF=entries(F=stream)))
    on_page(forgery, entries(Subtype=Name("/FileAttachment"), FS=spec))
    return forgery.whole()


@attack("signature-field")
def a_field_that_points_nowhere(forgery: Any) -> bytes:
    number = forgery.numbers("/FT", Name("/Sig"))[0]
    del forgery.objects[number][0][Name("/V")]
    return forgery.whole()


@attack("signature-field")
def a_field_that_points_elsewhere(forgery: Any) -> bytes:
    number = forgery.numbers("/FT", Name("/Sig"))[0]
    forgery.objects[number][0][Name("/V")] = forgery.add({})
    return forgery.whole()


@attack("signature-dictionary")
def another_kind_of_signature(forgery: Any) -> bytes:
    slot = len(forgery.objects)
    forgery.objects[slot][0] = forgery.objects[slot][0].replace(
        b"ETSI.CAdES.detached", b"adbe.pkcs7.detached"
    )
    return forgery.whole()


@attack("second-signature")
def a_signature_elsewhere(forgery: Any) -> bytes:
    forgery.add(entries(Type=Name("/Sig"), ByteRange=[0, 1, 2, 3], Contents=b"\0"))
    return forgery.whole()


@attack("second-signature")
def two_slots(forgery: Any) -> bytes:
    forgery.add(forgery.objects[len(forgery.objects)][0])
    return forgery.whole()


def covered(forgery: Any, change: Callable[[tuple[int, ...]], tuple[int, ...]]) -> bytes:
    whole = forgery.whole()
    at = int(re.findall(rb"startxref\n(\d+)", whole)[-1]) - signature_slot.LENGTH
    info = signature_slot.read(whole[at : at + signature_slot.LENGTH])
    assert info is not None
    new = b"/ByteRange [%d %d %d %d]" % change(info.byte_range)
    start = whole.index(b"/ByteRange", at)
    return (
        whole[:start]
        + new.ljust(signature_slot.BYTE_RANGE_ROOM)
        + whole[start + signature_slot.BYTE_RANGE_ROOM :]
    )


USF: dict[str, Callable[[tuple[int, ...]], tuple[int, ...]]] = {
    "zeros": lambda r: (0, 0, 0, 0),
    "negative": lambda r: (0, r[1], r[2], -r[3]),
    "overlapping": lambda r: (0, r[1] + 100, r[2] - 100, r[3] + 100),
    "beyond": lambda r: (0, r[1], r[2], r[3] + 1),
    "short": lambda r: (0, r[1], r[2], r[3] - 1),
    "late": lambda r: (1, r[1] - 1, r[2], r[3]),
    "wide_gap": lambda r: (0, r[1] - 10, r[2], r[3]),
    "swapped": lambda r: (r[2], r[3], 0, r[1]),
}
for how, change in USF.items():
    ATTACKS.append(("byte-range", how, lambda forgery, change=change: covered(forgery, change)))


@pytest.mark.parametrize(("code", "name", "make"), ATTACKS, ids=str_only)
def test_attack_is_named(forgery: Any, tmp_path: Path, code: str, name: str, make: Attack) -> None:
    path = tmp_path / "attack.pdf"
    path.write_bytes(make(forgery))
    found = read_dossier(path)
    assert code in {finding.code for finding in found.findings}, found.findings


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
