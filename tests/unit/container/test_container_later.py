"""What was added behind a signed revision: the pages that it changes are named, however it is written.

Else it is said that they could not be told. The forms are those of ISO 32000-1 7.5.4 to 7.5.8.
"""

from __future__ import annotations

import re
import struct
import zlib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from attack_kit import pages_of

from dossier.container import later_values
from dossier.container.read import read_dossier
from dossier.model.container import DossierFile

PAGE = b"<< /MediaBox [ 0 0 9 9 ] /Type /Page >>"


class Update:
    """Bytes to be added to a signed file, with tables of either kind."""

    def __init__(self, whole: bytes) -> None:
        self.whole = whole
        last = re.search(rb"startxref\n(\d+)\n%%EOF\n\Z", whole)
        size = re.findall(rb"/Size (\d+)", whole)
        assert last
        self.prev, self.size = int(last[1]), int(size[-1])
        self.added = b""

    @property
    def at(self) -> int:
        return len(self.whole) + len(self.added)

    def put(self, number: int, text: bytes, between: bytes = b" ") -> int:
        at = self.at
        self.added += b"%d%b0%bobj\n" % (number, between, between) + text + b"\nendobj\n"
        return at

    def stream(self, number: int, entries: bytes, data: bytes) -> int:
        head = b"<< %b /Length %d >>\nstream\n" % (entries, len(data))
        return self.put(number, head + data + b"\nendstream")

    def objects(self, held: Sequence[int], packing: bytes = b"/Filter /FlateDecode") -> int:
        """A stream of objects; its number is the first that is free."""
        head = b"".join(b"%d %d " % (number, n * len(PAGE)) for n, number in enumerate(held))
        data = head + PAGE * len(held)
        data = zlib.compress(data) if packing == b"/Filter /FlateDecode" else data
        entries = b"/Type /ObjStm /N %d /First %d %b" % (len(held), len(head), packing)
        return self.stream(self.size, entries, data)

    def table_stream(
        self, rows: Sequence[tuple[int, int, int, int]], more: bytes = b"", above: bool = False
    ) -> int:
        at = self.at
        rows = [*rows, (self.size + 1, 1, at, 0)]
        packed = [struct.pack(">BIH", *row[1:]) for row in rows]
        if above:
            before = [bytes(7), *packed[:-1]]
            packed = [
                b"\2" + bytes((a - b) & 0xFF for a, b in zip(row, up, strict=True))
                for row, up in zip(packed, before, strict=True)
            ]
            more += b" /DecodeParms << /Columns 7 /Predictor 12 >>"
        index = b" ".join(b"%d 1" % row[0] for row in rows)
        entries = b"/Type /XRef /W [1 4 2] /Index [%b] /Size %d /Root 1 0 R /Filter /FlateDecode %b" % (
            index,
            self.size + 2,
            more or b"/Prev %d" % self.prev,
        )
        return self.stream(self.size + 1, entries, zlib.compress(b"".join(packed)))

    def table(self, entries: bytes, trailer: bytes = b"") -> int:
        at = self.at
        said = trailer or b"/Root 1 0 R /Size %d /Prev %d" % (self.size + 2, self.prev)
        self.added += b"xref\n" + entries + b"trailer\n<< " + said + b" >>\n"
        return at

    def leading_to(self, at: int) -> bytes:
        return self.whole + self.added + b"startxref\n%d\n%%%%EOF\n" % at


@pytest.fixture
def update(forgery: Any) -> Update:
    return Update(forgery.whole())


@pytest.fixture
def pages(forgery: Any) -> list[int]:
    return pages_of(forgery)


def read(data: bytes, tmp_path: Path) -> DossierFile:
    (tmp_path / "x.pdf").write_bytes(data)
    found = read_dossier(tmp_path / "x.pdf")
    assert "later-revision" in {one.code for one in found.findings}
    return found


@pytest.mark.parametrize("form", ["stream", "stream, by differences", "hybrid", "not packed"])
def test_a_page_in_a_stream_of_objects_is_named(
    update: Update, pages: list[int], tmp_path: Path, form: str
) -> None:
    held = update.objects([pages[1]], *([b""] if form == "not packed" else []))
    rows = [(pages[1], 2, update.size, 0), (update.size, 1, held, 0)]
    more = b"/Prev %d" % update.prev
    at = update.table_stream(rows, more, above=form == "stream, by differences")
    if form == "hybrid":
        both = b"/Root 1 0 R /Size %d /Prev %d /XRefStm %d" % (update.size + 2, update.prev, at)
        at = update.table(b"0 0\n", both)
    found = read(update.leading_to(at), tmp_path)
    assert (found.changed_pages, found.changes_certain) == ((2,), True)


def test_a_page_that_a_table_alone_frees_or_leads_elsewhere_is_named(
    update: Update, pages: list[int], tmp_path: Path
) -> None:
    entries = b"%d 1\n0000000000 00001 f \n%d 1\n0000000200 00000 n \n" % (pages[0], pages[2])
    found = read(update.leading_to(update.table(entries)), tmp_path)
    assert (found.changed_pages, found.changes_certain) == ((1, 3), True)


def test_what_a_table_leaves_out_is_gone(update: Update, pages: list[int], tmp_path: Path) -> None:
    at = update.table(b"0 1\n0000000000 65535 f \n", b"/Root 1 0 R /Size %d" % (update.size + 2))
    assert read(update.leading_to(at), tmp_path).changed_pages == (1, 2, 3)


def test_another_catalogue_is_named(update: Update, tmp_path: Path) -> None:
    own = update.put(update.size, b"<< /Type /Catalog >>")
    trailer = b"/Root %d 0 R /Size %d /Prev %d" % (update.size, update.size + 1, update.prev)
    at = update.table(b"%d 1\n%010d 00000 n \n" % (update.size, own), trailer)
    assert read(update.leading_to(at), tmp_path).changed_lists == ("catalogue",)


@pytest.mark.parametrize("between", [b"\n", b"\r\n", b"  ", b"\0"])
def test_numbers_may_stand_apart_in_any_white_space(
    update: Update, pages: list[int], tmp_path: Path, between: bytes
) -> None:
    at = update.put(pages[1], PAGE, between)
    table = update.table(b"%d 1\n%010d 00000 n \n" % (pages[1], at))
    found = read(update.leading_to(table), tmp_path)
    assert (found.changed_pages, found.changes_certain) == ((2,), True)


def test_what_changes_no_page_names_none(update: Update, tmp_path: Path) -> None:
    at = update.put(update.size, b"<< /A (of (no) consequence) >>")
    table = update.table(b"%d 1\n%010d 00000 n \n" % (update.size, at))
    found = read(update.leading_to(table), tmp_path)
    assert (found.changed_pages, found.changes_certain) == ((), True)


def packed_otherwise(update: Update, page: int) -> int:
    update.objects([page], b"/Filter /ASCIIHexDecode")
    return update.table_stream([])


def with_more_than_is_read(update: Update, page: int) -> int:
    numbers = b"/N 1 /First %d /Filter /FlateDecode" % (later_values._BUDGET + 1)
    update.stream(update.size, b"/Type /ObjStm " + numbers, zlib.compress(b"9 0 "))
    return update.table_stream([])


def cut_short(update: Update, page: int) -> int:
    update.stream(update.size, b"/Type /ObjStm /N 1 /First 5 /Filter /FlateDecode", b"\x78\x9c")
    return update.table_stream([])


def a_name_with_escapes(update: Update, page: int) -> int:
    update.stream(update.size, b"/Type /Obj#53tm /N 9 /First 5", b"1 0 2 0")
    return update.table_stream([])


def a_comment_between(update: Update, page: int) -> int:
    update.put(page, PAGE, b" % \n")
    return update.table_stream([])


def into_a_photograph(update: Update, page: int) -> int:
    """A table may stand in bytes of an attachment, which is whatever its maker liked."""
    return 200


def a_table_that_leads_into_one(update: Update, page: int) -> int:
    return update.table(b"0 0\n", b"/Root 1 0 R /Size %d /Prev 200" % (update.size + 2))


def a_table_that_ends_early(update: Update, page: int) -> int:
    return update.table(b"%d 2\n0000000000 00000 n \n" % page)


def counted_from_nought(update: Update, page: int) -> int:
    """At least one reader takes these for the entries of one number less."""
    return update.table(b"%d 2\n0000000000 65535 f \n0000000200 00000 n \n" % (page + 1))


def fewer_than_there_are(update: Update, page: int) -> int:
    return update.table(b"0 0\n", b"/Root 1 0 R /Size 3 /Prev %d" % update.prev)


def a_name_twice(update: Update, page: int) -> int:
    return update.table(b"0 0\n", b"/Root 1 0 R /Root 9 0 R /Size 999 /Prev %d" % update.prev)


UNCLEAR = [
    packed_otherwise,
    with_more_than_is_read,
    cut_short,
    a_name_with_escapes,
    a_comment_between,
    into_a_photograph,
    a_table_that_leads_into_one,
    a_table_that_ends_early,
    counted_from_nought,
    fewer_than_there_are,
    a_name_twice,
]


@pytest.mark.parametrize("make", UNCLEAR, ids=lambda make: make.__name__)
def test_what_cannot_be_read_for_certain_is_not_taken_for_nothing(
    update: Update, pages: list[int], tmp_path: Path, make: Any
) -> None:
    assert not read(update.leading_to(make(update, pages[1])), tmp_path).changes_certain


def test_all_of_it_together_is_bounded(
    update: Update, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each of many streams could unpack, and each dictionary be looked through, as far as the file goes."""
    spent: list[int] = []
    spend = later_values.Budget.spend
    monkeypatch.setattr(later_values.Budget, "spend", lambda self, n: (spend(self, n), spent.append(n))[0])
    one = b"1 0 obj\n<< /Type /ObjStm /N 1 /First 900000 /Filter /FlateDecode >>\nstream\n"
    update.added = (one + zlib.compress(bytes(900_000))) * 2000 + b"1 0 obj << (" * 2000
    assert not read(update.leading_to(0), tmp_path).changes_certain
    assert 0 < sum(spent) <= later_values._BUDGET


def test_a_revision_behind_much_else_is_one(update: Update, tmp_path: Path) -> None:
    update.added = bytes(2 << 20)
    update.put(update.size, b"<< /A 1 >>")
    assert read(update.leading_to(update.prev), tmp_path).changed_pages == ()
