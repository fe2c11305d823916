"""Page 17: the photographs of this copy with their SHA-256, in small type; the rest is an attachment."""

from __future__ import annotations

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.pages import blocks
from dossier.pages.photographs import Shot
from dossier.pages.sections.receipt import PRIVATE
from dossier.pages.setting import Setting
from dossier.pages.tagging import NewPage, Space


def section(s: Setting) -> list[Flowable]:
    shots = [shot for shot in s.shots.all if shot.in_copy]
    lead = blocks.say(s, "manifest.lead" if shots else "manifest.none")
    body: list[Flowable] = [lead, Space(2 * mm)]
    if shots:
        heads = [s.say(f"head.{key}") for key in ("file", "stage", "bytes", "sha256")]
        body.append(blocks.table(s, heads, [_row(s, shot) for shot in shots], (30, 20, 20, 98), tiny=True))
    story = blocks.section(s, s.say("manifest.title"), body)
    return [NewPage(), *story] if s.record.copy in PRIVATE else story


def _row(s: Setting, shot: Shot) -> list[str]:
    photograph = shot.photograph
    stage = s.token(photograph.stage) if photograph.stage else ""
    return [photograph.name, stage, str(photograph.bytes), photograph.sha256]
