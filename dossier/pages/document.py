"""The dossier: one copy's record as a finished, tagged PDF, unsigned and without attachments.

`draw` is a function of its arguments: the same record, pictures and options give the same bytes, so a check
can draw the pages again and compare. The order of the sections is the order of the pages.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from reportlab.platypus import Flowable

from dossier.model.record import OpenRecord
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
    receipt,
    register,
    work_log,
)
from dossier.pages.setting import Setting

__all__ = ["SECTIONS", "PageOptions", "draw", "story"]

SECTIONS: tuple[Callable[[Setting], list[Flowable]], ...] = (
    cover.section,
    disclosure.section,
    know_it.section,
    disclosure.section_in_full,
    map.section,
    condition.section,
    before_after.section,
    covered.section,
    register.section,
    new_removed.section,
    work_log.section,
    materials.section,
    care.section,
    history.section,
    agreements.section,
    checking.section,
    receipt.section,
    manifest.section,
)


def draw(record: OpenRecord, pictures: Mapping[str, bytes], options: PageOptions) -> bytes:
    """The pages of one copy. `pictures`: by neutral name, the sRGB JPEG that stands for each photograph."""
    setting = Setting(record, pictures, options)
    title = setting.say("document.title", object=setting.object_name)
    return finished(setting, story(setting), title)


def story(setting: Setting) -> list[Flowable]:
    """Every section, in order."""
    return [flow for section in SECTIONS for flow in section(setting)]
