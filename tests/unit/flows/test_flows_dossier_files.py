"""`pages.json` stands in one form, and that of dossiers made before a later member is still the one."""

from __future__ import annotations

import pytest

from dossier.flows.dossier_files import PHOTOGRAPH_NAME, drawn_bytes, drawn_from

# As a dossier had it before there were places for time-stamps (26 November 2026).
OLD = b'{"copy":"owner","language":"en","originals":"beside","paper":"A4","program":"dossier 0.1.0"}'


def test_what_was_made_before_is_read_as_it_stands() -> None:
    drawn = drawn_from(OLD)
    assert drawn.time_places == 0 and drawn_bytes(drawn) == OLD


def test_places_stand_where_there_are_any_and_in_no_second_form() -> None:
    with_places = OLD.replace(b"}", b',"time_places":3}')
    assert drawn_from(with_places).time_places == 3
    assert drawn_bytes(drawn_from(with_places)) == with_places
    with pytest.raises(ValueError, match="more than it may"):
        drawn_from(OLD.replace(b"}", b',"time_places":0}'))


@pytest.mark.parametrize(
    "program", ["Certified", "dossier 1.0, pages 7 and more", "dossier 1.0, pages 7\n", ""]
)
def test_a_programs_name_has_no_room_for_words(program: str) -> None:
    with pytest.raises(ValueError, match="program"):
        drawn_from(OLD.replace(b"dossier 0.1.0", program.replace("\n", "\\n").encode()))


def test_photographs_inside_go_by_every_name_that_the_format_has() -> None:
    """FORMAT.md section 6: three to six digits, a full stop, one to five lower-case letters or digits."""
    for name in ("photo-001.x", "photo-100000.jpg", "photo-017.heics"):
        assert PHOTOGRAPH_NAME.fullmatch(name), name
    for name in ("photo-01.jpg", "photo-0000001.jpg", "photo-001.JPG", "photo-\u0661\u0662\u0663.jpg"):
        assert not PHOTOGRAPH_NAME.fullmatch(name), name
