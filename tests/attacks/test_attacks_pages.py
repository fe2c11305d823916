"""A page edited in all the ways there are, in the copy of a holder, whose file no signature covers.

Each edit must be named with its place: by the container's rules, or since the pages drawn again from the
record are others. Drawn once here; the folders of `tests/vectors/dossier` go through the whole check. What a
page is made of: ISO 32000-1, 7.7.3.3 (page), 8 and 9 (graphics, text), 12.3 (outline), 14.7 and 14.9
(structure, words for those who listen).
"""

from __future__ import annotations

import copy
import zlib
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from dossier.container import compare
from dossier.container.pictures import placed_pictures
from dossier.container.read import bytes_of, read_dossier
from dossier.container.values import Name, Ref
from dossier.errors import UnreadableError
from dossier.flows import dossier_files as files
from dossier.flows.verifying import drawable, pages_again
from dossier.model.record import shown_pictures
from dossier.pages import document
from dossier.seal import record as seal
from dossier.words import Catalogue

Edit = Callable[[Any, Any], None]


class Drawn(NamedTuple):
    """The pages as the check draws them, and how."""

    pages: bytes
    options: Any


@pytest.fixture(scope="session")
def drawn(made: Any) -> Drawn:
    sealed = seal.from_json((made.held / "record.json").read_bytes())
    checked = seal.check(sealed, Catalogue("en"), copy="owner")
    path = made.held / "dossier.pdf"
    found = next(a for a in read_dossier(path).attachments if a.name == files.PAGES)
    data = bytes_of(path, found)
    record = checked.record
    assert record is not None
    placed = placed_pictures(path)
    wanted = shown_pictures(record)
    pictures = {name: placed[digest] for name, digest in wanted.items()}
    options = pages_again.options_of(record, files.drawn_from(data), checked)
    return Drawn(document.draw(record, pictures, options), options)


# --- what is done to a file


def content(bench: Any, found: Any, page: int) -> tuple[list[Any], bytes]:
    stream = found.objects[bench.page(found, page)[Name("/Contents")].number]
    return stream, zlib.decompress(stream[1])


def instead(page: int, old: bytes, new: bytes) -> Edit:
    """Other content on a page: the first `old` there becomes `new`."""

    def edit(bench: Any, found: Any) -> None:
        stream, text = content(bench, found, page)
        assert old in text, text
        stream[1] = zlib.compress(text.replace(old, new, 1))

    return edit


def besides(page: int, more: bytes) -> Edit:
    return lambda bench, found: bench.say_besides(found, page, more)


def before_all(page: int, more: bytes) -> Edit:
    def edit(bench: Any, found: Any) -> None:
        stream, text = content(bench, found, page)
        stream[1] = zlib.compress(more + text)

    return edit


def on_page(page: int, **entries: Any) -> Edit:
    """Further entries of the page itself."""

    def edit(bench: Any, found: Any) -> None:
        bench.page(found, page).update({Name(f"/{key}"): value for key, value in entries.items()})

    return edit


def on_all_pages(**entries: Any) -> Edit:
    """What pages take over from the node above them."""

    def edit(_: Any, found: Any) -> None:
        node = found.objects[found.root[Name("/Pages")].number][0]
        node.update({Name(f"/{key}"): value for key, value in entries.items()})

    return edit


def on_catalogue(**entries: Any) -> Edit:
    return lambda _, found: found.root.update({Name(f"/{key}"): value for key, value in entries.items()})


def on_first(key: str, value: str, **entries: Any) -> Edit:
    """Other entries of the first object that is a `value`."""

    def edit(_: Any, found: Any) -> None:
        entry = found.objects[found.numbers(key, Name(value))[0]][0]
        entry.update({Name(f"/{name}"): said for name, said in entries.items()})

    return edit


def kids_of(found: Any) -> list[Ref]:
    kids: list[Ref] = found.objects[found.root[Name("/Pages")].number][0][Name("/Kids")]
    return kids


def pages_exchanged(_: Any, found: Any) -> None:
    kids = kids_of(found)
    kids[1], kids[2] = kids[2], kids[1]


def page_dropped(bench: Any, found: Any) -> None:
    bench.drop_page(found, 5)


def page_twice(bench: Any, found: Any) -> None:
    """Another page that is like the second one; what hangs on a page by its number stays with the first."""
    twin = copy.deepcopy(bench.page(found, 2))
    kids_of(found).insert(2, found.add(twin))
    found.objects[found.root[Name("/Pages")].number][0][Name("/Count")] += 1


def page_named_twice(_: Any, found: Any) -> None:
    kids_of(found).append(kids_of(found)[1])
    found.objects[found.root[Name("/Pages")].number][0][Name("/Count")] += 1


def second_content(bench: Any, found: Any) -> None:
    """A page whose content is an array of two streams."""
    page = bench.page(found, 2)
    more = found.add({}, b"1 1 1 rg 50 50 500 700 re f")
    page[Name("/Contents")] = [page[Name("/Contents")], more]


def see_through(bench: Any, found: Any) -> None:
    """Text is made invisible by a graphics state."""
    resources = bench.page(found, 2)[Name("/Resources")]
    resources[Name("/ExtGState")] = {Name("/Gs"): {Name("/ca"): 0, Name("/CA"): 0}}
    before_all(2, b"/Gs gs\n")(bench, found)


def form_over(bench: Any, found: Any) -> None:
    entries = {
        Name("/Type"): Name("/XObject"),
        Name("/Subtype"): Name("/Form"),
        Name("/BBox"): [0, 0, 600, 800],
    }
    bench.draw_besides(found, 2, found.add(entries, b"1 g 50 50 500 700 re f"))


def pictures_changed_over(bench: Any, found: Any) -> None:
    """The names under which a page draws two pictures are exchanged, each picture whole."""
    pictures = bench.page(found, 3)[Name("/Resources")][Name("/XObject")]
    pictures[Name("/Im2")], pictures[Name("/Im3")] = pictures[Name("/Im3")], pictures[Name("/Im2")]


def picture_of_another_page(bench: Any, found: Any) -> None:
    """The cover shows another of the record's pictures."""
    other = bench.page(found, 3)[Name("/Resources")][Name("/XObject")][Name("/Im3")]
    bench.page(found, 1)[Name("/Resources")][Name("/XObject")][Name("/Im1")] = other


def on_picture(**entries: Any) -> Edit:
    return on_first("/Subtype", "/Image", **entries)


def masked(_: Any, found: Any) -> None:
    """A picture that lets everything through: its bytes are those of the record."""
    mask = {
        Name("/Type"): Name("/XObject"),
        Name("/Subtype"): Name("/Image"),
        Name("/Width"): 1,
        Name("/Height"): 1,
        Name("/BitsPerComponent"): 8,
        Name("/ColorSpace"): Name("/DeviceGray"),
    }
    on_picture(SMask=found.add(mask, b"\0"))(_, found)


def fonts_exchanged(bench: Any, found: Any) -> None:
    fonts = bench.page(found, 2)[Name("/Resources")][Name("/Font")]
    fonts[Name("/Sans.0")], fonts[Name("/Serif.0")] = fonts[Name("/Serif.0")], fonts[Name("/Sans.0")]


def title_of_bookmark(_: Any, found: Any) -> None:
    entry = found.objects[found.objects[found.root[Name("/Outlines")].number][0][Name("/First")].number][0]
    entry[Name("/Title")] = b"all original"


def target_of_bookmark(_: Any, found: Any) -> None:
    entry = found.objects[found.objects[found.root[Name("/Outlines")].number][0][Name("/Last")].number][0]
    entry[Name("/Dest")][0] = kids_of(found)[0]


def elements_exchanged(_: Any, found: Any) -> None:
    """Read aloud in another order: the words of one heading under the other."""
    document_number = found.objects[found.root[Name("/StructTreeRoot")].number][0][Name("/K")][0].number
    spoken = found.objects[document_number][0][Name("/K")]
    spoken[22], spoken[24] = spoken[24], spoken[22]


def element_dropped(_: Any, found: Any) -> None:
    document_number = found.objects[found.root[Name("/StructTreeRoot")].number][0][Name("/K")][0].number
    del found.objects[document_number][0][Name("/K")][22]


def roles(_: Any, found: Any) -> None:
    root = found.objects[found.root[Name("/StructTreeRoot")].number][0]
    root[Name("/RoleMap")] = {Name("/TD"): Name("/Artifact")}


def parents_exchanged(_: Any, found: Any) -> None:
    tree = found.objects[found.root[Name("/StructTreeRoot")].number][0][Name("/ParentTree")]
    numbers = found.objects[tree.number][0][Name("/Nums")]
    numbers[3], numbers[5] = numbers[5], numbers[3]


def on_information(_: Any, found: Any) -> None:
    found.objects[found.trailer["/Info"].number][0][Name("/Title")] = b"all original"


def on_metadata(_: Any, found: Any) -> None:
    stream = found.objects[found.root[Name("/Metadata")].number]
    stream[1] = stream[1].replace(b"camp stool", b"old throne")


def colours(_: Any, found: Any) -> None:
    """Another profile for what colours mean."""
    intent = found.objects[found.root[Name("/OutputIntents")][0].number][0]
    intent[Name("/Info")] = b"another"


def described(_: Any, found: Any) -> None:
    """The words that a viewer shows beside an attachment."""
    found.objects[found.numbers("/UF", b"record.json")[0]][0][Name("/Desc")] = b"Certified: all original"


def attached_later(_: Any, found: Any) -> None:
    """The day that a viewer shows beside an attachment."""
    spec = found.objects[found.numbers("/UF", b"record.json")[0]][0]
    stream = found.objects[spec[Name("/EF")][Name("/F")].number][0]
    stream[Name("/Params")][Name("/ModDate")] = b"D:19990101000000Z"


def numbered(*_: Any) -> None:
    on_catalogue(PageLabels={Name("/Nums"): [0, {Name("/S"): Name("/r")}]})(*_)


def link_moved(_: Any, found: Any) -> None:
    link = found.objects[found.numbers("/Subtype", Name("/Link"))[0]][0]
    link[Name("/Rect")] = [Decimal("0.1"), Decimal("0.1"), Decimal("595.2"), Decimal("841.8")]


def link_said(_: Any, found: Any) -> None:
    found.objects[found.numbers("/Subtype", Name("/Link"))[0]][0][Name("/Contents")] = (
        b"https://other.example"
    )


HALF = [0, 400, Decimal("595.275591"), Decimal("841.889764")]
EDITS: dict[str, tuple[Edit, str]] = {
    "a word": (instead(1, b"(camp stool)", b"(old throne)"), "page 1"),
    "a word's place": (instead(2, b"1 0 0 1 62.3622 733.7197 cm", b"1 0 0 1 62.3622 333.7197 cm"), "page 2"),
    "white on white": (instead(2, b"0 0 0 rg", b"1 1 1 rg"), "page 2"),
    "no size": (instead(2, b"20 Tf", b"0 Tf"), "page 2"),
    "not painted": (before_all(2, b"3 Tr\n"), "page 2"),
    "stretched away": (before_all(2, b"0 Tz\n"), "page 2"),
    "clipped": (before_all(2, b"0 0 1 1 re W n\n"), "page 2"),
    "turned in place": (before_all(2, b"-1 0 0 -1 595 841 cm\n"), "page 2"),
    "covered": (besides(1, b"\n1 1 1 rg 60 390 440 330 re f"), "page 1"),
    "said besides": (besides(2, b"\nBT /Sans.0 9 Tf 60 60 Td (all original) Tj ET"), "page 2"),
    "read otherwise": (
        instead(2, b"/H1 <</MCID 0>>", b"/H1 <</ActualText (all original)/MCID 0>>"),
        "page 2",
    ),
    "not read": (instead(2, b"/H1 <</MCID 0>> BDC", b"/Artifact BMC"), "page 2"),
    "see through": (see_through, "page 2"),
    "second content": (second_content, "page 2"),
    "form over": (form_over, "page 2"),
    "group": (on_page(2, Group={Name("/S"): Name("/Transparency"), Name("/K"): True}), "page 2"),
    "rotated": (on_page(2, Rotate=180), "page 2"),
    "cropped": (on_page(2, CropBox=HALF), "page 2"),
    "other paper": (on_page(2, MediaBox=HALF), "page 2"),
    "other unit": (on_page(2, UserUnit=20), "page 2"),
    "shown for a second": (on_page(2, Dur=1), "page 2"),
    "rotated from above": (on_all_pages(Rotate=180), "page 2"),
    "cropped from above": (on_all_pages(CropBox=HALF), "page 7"),
    "pages exchanged": (pages_exchanged, "page 2"),
    "page dropped": (page_dropped, "pages"),
    "page twice": (page_twice, "pages"),
    "page named twice": (page_named_twice, "page-tree"),
    "pictures exchanged": (pictures_changed_over, "page 3"),
    "picture of another page": (picture_of_another_page, "page 1"),
    "picture inverted": (on_picture(Decode=[1, 0, 1, 0, 1, 0]), "page 1"),
    "picture masked": (masked, "page 1"),
    "picture's key colour": (on_picture(Mask=[0, 255, 0, 255, 0, 255]), "page 1"),
    "picture's colours": (on_picture(ColorSpace=Name("/DeviceGray")), "page 1"),
    "fonts exchanged": (fonts_exchanged, "page 2"),
    "font's widths": (on_first("/Type", "/Font", Widths=[0] * 91), "page 1"),
    "font's letters": (on_first("/Type", "/Font", Encoding=Name("/MacExpertEncoding")), "page 1"),
    "font's text": (lambda bench, found: bench.remap(found), "page 1"),
    "font's outlines": (lambda bench, found: bench.swap_glyphs(found), "page 1"),
    "title of a bookmark": (title_of_bookmark, "outline"),
    "target of a bookmark": (target_of_bookmark, "outline"),
    "words for a picture": (on_first("/S", "/Figure", Alt=b"all original"), "structure"),
    "words instead of a heading": (on_first("/S", "/H1", ActualText=b"all original"), "structure"),
    "words for short": (on_first("/S", "/H1", E=b"all original"), "structure"),
    "words as a title": (on_first("/S", "/H1", T=b"all original"), "structure"),
    "language of a cell": (on_first("/S", "/TD", Lang=b"tlh"), "structure"),
    "headings exchanged": (elements_exchanged, "structure"),
    "heading dropped": (element_dropped, "structure"),
    "roles": (roles, "structure"),
    "elements of pages exchanged": (parents_exchanged, "structure"),
    "title of the file": (on_information, "information"),
    "number of the file": (lambda bench, found: found.trailer.update({"/ID": [bytes(16)] * 2}), "identifier"),
    "title in the metadata": (on_metadata, "metadata"),
    "colours": (colours, "output intent"),
    "page numbers": (numbered, "catalogue"),
    "language": (on_catalogue(Lang=b"de"), "catalogue"),
    "how it opens": (on_catalogue(PageMode=Name("/UseNone"), PageLayout=Name("/TwoPageRight")), "catalogue"),
    "right to left": (on_catalogue(ViewerPreferences={Name("/Direction"): Name("/R2L")}), "catalogue"),
    "link moved": (link_moved, "page 6"),
    "link's words": (link_said, "page 6"),
    "words beside an attachment": (described, "words beside record.json"),
    "day of an attachment": (attached_later, "words beside record.json"),
}


def places(path: Path, drawn: Drawn) -> list[str]:
    """Where the check would say that it does not match: codes of the container, or places of the pages."""
    try:
        file = read_dossier(path)
        found = compare.compare_pages(path, drawn.pages)
    except UnreadableError as error:
        return [error.code]
    counts = ["pages"] if found.counts else []
    beside = pages_again.described_otherwise(file.attachments, drawn.options)
    return [
        *(one.code for one in file.findings),
        *(f"page {n}" for n in found.pages),
        *found.others,
        *beside,
        *counts,
    ]


def test_nothing_is_said_of_the_file_as_it_was(bench: Any, drawn: Drawn) -> None:
    assert places(bench.write(bench.held().whole()), drawn) == []


@pytest.mark.parametrize("name", EDITS)
def test_an_edit_is_found_with_its_place(name: str, bench: Any, drawn: Drawn) -> None:
    edit, place = EDITS[name]
    found = bench.held()
    edit(bench, found)
    assert place in places(bench.write(found.whole()), drawn)


@pytest.mark.parametrize(
    "bound", ["MOST_LETTERS", "MOST_ROWS", "LONGEST_TEXT", "LONGEST_LIST", "MOST_EFFORT"]
)
def test_a_record_too_large_to_draw_at_once_is_drawn_when_asked(
    bench: Any, monkeypatch: pytest.MonkeyPatch, bound: str
) -> None:
    """A stranger's record may be of any size up to the bounds of FORMAT.md section 2."""
    monkeypatch.setattr(drawable, bound, 2)
    path = bench.write(bench.held().whole())
    expected = ((False, "pages-not-drawn", "not confirmed"), (True, "pages-match", "in order"))
    for asked, code, overall in expected:
        result = bench.check(path, pages=asked)
        assert [one.code for one in result.checks if one.number == 7] == [code]
        assert result.overall == overall


@pytest.mark.parametrize(
    ("more", "is_large"),
    [
        ("x" * 50_000, False),
        ("x" * 50_001, True),  # a word that takes minutes to break
        (["x\n" * 1_000] * 6, False),
        (["x\n" * 1_000] * 8, True),  # lines fill hundreds of pages
        (["1"] * 10_000, False),
        (["1"] * 10_001, True),
        ([["1"]] * 7_000, False),
        ({"annotations": [[]] * 9_000}, False),  # not drawn
        ([{}] * 3_000 + [[{}] * 3_000] * 2, True),
        (["x" * 50_000] * 21, True),
        ("\u05d0" * 50_000, False),
        ("".join(map(chr, range(0x4E00, 0x4E00 + 4_900))), False),
        (
            "".join(map(chr, range(0x4E00, 0x4E00 + 5_100))),
            True,
        ),  # each is embedded: 38,000 took 64 s, 415 MB
        ("e\xad" * 2_200, False),
        ("e\xad" * 2_300, True),  # each place to break in one word is tried: some seconds
        (["e\xad" * 2_000] * 2, True),
        ("e\xade\xa0" * 1_200, True),  # nor does this space part words
        ([{"name": "x" * 900}] + [[]] * 5_000, False),
        ([{"name": "x" * 1_000}] + [[]] * 5_200, True),  # each row of work says who did it to what
        ([{"part": "x" * 1_000}] + [[]] * 5_200, True),
    ],
)
def test_what_takes_long_to_draw(bench: Any, more: Any, is_large: bool) -> None:
    opening = seal.check(bench.sealed(), Catalogue("en")).opening
    opening.plain["more"] = more
    assert drawable.is_large(opening) == is_large
