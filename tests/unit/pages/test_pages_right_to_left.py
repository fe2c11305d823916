"""A name that runs right to left on a page that runs left to right (UAX 9): where words stand, by poppler."""

from __future__ import annotations

import io
import re
import subprocess
from collections.abc import Callable
from pathlib import Path

import msgspec
import pdf_aloud
import pikepdf
import pytest

from dossier.errors import OutputError
from dossier.model.record import OpenApart, OpenRecord, Payload, Sentence, WorkshopId
from dossier.model.rows import Claim, Contact, LookedAt, Mark, Note, Object, Part
from dossier.pages import blocks, document
from dossier.pages.options import PageOptions
from dossier.pages.setting import Setting

Make = Callable[..., PageOptions]
NAME, TELEPHONE = "ليلى الخطيب", "+44 20 7946 0555"


@pytest.fixture(scope="module")
def record() -> OpenRecord:
    payload = Payload(
        format="1.0",
        sd_alg="sha-256",
        iat=0,
        record="urn:uuid:0",
        job="1",
        language="en",
        workshop=WorkshopId(name="W"),
        object=Object(type="oud", title=f"Oud by {NAME}", maker=Claim(what=NAME, known_from="seen")),
        marks=(Mark(text=NAME, kind="label", where="inside"),),
        for_whom="other",
    )
    owner = Contact(name=NAME, address=NAME, telephone=TELEPHONE)
    apart = OpenApart(owner=(owner,), received_by=(Contact(name=NAME),))
    return OpenRecord(payload=payload, digest="0" * 64, apart=apart)


@pytest.fixture(scope="module")
def drawn(record: OpenRecord, page_options: Make) -> bytes:
    return document.draw(record, {}, page_options(code_text=""))


@pytest.fixture(scope="module")
def words(drawn: bytes, tmp_path_factory: pytest.TempPathFactory) -> list[tuple[str, float, float]]:
    """Each word of the pages with its left edge and its top, in points; a page is 10,000 high."""
    folder = tmp_path_factory.mktemp("drawn")
    (folder / "drawn.pdf").write_bytes(drawn)
    asked = ["pdftotext", "-bbox", str(folder / "drawn.pdf"), "-"]
    said = subprocess.run(asked, check=True, capture_output=True, text=True).stdout
    return [
        (word, float(left), float(top) + 10_000 * number)
        for number, page in enumerate(said.split("</page>"))
        for left, top, word in re.findall(r'<word xMin="([\d.]+)" yMin="([\d.]+)".*?>(.*?)</word>', page)
    ]


Words = list[tuple[str, float, float]]


def _beside(words: Words, word: str) -> list[list[tuple[float, str]]]:
    """The lines that hold `word`: left edges and words, from the left."""
    tops = [top for one, _, top in words if one == word]
    return [sorted((left, one) for one, left, top in words if abs(top - line) < 8) for line in tops]


def _lefts_of_name(line: list[tuple[float, str]]) -> list[float]:
    return [left for left, word in line if "\u0600" <= word[0] <= "\u06ff"]


def test_a_telephone_number_beside_such_a_name_keeps_its_order(words: Words) -> None:
    """Its groups stood in the other order, which is another number."""
    first, *others = TELEPHONE.split()
    lines = _beside(words, first)
    assert lines
    for line in lines:
        shown = [word for _, word in line]
        assert shown[shown.index(first) + 1 :] == others


def test_what_a_name_is_known_from_stands_behind_it(words: Words) -> None:
    """In the order of the page's language: not in front, and not across the page."""
    lines = [line for line in _beside(words, "object)") if _lefts_of_name(line)]
    assert lines
    for line in lines:
        assert max(_lefts_of_name(line)) < next(left for left, word in line if word == "object)")


def test_a_value_stands_at_its_label(words: Words) -> None:
    """The name alone, under "Taken back by", begins where the other values do."""
    [line] = _beside(words, "Taken")
    edge = next(left for word, left, _ in reversed(words) if word == "urn:uuid:0")
    assert min(_lefts_of_name(line)) == pytest.approx(edge, abs=3)


def test_what_the_file_says_of_itself_holds_no_marks_of_direction(drawn: bytes) -> None:
    with pikepdf.open(io.BytesIO(drawn)) as opened:
        said = " ".join(str(value) for value in opened.docinfo.values())
    assert NAME in said
    assert not set(said) & {chr(mark) for mark in range(0x2066, 0x206A)}


def test_a_text_too_long_to_be_read_in_order_is_named(record: OpenRecord, page_options: Make) -> None:
    """ISO 19005-3, 6.1.13: what says how it is read would be no string of such a file. A paragraph with
    emphasis, which is not parted.
    """
    note = Note(title=NAME, text=f"*{NAME}* " + "\u05d0\u05d1 " * 9_000)
    payload = msgspec.structs.replace(record.payload, notes=(note,))
    long = msgspec.structs.replace(record, payload=payload)
    with pytest.raises(OutputError, match="\u05d0\u05d1 \u05d0\u05d1") as refused:
        document.draw(long, {}, page_options(code_text=""))
    assert "empty line" in refused.value.hint


def test_a_long_cell_of_a_table_is_parted(record: OpenRecord, page_options: Make) -> None:
    """As a long paragraph is: each of its parts is a string that such a file may have."""
    long = "\u05d0\u05d1 " * 9_000
    table = blocks.table(Setting(record, {}, page_options()), ["Part"], [[long]], [1])
    parts = [text.getPlainText() for text in table.rows[0].cells[0].items]
    assert len(parts) > 1
    assert " ".join(parts) == long.strip()
    assert all(len(part.encode("utf-16")) <= 32_767 for part in parts)


def test_short_words_in_a_table_stand_at_the_left_of_their_column(
    record: OpenRecord, page_options: Make, tmp_path: Path
) -> None:
    """On a page that runs left to right; what is found inside stands at the edge of the other sentences."""
    part = Part(number="1", part=NAME, seen="outside", came_as="original", known_from="seen")
    looked = LookedAt(found_inside=(NAME,), could_not_see=("Backs",))
    payload = msgspec.structs.replace(record.payload, parts=(part,), looked_at=looked)
    drawn = document.draw(msgspec.structs.replace(record, payload=payload), {}, page_options(code_text=""))
    (tmp_path / "drawn.pdf").write_bytes(drawn)
    asked = ["pdftotext", "-bbox", str(tmp_path / "drawn.pdf"), "-"]
    pages = subprocess.run(asked, check=True, capture_output=True, text=True).stdout.split("</page>")
    [table] = [_placed(page) for page in pages if ">Seen<" in page]
    [condition] = [_placed(page) for page in pages if ">Backs<" in page]
    for page, beside in ((table, "Part"), (condition, "Backs")):
        [edge] = [left for left, word in page if word == beside]
        assert any(left == pytest.approx(edge, abs=3) for left in _lefts_of_name(page))


def _placed(page: str) -> list[tuple[float, str]]:
    words = re.findall(r'<word xMin="([\d.]+)".*?>(.*?)</word>', page)
    return [(float(left), word) for left, word in words]


def test_a_very_long_paragraph_is_heard_whole(
    rich_record: OpenRecord, page_options: Make, assert_conforming: Callable[[bytes], None]
) -> None:
    """Typed in one, as a description or a note: over 20,000 letters that run right to left."""
    words = [f"רצועה{n}" for n in range(2_500)]
    thing = msgspec.structs.replace(rich_record.payload.object, description=" ".join(words))
    notes = (Note(title="On the lid", text=" ".join(reversed(words))),)
    payload = msgspec.structs.replace(rich_record.payload, object=thing, notes=notes)
    drawn = document.draw(msgspec.structs.replace(rich_record, payload=payload), {}, page_options())
    assert_conforming(drawn)
    said = " ".join(text for _, text in pdf_aloud.structure_text(drawn))
    assert " ".join(words) in said
    assert " ".join(reversed(words)) in said


def test_a_sentence_of_very_many_names_is_heard_whole(
    rich_record: OpenRecord, page_options: Make, assert_conforming: Callable[[bytes], None]
) -> None:
    """A string of the file ends at 32,767 bytes (ISO 19005-3, 6.1.13): 300 names of 80 letters are more."""
    names = [f"רצועת עור {'ארוכה ' * 11}{n}" for n in range(300)]
    sentence = Sentence(group="worked_on", text=f"Cleaned: {', '.join(names)}.")
    payload = msgspec.structs.replace(rich_record.payload, disclosure=(sentence,))
    record = msgspec.structs.replace(rich_record, payload=payload)
    drawn = document.draw(record, {}, page_options())
    assert_conforming(drawn)
    heard = " ".join(text for _, text in pdf_aloud.structure_text(drawn))
    assert all(name in heard for name in names)
