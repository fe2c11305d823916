"""Page breaks lose nothing and leave headings, captions and pictures where they belong."""

from __future__ import annotations

import hashlib
import io
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pdf_aloud
import pdf_checks
import pikepdf
import pypdfium2
import pytest

from dossier.errors import PictureError
from dossier.pages import fonts
from dossier.pages.tagging import (
    Bullets,
    Columns,
    DataTable,
    Document,
    Figure,
    Heading,
    Loose,
    NewPage,
    Picture,
    Space,
    Text,
    Together,
)
from dossier.pages.tagging.boxes import fill
from dossier.pages.tagging.pictures import Giving

Build = Callable[..., bytes]


def pages(pdf_bytes: bytes) -> list[str]:
    return [p.get_textpage().get_text_range() for p in pypdfium2.PdfDocument(pdf_bytes)]


def test_heading_is_never_last_on_a_page(build: Build, styles: Any) -> None:
    for height in range(600, 722, 4):
        story = [
            Space(height, keep=True),
            Heading("TITLE", 1, styles.heading),
            Text("BODY " * 60, styles.body),
        ]
        for page in pages(build(story)):
            assert ("TITLE" in page) <= ("BODY" in page), height


def test_heading_before_a_table_goes_with_its_first_row(build: Build, styles: Any) -> None:
    for height in range(660, 722, 3):
        table = DataTable(["COLUMN"], [["ROW"], ["ROW"]], [100], styles.look)
        for page in pages(build([Space(height, keep=True), Heading("TITLE", 1, styles.heading), table])):
            assert ("TITLE" in page) <= ("ROW" in page), height
            assert ("COLUMN" in page) <= ("ROW" in page), height


def test_heading_goes_with_a_first_row_that_is_nearly_a_page_high(build: Build, styles: Any) -> None:
    """With the heading above it, the row fits no page: it is broken, and the heading does not stand alone."""
    row = "<br/>".join(["ROW"] * 46)
    for before in (0, 300):
        table = DataTable(["COLUMN"], [[row], ["ROW"]], [100], styles.look)
        story = [Space(before, keep=True), Heading("TITLE", 1, styles.heading), table]
        made = pages(build(story))
        assert sum(page.count("ROW") for page in made) == 47
        for page in made:
            assert ("TITLE" in page) <= ("ROW" in page), before


def test_a_picture_is_made_smaller_rather_than_leave_its_heading_alone(
    build: Build, styles: Any, jpeg: Any
) -> None:
    picture = Picture(jpeg(), 400, 715, "High", "CAPTION", styles.small)
    made = pages(build([Heading("TITLE", 1, styles.heading), picture]))
    assert len(made) == 1
    assert "CAPTION" in made[0]


@pytest.mark.parametrize("count", [2, 3, 4, 7, 60])
def test_no_row_of_several_stands_alone_on_a_page(build: Build, styles: Any, count: int) -> None:
    for height in range(560, 720, 7):
        table = DataTable(["COLUMN"], [["ROW"]] * count, [100], styles.look)
        rows = [page.count("ROW") for page in pages(build([Space(height, keep=True), table]))]
        assert sum(rows) == count
        assert 1 not in rows, (height, rows)


def test_a_picture_gives_height_to_stay_with_its_words(build: Build, styles: Any, jpeg: Any) -> None:
    """Of 700 points 400 are used and 330 wanted: a picture of 300 gives 30; one that may not moves on."""
    for share, count in ((0.28, 1), (0.02, 2)):
        picture = Picture(jpeg(), 400, 300, "A ramp")
        story = [
            Space(400, keep=True),
            Text("BEFORE", styles.body),
            Giving([picture, Text("LEGEND", styles.body)], share, picture),
        ]
        made = pages(build(story))
        assert len(made) == count
        assert "LEGEND" in made[-1]


def test_a_picture_beside_a_table_gives_until_its_caption_fits(build: Build, styles: Any, jpeg: Any) -> None:
    """In columns, with a caption that needs more lines the smaller its picture is; a table gives nothing."""
    for rows, count in ((2, 1), (30, 2)):
        picture = Picture(jpeg(), 400, 300, "A ramp", "caption " * 30, styles.small)
        table = DataTable(["COLUMN"], [["ROW"]] * rows, [90], styles.look)
        both = Columns([[picture], [table]], [400, 90], 0)
        giving = Giving([both], 0.4, picture)
        assert len(pages(build([Space(430, keep=True), giving]))) == count
        assert (picture.figure.height < 300) == (count == 1)
        assert giving.wrap(490, 0)[1] <= 700


def test_pictures_of_unequal_height_give_until_the_longest_caption_fits(styles: Any, jpeg: Any) -> None:
    """The lower one has the longer words, so that what the highest gives is not yet enough."""
    for room in range(90, 140):
        tall = Picture(jpeg(), 120, 125, "A ramp", "one line", styles.small)
        low = Picture(jpeg(), 120, 115, "A ramp", "words " * 40, styles.small)
        row = Giving([Columns([[tall], [low]], [150, 150], 10)], 0.6, tall, low)
        whole = row.wrap(310, 0)[1]
        first, rest = row.cut(310, whole - 140 + room, force=False)
        assert (first, rest) == (row, None)
        assert row.wrap(310, 0)[1] <= whole - 140 + room
        assert whole - 140 + room - row.wrap(310, 0)[1] < 2, "more was given than asked"


def test_the_arrangement_that_is_not_drawn_is_not_read(build: Build, styles: Any, jpeg: Any) -> None:
    """With a table and a list in it, whose cells and bodies stay where others of theirs say something."""
    for room, drawn in ((200, "LOWER"), (400, "HIGHER")):
        picture = Picture(jpeg(), 100, 100, "A ramp", "", styles.small)
        less = Picture(jpeg(), 100, 100, "A ramp", "", styles.small)
        said = [
            [
                DataTable(["HEAD", ""], [[word, ""], ["", ""]], [90, 90], styles.look),
                Bullets([word], styles.body),
            ]
            for word in ("HIGHER", "LOWER")
        ]
        lower = Giving([Columns([[less], said[1]], [120, 190], 10)], 0.1, less)
        giving = Giving([picture, Space(100, keep=True), *said[0]], 0.1, picture, lower=lower)
        made = build([Space(700 - room, keep=True), giving])
        with pikepdf.open(io.BytesIO(made)) as pdf:
            kinds = [str(element.S) for element in pdf_checks.every_element(pdf.Root.StructTreeRoot)]
        assert drawn in pages(made)[0]
        assert (kinds.count("/Table"), kinds.count("/L")) == (1, 1), drawn
        assert kinds.count("/TR") == 3, "a row without a word stays in its grid"


def test_of_two_spaces_that_meet_the_larger_stands() -> None:
    def height(*spaces: Space) -> float:
        return fill([Space(50, keep=True), *spaces, Space(10, keep=True)], 100, 500).height

    assert height(Space(9), Space(25)) == height(Space(25), Space(9)) == height(Space(25)) == 85
    assert height(Space(9, keep=True), Space(25)) == 94


def test_a_caption_is_no_wider_than_its_picture(build: Build, styles: Any, jpeg: Any) -> None:
    """Lines under a narrow picture end where 55 letters of small print do."""
    for width, longest in ((260, 260), (90, 200)):
        picture = Picture(jpeg(), width, width * 0.75, "A ramp", "caption " * 40, styles.small)
        picture.wrap(475, 700)
        assert picture.width == longest


def test_together_moves_to_the_next_page(build: Build, styles: Any) -> None:
    words = [Text(f"line {n}", styles.body) for n in range(10)]
    first, second = pages(build([Space(650, keep=True), Together(words)]))
    assert "line" not in first
    assert all(f"line {n}" in second for n in range(10))


@pytest.mark.parametrize(("used", "parted"), [(480, True), (600, False), (135, True)])
def test_what_is_loosely_together_is_parted_only_where_much_would_stay_empty(
    build: Build, styles: Any, used: int, parted: bool
) -> None:
    """Of 722 points: 242 are much, 122 are not; of 587 one line would be left: more goes along."""
    words = [Text(f"line {n}", styles.body) for n in range(30)]  # 20 points each, with what is between
    loose = Loose(words, 200, 40, lambda: Text("AGAIN", styles.body))
    made = build([Text("BEFORE", styles.body), Space(used, keep=True), loose])
    counts = [page.count("line") for page in pages(made)]
    assert sum(counts) == 30
    assert all(counts) == parted
    assert ("AGAIN" in pages(made)[-1]) == parted
    assert not any("AGAIN" in text for _, text in pdf_aloud.structure_text(made))
    assert pdf_checks.faults(made, profiles=()) == []


def test_no_picture_is_left_over_without_words_beside_it(styles: Any, jpeg: Any) -> None:
    for height in range(100, 400, 3):
        words: list[Any] = [Text(f"line {n}", styles.body) for n in range(14)]
        pictures = [Picture(jpeg(), 120, 90, "A ramp"), Space(40), Picture(jpeg(), 120, 90, "A ramp")]
        loose = Loose([Columns([words, pictures], [200, 120], 10)], 90, 60, lambda: Text("A", styles.body))
        first, rest = loose.cut(330, height, force=False)
        if first and rest:
            [beside] = rest.items[1:]
            assert len(beside.cells[0].items) > 1


def test_together_longer_than_a_page_is_broken(build: Build, styles: Any) -> None:
    words = [Text(f"line {n}.", styles.body) for n in range(90)]
    pdf = build([Together(words)])
    assert [text for _, text in pdf_aloud.structure_text(pdf)] == [f"line {n}." for n in range(90)]
    assert len(pages(pdf)) == 3


def test_caption_stays_with_its_picture(build: Build, styles: Any, jpeg: Any) -> None:
    for height in range(560, 640, 7):
        picture = Picture(jpeg(), 100, 75, "A ramp", "CAPTION " * 5, styles.small)
        made = build([Space(height, keep=True), picture])
        with pikepdf.open(io.BytesIO(made)) as pdf:
            shown = [bool(page.Resources.get("/XObject")) for page in pdf.pages]
        assert shown == ["CAPTION" in page for page in pages(made)]


def test_picture_higher_than_a_page_is_made_smaller(
    build: Build, styles: Any, jpeg: Any, assert_conforming: Any
) -> None:
    data = jpeg()
    story = [
        Picture(data, 400, 2000, "High", "Caption", styles.small),
        Columns([[Picture(data, 100, 900, "In a column")], [Text("x", styles.body)]], [200, 200], 10),
        Figure(lambda c, w, h: c.rect(0, 0, w, h), 900, 90, "Wide"),
    ]
    pdf = build(story)
    assert_conforming(pdf)
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        for element in pdf_checks.every_element(opened.Root.StructTreeRoot):
            if element.S == "/Figure":
                x0, y0, x1, y1 = (float(v) for v in pdf_checks.attributes(element)["/BBox"])
                assert 59 < x0 < x1 < 536
                assert 59 < y0 < y1 < 782.5


def test_new_pages_make_no_empty_ones(build: Build, styles: Any) -> None:
    story = [
        NewPage(),
        Text("a", styles.body),
        NewPage(),
        NewPage(),
        Text("b", styles.body),
        Space(9),
        NewPage(),
    ]
    assert len(pages(build(story))) == 2


def test_empty_story_is_one_empty_page(build: Build, assert_conforming: Any) -> None:
    pdf = build([])
    assert_conforming(pdf)
    assert len(pages(pdf)) == 1


def test_letter_paper(build: Build, styles: Any, assert_conforming: Any) -> None:
    pdf = build([Text("x " * 3000, styles.body)], page_size=(612, 792))
    assert_conforming(pdf)


def test_jpegs_stand_once_and_unchanged(build: Build, jpeg: Any, assert_conforming: Any) -> None:
    colour, grey = jpeg(quality=90, progressive=True), jpeg("L")
    story = [Picture(data, 40, 30, "A ramp") for data in (colour, grey, colour, colour)]
    pdf = build([*story, NewPage(), Picture(colour, 40, 30, "Again")])
    assert_conforming(pdf)
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        images = [
            o for o in opened.objects if isinstance(o, pikepdf.Stream) and o.get("/Subtype") == "/Image"
        ]
        assert {o.read_raw_bytes() for o in images} == {colour, grey}
        assert len(images) == 2
        assert [str(o.ColorSpace) for o in images] == ["/DeviceRGB", "/DeviceGray"]


def test_overlay_is_part_of_the_figure(build: Build, jpeg: Any, assert_conforming: Any) -> None:
    def numbers(canvas: Any, width: float, height: float) -> None:
        canvas.setFont("Sans", 9)
        canvas.drawString(width / 2, height / 2, "17")

    pdf = build([Picture(jpeg(), 100, 75, "A ramp with one place", overlay=numbers)])
    assert_conforming(pdf)
    assert pdf_aloud.structure_text(pdf) == [("Figure", "17")]


@pytest.mark.parametrize(
    "data", [b"", b"\xff\xd8", b"\xff\xd8\xff\xe0\xff\xff", b"GIF89a" + bytes(40), b"\xff\xd8" + b"\xff" * 99]
)
def test_what_is_no_jpeg_is_refused(build: Build, data: bytes) -> None:
    with pytest.raises(PictureError):
        build([Picture(data, 10, 10, "x")])


def test_cmyk_is_refused(build: Build, jpeg: Any) -> None:
    with pytest.raises(PictureError, match="grey or RGB"):
        build([Picture(jpeg("CMYK"), 10, 10, "x")])


def test_figure_without_words_is_refused() -> None:
    with pytest.raises(ValueError, match="cannot see"):
        Figure(lambda c, w, h: None, 10, 10, " ")


def test_transparency_is_refused(build: Build) -> None:
    with pytest.raises(ValueError, match="transparency"):
        build([Figure(lambda c, w, h: c.setFillAlpha(0.5), 10, 10, "x")])


def test_two_builds_are_the_same_bytes(build: Build, styles: Any, jpeg: Any) -> None:
    def story() -> list[Any]:
        return [
            Heading("One", 1, styles.heading),
            Text('a <a href="https://example.org/">b</a>', styles.body),
            Picture(jpeg(), 100, 75, "A ramp", "C", styles.small),
        ]

    one, two = (build(story(), signature_fields={"Signature1": ""}) for _ in range(2))
    assert hashlib.sha256(one).hexdigest() == hashlib.sha256(two).hexdigest()


def test_identity_comes_from_the_document_id(build: Build, styles: Any, meta: Any) -> None:
    with pikepdf.open(io.BytesIO(build([Text("x", styles.body)]))) as pdf:
        assert bytes(pdf.trailer.ID[0]) == meta.document_id
        assert "uuid:00010203-0405-0607-0809-0a0b0c0d0e0f" in pdf.Root.Metadata.read_bytes().decode()
        assert str(pdf.trailer.Info.CreationDate) == "D:20261125093000+01'00'"
        assert pdf.pdf_version == "1.7"


def test_any_title_makes_a_readable_packet(meta: Any, styles: Any, assert_conforming: Any) -> None:
    """XML 1.0, section 2.2: no controls, no noncharacters. Two lines of a title become one."""
    odd = replace(meta, title="A\x0bbox\x00 <&> \ufffe\nand key", author="W.\tMaker")
    pdf = Document(odd, (300, 300), (20, 20, 20, 20), fonts.fonts()).build([Text("x", styles.body)])
    assert_conforming(pdf)
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        assert str(opened.trailer.Info.Title) == "A box <&> and key"


def test_meta_that_cannot_be_is_refused(meta: Any) -> None:
    for wrong in (
        {"title": " \n"},
        {"document_id": b"short"},
        {"created": meta.created.replace(tzinfo=None)},
    ):
        with pytest.raises(ValueError, match=r"title|16 bytes|zone"):
            replace(meta, **wrong)
