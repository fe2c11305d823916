"""What wants a label: examples by hand (common practice, no source)."""

from __future__ import annotations

from typing import Any

from dossier.account.loose import Loose, all_of, loose_of
from dossier.model.rows import Part, Work

PARTS = (
    Part(number="1", part="body", came_as="original"),
    Part(number="2", part="corners", pieces=8, came_as="original"),
    Part(number="3", part="pins", pieces=64, came_as="original", old_piece="nine, in a bag"),
    Part(number="4", part="lining", came_as="earlier replacement"),
    Part(number="5", part="key", came_as="missing", old_piece="lost"),
    Part(number="6", part="strap", came_as="original", old_piece="with the owner"),
    Part(number="7", part="veneer", came_as="original"),
)


def work(*rows: dict[str, Any]) -> tuple[Work, ...]:
    return tuple(Work(number=number, **row) for number, row in enumerate(rows, 1))


def test_taken_off_away_and_old_pieces() -> None:
    rows = work(
        {"date": "2026-04-01", "parts": ("1", "2"), "done": "taken off and refitted"},
        {"date": "2026-04-02", "parts": ("3",), "pieces": 4, "done": "replaced"},
        {"date": "2026-04-03", "parts": ("3",), "pieces": 5, "done": "replaced"},
        {"date": "2026-04-04", "parts": ("4",), "done": "taken away"},
        {"date": "2026-04-05", "parts": ("7",), "done": "part renewed"},
        {"date": "2026-04-06", "parts": ("5",), "done": "added"},
    )
    assert loose_of(PARTS, rows) == (
        Loose("1", 1, "off", "2026-04-01"),
        Loose("2", 8, "off", "2026-04-01"),
        Loose("3", 9, "old", "2026-04-02"),
        Loose("4", 1, "away", "2026-04-04"),
        Loose("6", 0, "old"),  # the register says that there is one, not how much of it
    )


def test_a_number_beside_several_parts_is_of_none_of_them() -> None:
    rows = work({"parts": ("2", "3"), "pieces": 9, "done": "replaced"})
    assert [bag.pieces for bag in loose_of(PARTS[1:3], rows)] == [0, 0]


def test_a_part_taken_off_and_later_replaced_has_two_bags() -> None:
    rows = work({"parts": ("1",), "done": "taken off and refitted"}, {"parts": ("1",), "done": "replaced"})
    assert [bag.loose_as for bag in loose_of(PARTS[:1], rows)] == ["off", "old"]


def test_what_was_lost_before_has_no_bag() -> None:
    """Asked for by number, or with all, the part itself has its label."""
    veneer = Part(number="7", part="veneer", came_as="original", old_piece="Lost before it came to us")
    rows = work({"parts": ("7",), "done": "part renewed"}, {"parts": ("6",), "done": "replaced"})
    assert [bag.part for bag in loose_of((veneer, PARTS[5]), rows, ("lost",))] == ["6"]
    assert all_of((veneer,), rows, ("7",), ("lost",)) == (Loose("7", 1, ""),)
    assert [bag.loose_as for bag in loose_of((veneer,), rows)] == ["old"]


def test_labels_for_all_leave_out_what_never_came() -> None:
    assert [bag.part for bag in all_of(PARTS, ())] == ["1", "2", "3", "4", "6", "7"]
    assert [bag.part for bag in all_of(PARTS, work({"parts": ("5",), "done": "added"}))][4] == "5"


def test_labels_for_parts_named_come_in_the_order_of_the_register() -> None:
    assert [(bag.part, bag.loose_as) for bag in all_of(PARTS, (), ("6", "1"))] == [("1", ""), ("6", "old")]
    assert all_of(PARTS, (), ("5",)) == (Loose("5", 1, ""),)
