"""Page 11: what was brought onto the object, and what whoever works on it next should know."""

from __future__ import annotations

from collections.abc import Mapping

from reportlab.platypus import Flowable

from dossier.model.record import Caution
from dossier.model.rows import Work
from dossier.pages import blocks, some_pieces
from dossier.pages.sections.trade_blocks import trade
from dossier.pages.setting import Setting


def section(s: Setting) -> list[Flowable]:
    body = [*_products(s), *_tests(s), *trade(s), *_cautions(s)]
    return blocks.section(s, s.say("materials.title"), body)


def _products(s: Setting) -> list[Flowable]:
    used: dict[tuple[str, str], list[Work]] = {}
    for work in s.payload.work:
        if work.product:
            used.setdefault((work.product, work.batch), []).append(work)
    if not used:
        return [blocks.say(s, "materials.none")]
    heads = [s.say(f"head.{key}") for key in ("product", "batch", "used_on", "lines")]
    rows = [
        [product, batch or s.say("not_said"), _used_on(s, rows), _lines(rows)]
        for (product, batch), rows in used.items()
    ]
    return [blocks.table(s, heads, rows, (54, 26, 64, 20))]


def _used_on(s: Setting, rows: list[Work]) -> str:
    return some_pieces.listed(s, rows, 8)


def _lines(rows: list[Work]) -> str:
    """Numbers of lines of work, three or more that follow each other as one span."""
    spans: list[list[int]] = []
    for number in dict.fromkeys(work.number for work in rows):
        if spans and number == spans[-1][-1] + 1:
            spans[-1].append(number)
        else:
            spans.append([number])
    return ", ".join(
        f"{span[0]}\u2013{span[-1]}" if len(span) > 2 else ", ".join(map(str, span)) for span in spans
    )


def _tests(s: Setting) -> list[Flowable]:
    tests = [s.labelled(s.part_names(work.parts, 4), work.test) for work in s.payload.work if work.test]
    return blocks.group(s, s.say("label.tests"), tests) if tests else []


def _cautions(s: Setting) -> list[Flowable]:
    parts_of = _parts_of(s)
    said = [_caution(s, row, parts_of) for row in s.payload.cautions]
    title = s.say("label.cautions")
    if not said:
        return blocks.group(s, title, [s.say("materials.no_cautions")])
    return blocks.group(s, title, said, last=[blocks.note(s, s.say("materials.defer"))])


def _parts_of(s: Setting) -> dict[str, tuple[str, ...]]:
    """Rows and the parts they are of; materials of the object are said again of its parts."""
    found: dict[str, tuple[str, ...]] = {"job/object": ()}
    found |= {f"parts/{part.number}": (part.number,) for part in s.payload.parts}
    found |= {f"work/{work.number}": work.parts for work in s.payload.work}
    found |= {f"plating/{place}": row.parts for place, row in enumerate(s.payload.plating, 1)}
    found |= {f"protected/{place}": row.parts for place, row in enumerate(s.payload.protected, 1)}
    return {key: parts for key, parts in found.items() if parts or key == "job/object"}


def _caution(s: Setting, row: Caution, parts_of: Mapping[str, tuple[str, ...]]) -> str:
    """The caution, behind the parts it is of where all its rows are of parts."""
    text = caution_words(s, row)
    told = {number for key in row.rows for number in parts_of.get(key, ())}
    numbers = [part.number for part in s.payload.parts if part.number in told]
    known = numbers and all(key in parts_of for key in row.rows)
    return s.labelled(s.part_names(numbers, 4), text) if known else text


def caution_words(s: Setting, row: Caution) -> str:
    return s.say("materials.source", text=row.text, source=row.source) if row.source else row.text
