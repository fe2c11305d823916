"""Page 17: the photographs of this copy with their SHA-256, in small type; the rest is an attachment.

What is missing of them, as the time where a file says none, is said.
"""

from __future__ import annotations

from reportlab.platypus import Flowable

from dossier.pages import blocks
from dossier.pages.photographs import Shot
from dossier.pages.setting import Setting


def section(s: Setting) -> list[Flowable]:
    shots = [shot for shot in s.shots.all if shot.in_copy]
    if not shots:
        return []
    heads = [s.say(f"head.{key}") for key in ("file", "stage", "day", "bytes", "sha256")]
    table = blocks.table(s, heads, [_row(s, shot) for shot in shots], (25, 22, 22, 18, 81), tiny=True)
    body = [*blocks.lead(s, s.say("manifest.lead")), table]
    return blocks.section(s, s.say("manifest.title"), body)


def empty(s: Setting) -> list[str]:
    return [] if any(shot.in_copy for shot in s.shots.all) else [s.say("manifest.none")]


def _row(s: Setting, shot: Shot) -> list[str]:
    photograph = shot.photograph
    stage = s.token(photograph.stage) if photograph.stage else s.say("not_said")
    day = s.day(shot.details.taken[:10]) if shot.details.taken else s.say("not_said")
    return [photograph.name, stage, day, str(photograph.bytes), photograph.sha256]
