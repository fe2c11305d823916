"""One page for a listing, lot or insurer: the same truth in less space, how to check it, the code."""

from __future__ import annotations

from collections.abc import Mapping

from dossier.model.record import OpenRecord
from dossier.pages.options import PageOptions
from dossier.pages.running import finished
from dossier.pages.sections import disclosure
from dossier.pages.setting import Setting


def draw_sheet(record: OpenRecord, pictures: Mapping[str, bytes], options: PageOptions) -> bytes:
    """The sheet as a finished PDF."""
    s = Setting(record, pictures, options)
    return finished(s, disclosure.section(s), s.say("sheet.title", object=s.object_name), signed=False)
