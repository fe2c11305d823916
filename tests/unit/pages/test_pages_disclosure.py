"""Page 2 denies nothing that its own table counts."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest

from dossier.model.counted import PartNow
from dossier.model.record import OpenRecord
from dossier.model.words import Now
from dossier.pages.sections import disclosure
from dossier.pages.setting import Setting

STATES: list[tuple[Now, str]] = [
    ("original, part renewed", "part_renewed"),
    ("original, treated", "worked_on"),
    ("original, no work recorded", "kept"),
]


@pytest.mark.parametrize(("now", "group"), STATES)
def test_what_an_earlier_record_did_is_named_in_its_group(
    now: Now, group: Any, rich_record: OpenRecord, page_options: Any
) -> None:
    """A bellows was partly renewed in the record before this one: of this one page 2 said that no part is
    renewed in part, above a table that counts one.
    """
    one = PartNow(part=rich_record.payload.parts[0].number, now=now, pieces_low=1, pieces_high=1)
    for rows, denied in (((one,), False), ((), True)):
        payload = msgspec.structs.replace(rich_record.payload, disclosure=(), parts_now=rows)
        s = Setting(msgspec.structs.replace(rich_record, payload=payload), {}, page_options())
        said = disclosure.sentences(s, group)
        assert (said == [s.say(f"none.{group}")]) == denied
        assert denied or s.short_name(one.part).casefold() in said[0].casefold()
        assert denied or said[0].startswith("Before this job: ") == (group == "part_renewed")
