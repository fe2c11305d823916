"""Page 2 denies nothing that its own table counts."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest

from dossier.model.counted import PartNow
from dossier.model.record import OpenRecord, Sentence
from dossier.model.rows import Work
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


SAID = [
    Sentence(group="worked_on", text="The lid was cleaned: dusted.", rows=("parts/1", "work/1")),
    Sentence(group="not_known", text="Could not be seen: the pivot.", rows=("job/looked_at",)),
    Sentence(group="earlier", text="The lid, as said before: altered (from a paper).", rows=("parts/1",)),
]


def named(s: Setting, group: Any, monkeypatch: pytest.MonkeyPatch) -> str:
    """What page 2 says in one group, by name."""
    lines: list[str] = []
    monkeypatch.setattr(disclosure.blocks, "group", lambda _s, _title, said, **_: lines.extend(said) or [])
    disclosure.named_group(s, group, dense=False)
    return " / ".join(lines)


@pytest.mark.parametrize("said", SAID, ids=lambda one: str(one.group))
def test_no_group_by_name_denies_what_a_sentence_of_it_says(
    said: Sentence, rich_record: OpenRecord, page_options: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A base partly renewed and cleaned stood under neither's "worked on" but in the full sentences."""
    one = PartNow(part="1", now="original, part renewed", pieces_low=1, pieces_high=1)
    for told in ((said,), (), (said,) * 20):
        payload = msgspec.structs.replace(rich_record.payload, disclosure=told, parts_now=(one,))
        s = Setting(msgspec.structs.replace(rich_record, payload=payload), {}, page_options())
        shown = named(s, said.group, monkeypatch)
        assert (s.say(f"none.{said.group}") in shown) == (not told)
        if told and said.group == "earlier":  # others' words are no state of the part
            assert "more sentence" in shown and s.short_name("1") not in shown
        elif told and said.group != "not_known":
            assert s.short_name("1").casefold() in shown.casefold()
        elif told:
            assert (said.text in shown) == (len(told) == 1)
            assert ("20 more sentences" in shown) == (len(told) == 20)
    assert named(s, "part_renewed", monkeypatch) == f"Before this job: {s.short_name('1')}"  # once


def test_what_an_earlier_job_left_so_is_told_as_of_before(rich_record: OpenRecord, page_options: Any) -> None:
    """A lock plated in the first job stood as "Given a new surface" in the second, which did nothing."""
    one = PartNow(part="1", now="original, new surface", pieces_low=1, pieces_high=1)
    payload = msgspec.structs.replace(rich_record.payload, disclosure=(), parts_now=(one,), work=())
    s = Setting(msgspec.structs.replace(rich_record, payload=payload), {}, page_options())
    name = s.short_name("1")
    assert disclosure.sentences(s, "worked_on") == [f"Given a new surface before this job: {name}"]
    plated = Work(number=1, parts=("1",), done="new surface")
    mine = msgspec.structs.replace(
        payload, work=(plated,), parts_now=(msgspec.structs.replace(one, work=(1,)),)
    )
    s = Setting(msgspec.structs.replace(rich_record, payload=mine), {}, page_options())
    assert disclosure.sentences(s, "worked_on") == [f"Given a new surface: {name}"]
