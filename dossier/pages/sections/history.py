"""Page 13: what is known from before this job, each claim with what it is known from."""

from __future__ import annotations

from reportlab.platypus import Flowable

from dossier.model.rows import EarlierRecord, HistoryClaim
from dossier.pages import blocks
from dossier.pages.setting import Setting


def section(s: Setting) -> list[Flowable]:
    body = [*_claims(s), *_records(s)]
    return blocks.section(s, s.say("history.title"), body or [blocks.say(s, "history.none")])


def _claims(s: Setting) -> list[Flowable]:
    if not s.payload.history:
        return []
    heads = [s.say(f"head.{key}") for key in ("day", "claim", "by", "known_from")]
    return [blocks.table(s, heads, [_row(s, row) for row in s.payload.history], (24, 70, 34, 34))]


def _row(s: Setting, row: HistoryClaim) -> list[str]:
    what = f"{row.what} ({s.part_names(row.parts)})" if row.parts else row.what
    return [
        s.date(row.date) or s.say("not_known"),
        what,
        row.by or s.say("not_known"),
        s.token(row.known_from),
    ]


def _records(s: Setting) -> list[Flowable]:
    rows = s.payload.earlier_records
    if not rows:
        return []
    return blocks.group(s, s.say("label.earlier_records"), [_record(s, row) for row in rows])


def _record(s: Setting, row: EarlierRecord) -> str:
    named = ", ".join(text for text in (row.workshop, row.job, s.date(row.date)) if text)
    return s.say("history.record", named=named or s.say("not_said"), record=row.record, digest=row.sha256)
