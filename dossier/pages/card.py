"""Cards of 85 x 55 mm, eight on a page, with marks to cut along."""

from __future__ import annotations

from collections.abc import Mapping

from dossier.model.record import OpenRecord
from dossier.pages import blocks
from dossier.pages.options import PageOptions
from dossier.pages.running import finished
from dossier.pages.setting import Setting


def draw_card(record: OpenRecord, pictures: Mapping[str, bytes], options: PageOptions) -> bytes:
    """The cards as a finished PDF."""
    s = Setting(record, pictures, options)
    return finished(s, [blocks.say(s, "card.not_ownership")], s.say("card.title", object=s.object_name), signed=False)
