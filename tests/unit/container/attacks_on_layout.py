"""Files whose bytes deceive: tables, trailers, objects, later revisions, the place of the signature."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from typing import Any

from attack_kit import ATTACKS, attack, entries, pages_of
from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter

from dossier.container import layout
from dossier.container.values import Name
from dossier.model import signature_slot


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
def a_number_of_the_file_with_words_in_it(forgery: Any) -> bytes:
    forgery.trailer["/ID"] = [forgery.trailer["/ID"][0], b"A second account of what was done."]
    return forgery.whole()


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
    return first + new + layout.xref_table(offsets) + layout.trailer(len(offsets) + 1, 0, [b"x", b"y"], at)


@attack("object")
def a_line_feed_alone_after_a_carriage_return(forgery: Any) -> bytes:
    return _other_end(forgery, b"return.txt", b"\r\r\nendstream", b"\r\nendstream")


@attack("object")
def a_carriage_return_by_itself_with_a_line_feed_alone(forgery: Any) -> bytes:
    spec = forgery.objects[forgery.numbers("/F", b"empty.txt")[0]][0]
    number = spec[Name("/EF")][Name("/F")].number
    entries = forgery.objects[number][0]
    entries[Name("/Length")] = entries[Name("/Params")][Name("/Size")] = 1
    forgery.objects[number][1] = b"\r"
    whole = forgery.object_bytes(number)
    return bytes(forgery.whole({number: whole.replace(b"\r\r\nendstream", b"\r\nendstream")}))


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
