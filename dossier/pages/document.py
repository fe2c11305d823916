"""The dossier: one copy's record as a finished, tagged PDF, unsigned and without attachments.

`draw` is a function of its arguments: the same record, pictures and options give the same bytes, so a check
can draw the pages again and compare. The order of the sections is the order of the pages.

The sections of text at the end are set a little closer where that saves a page that would stand nearly empty.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from itertools import chain

from reportlab.platypus import Flowable

from dossier.model.record import OpenRecord
from dossier.pages import blocks
from dossier.pages.options import PageOptions
from dossier.pages.running import finished
from dossier.pages.sections import (
    agreements,
    before_after,
    care,
    checking,
    condition,
    cover,
    covered,
    disclosure,
    history,
    know_it,
    manifest,
    map,
    materials,
    new_removed,
    nothing,
    receipt,
    register,
    work_log,
)
from dossier.pages.setting import Setting
from dossier.pages.tagging import Stack

__all__ = ["PageOptions", "draw", "story"]

Section = Callable[[Setting], list[Flowable]]

_FRONT: tuple[Section, ...] = (
    cover.section,
    disclosure.section,
    know_it.section,
    disclosure.section_in_full,
    condition.section,
    map.section,
    before_after.section,
    covered.section,
    register.section,
    new_removed.section,
    work_log.section,
)
_TAIL: tuple[Section, ...] = (
    materials.section,
    care.section,
    history.section,
    agreements.section,
    nothing.section,
    manifest.section,
)
_CLOSER = (0.97, 0.94)  # of the usual size of letters
_AFTER = 8.0  # points: as much as anything asks for below it


def draw(record: OpenRecord, pictures: Mapping[str, bytes], options: PageOptions) -> bytes:
    """The pages of one copy. `pictures`: by neutral name, the sRGB JPEG that stands for each photograph."""
    setting = Setting(record, pictures, options)
    title = setting.say("document.title", object=setting.object_name)
    return finished(setting, story(setting), title)


def story(s: Setting) -> list[Flowable]:
    """Every section, in order."""
    front, tail, check = _front(s), _flows(_TAIL, s), checking.section(s)
    begun = blocks.pages_taken(s, front)
    pages, used = _pages(s, begun, tail, check)
    if used < blocks.HARDLY * s.grid.depth:
        for set_closer, check_closer in _closer(s):
            if _pages(s, begun, set_closer, check_closer)[0] < pages:
                tail, check = set_closer, check_closer
                break
    return [*front, *tail, *check, *receipt.section(s)]


def _closer(s: Setting) -> Iterator[tuple[list[Flowable], list[Flowable]]]:
    """The sections of the end and the check of the record, closer from one to the next."""
    yield _flows(_TAIL, s), checking.close(s)
    for scale in _CLOSER:
        closer = Setting(s.record, s.pictures, s.options, scale=scale)
        yield _flows(_TAIL, closer), checking.section(closer)
        yield _flows(_TAIL, closer), checking.close(closer)


def _pages(
    s: Setting, begun: tuple[int, float], tail: list[Flowable], check: list[Flowable]
) -> tuple[int, float]:
    """How many pages all take, and how much of the last one before the check, if that has one of its own."""
    pages, used = blocks.pages_taken(s, tail, begun)
    height = Stack(check).wrap(s.grid.text, s.grid.depth)[1]
    return (pages, s.grid.depth) if used + _AFTER + height <= s.grid.depth else (pages + 1, used)


def _front(s: Setting) -> list[Flowable]:
    """What comes before the end; pictures of the map are larger where the foot of a page would stay empty."""
    flows = {section: section(s) for section in _FRONT}
    return map.larger(s, list(chain(*flows.values())), flows.get(map.section, []))


def _flows(sections: tuple[Section, ...], s: Setting) -> list[Flowable]:
    return [flow for section in sections for flow in section(s)]
