"""`pages.json` stands in one form, and that of dossiers made before a later member is still the one."""

from __future__ import annotations

import pytest

from dossier.flows.dossier_files import drawn_bytes, drawn_from

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
