"""Page 13: what is known from before this job, each claim with what it is known from; what earlier records
say of the parts, each with who said it and when. All readings stand side by side.
"""

from __future__ import annotations

from collections.abc import Iterator

from reportlab.platypus import Flowable

from dossier.model.counted import Origin, PartHistory, PartSaid, Pieces
from dossier.model.rows import EarlierRecord, HistoryClaim
from dossier.model.words import Now
from dossier.pages import blocks
from dossier.pages.setting import Setting

_AS_IT_CAME: frozenset[Now] = frozenset({"original, left as found", "original, no work recorded"})


def section(s: Setting) -> list[Flowable]:
    body = [*_claims(s), *_records(s), *_parts(s)]
    return blocks.section(s, s.say("history.title"), body) if body else []


def empty(s: Setting) -> list[str]:
    told = s.payload.history or s.payload.earlier_records or _several(s)
    return [] if told else [s.say("history.none")]


def _several(s: Setting) -> list[PartHistory]:
    """The parts of which more than one thing was said, or that something was done to; the others are in the
    register already.
    """
    return [
        one
        for one in s.payload.part_history
        if one.said and (one.differs or len(one.said) > 1 or _counts(one) or _was_worked_on(one))
    ]


def _claims(s: Setting) -> list[Flowable]:
    if not s.payload.history:
        return []
    heads = [s.say(f"head.{key}") for key in ("day", "claim", "by", "known_from")]
    return [blocks.table(s, heads, [_row(s, row) for row in s.payload.history], (24, 70, 34, 34))]


def _row(s: Setting, row: HistoryClaim) -> list[str]:
    what = s.beside(row.what, s.part_names(row.parts))
    return [
        s.day(row.date) or s.say("not_said"),
        what,
        row.by or s.say("not_said"),
        s.token(row.known_from),
    ]


def _records(s: Setting) -> list[Flowable]:
    rows = s.payload.earlier_records
    if not rows:
        return []
    return blocks.group(s, s.say("label.earlier_records"), [_record(s, row) for row in rows])


def _record(s: Setting, row: EarlierRecord) -> str:
    named = s.in_row(text for text in (row.workshop, row.job, s.date(row.date)) if text)
    said = s.say("history.record", named=named or s.say("not_said"), record=row.record, digest=row.sha256)
    checked = s.say(f"history.checked.{row.checked}") if row.checked else ""
    other = s.say("history.of_other", object=row.object) if row.object else ""
    texts = [text for text in (other, checked) if text]
    stop = s.words.say("sentences.grammar.stop") if texts else ""  # a digest is copied as it stands
    return s.in_sentences([said, *texts]) + stop


def _parts(s: Setting) -> list[Flowable]:
    rows = [row for one in _several(s) for row in _told(s, one)]
    if not rows:
        return []
    heads = [s.say(f"head.{key}") for key in ("part", "day", "by", "said", "counted")]
    return [
        *blocks.group(s, s.say("history.parts"), [s.say("history.parts_note")]),
        blocks.table(s, heads, rows, (34, 24, 34, 48, 32)),
    ]


def _was_worked_on(one: PartHistory) -> bool:
    return any(said.done or said.altered or {row.now for row in said.now} - _AS_IT_CAME for said in one.said)


def _counts(one: PartHistory) -> bool:
    return any(row.came_as != "original" for row in one.counted_as)


def _told(s: Setting, one: PartHistory) -> Iterator[list[str]]:
    names = s.part_names(one.parts)
    was = s.say("history.was", number=one.was) if one.was else ""
    counted = s.listed(_some(s, row, row.came_as, one) for row in one.counted_as)
    for said in one.said:
        by = said.workshop or s.say("not_said")
        yield [
            s.beside(names, was),
            s.day(said.date) or s.say("not_said"),
            by if said.sha256 else s.say("history.paper", by=by),
            _what(s, said),
            counted,
        ]


def _what(s: Setting, said: PartSaid) -> str:
    """ "Came as original; then new, like for like"."""
    if said.done:
        done, some = s.token(said.done), said.pieces < said.of
        told = {"count": said.pieces, "n": said.of, "state": done}
        return s.words.say("sentences.history.some_done", **told) if some else done
    now = s.listed(
        s.token(row.now) if row.low >= said.pieces else f"{_count(row)} {s.token(row.now)}"
        for row in said.now
    )
    texts = [s.say("history.came_then", came_as=s.token(said.came_as), now=now or s.say("not_known"))]
    texts += [s.say("history.there", object=said.object, number=said.part)] if said.object else []
    texts += [s.say("history.reason", why=said.reason)] if said.reason else []
    return s.in_sentences(texts)


def _some(s: Setting, row: Origin, word: str, one: PartHistory) -> str:
    return s.token(word) if len(one.counted_as) == 1 else f"{_count(row)} {s.token(word)}"


def _count(row: Origin | Pieces) -> str:
    return str(row.low) if row.low == row.high else f"{row.low}\u2013{row.high}"
