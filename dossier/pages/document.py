"""The dossier: one copy's record as a finished, tagged PDF, unsigned and without attachments.

`draw` is a function of its arguments: the same record, pictures and options give the same bytes, so a check
can draw the pages again and compare. The order of the sections is the order of the pages.

The sections of text at the end are set a little closer where that saves a page that would stand nearly empty.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

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
    checking.section,
)
_CLOSER = (0.97, 0.94)  # of the usual size of letters
_EMPTY = 0.2  # of a page: most that the receipt, which is not parted, leaves below what comes before it


def draw(record: OpenRecord, pictures: Mapping[str, bytes], options: PageOptions) -> bytes:
    """The pages of one copy. `pictures`: by neutral name, the sRGB JPEG that stands for each photograph."""
    setting = Setting(record, pictures, options)
    title = setting.say("document.title", object=setting.object_name)
    return finished(setting, story(setting), title)


def story(s: Setting) -> list[Flowable]:
    """Every section, in order."""
    front = _front(s)
    begun = blocks.pages_taken(s, front)
    tail = _tail(s, begun)
    pages, used = blocks.pages_taken(s, tail, begun)
    if used < blocks.HARDLY * s.grid.depth:
        for scale in _CLOSER:
            closer = _tail(Setting(s.record, s.pictures, s.options, scale=scale), begun)
            if blocks.pages_taken(s, closer, begun)[0] < pages:
                return [*front, *closer]
    return [*front, *tail]


def _front(s: Setting) -> list[Flowable]:
    """What comes before the end, with more and larger pictures where the foot of a page would stay empty."""
    flows = {section: section(s) for section in _FRONT}
    end = _FRONT.index(condition.section) + 1
    before = [flow for section in _FRONT[:end] for flow in flows[section]]
    after = [flow for section in _FRONT[end:] for flow in flows[section]]
    before += condition.as_it_came(s, before, after)
    return map.larger(s, [*before, *after], flows[map.section])


def _tail(s: Setting, begun: tuple[int, float]) -> list[Flowable]:
    """What comes after; the list of digests fills a page that has no room for the receipt."""
    flows = [flow for section in _TAIL for flow in section(s)]
    last = [receipt.section(s), manifest.section(s)]
    without, other = (blocks.left_below(s, flows, section, begun) for section in last)
    if without > _EMPTY * s.grid.depth and not other:
        last.reverse()
    return [*flows, *last[0], *last[1]]
