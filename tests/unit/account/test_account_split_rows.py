"""Rows that were split off one under a heading, and rows that are new beside them."""

from __future__ import annotations

from stories_made import job, lines, part, record, rows

from dossier.account.history import with_history


def test_a_row_that_is_new_beside_split_rows_was_never_one_of_them() -> None:
    """Two brass hooks are added under a heading of which one row was split in between."""
    before = [
        part("1", "not known", pieces=12),
        part("2", pieces=9, part_of="1"),
        part("3", pieces=3, part_of="1"),
    ]
    after = [
        part("1", "not known", pieces=14),
        part("2", pieces=6, part_of="1"),
        part("2.2", "earlier replacement", pieces=3, part_of="1"),
        part("3", pieces=3, part_of="1"),
        part("31", "missing", pieces=2, part_of="1"),
    ]
    first = record(2001, before, rows(("replaced", "2", 3)))
    story = with_history(job(after, rows(("added", "31"))), [first])
    assert not [one for one in story.histories if "31" in one.parts]
    assert ("new, likeness not known", 2, 2) in lines(story)
