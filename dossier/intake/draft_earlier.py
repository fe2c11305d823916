"""A new job of an object that has an earlier record: its object, marks and part numbers, taken over.

The rule for `came as`: what is there now in the earlier record is what comes in now. Original in any state
comes as original; new comes as an earlier replacement (what replaced a later addition stays a later
addition); missing and taken away come as missing. Where pieces of one row differ and their numbers are
certain, the row is split under numbers never used before; where not certain it comes as not known.
"""

from __future__ import annotations

from dossier.intake.draft import Draft, Values
from dossier.intake.earlier import disclosed
from dossier.intake.schema import LISTS, SECTIONS, TABLES
from dossier.model.plain import from_plain, to_plain
from dossier.model.record import PartNow, Payload
from dossier.model.rows import Mark, Object, Part
from dossier.model.words import CameAs, Now
from dossier.words import Catalogue

_CAME_AS: dict[Now, CameAs] = {
    "original, left as found": "original",
    "original, no work recorded": "original",
    "original, treated": "original",
    "original, new surface": "original",
    "original, part renewed": "original",
    "earlier replacement": "earlier replacement",
    "later addition": "later addition",
    "from another object": "from another object",
    "new, like for like": "earlier replacement",
    "new, with a difference": "earlier replacement",
    "new, likeness not known": "earlier replacement",
    "missing": "missing",
    "taken away": "missing",
    "not known": "not known",
}


def earlier_draft(words: Catalogue, number: str, payload: Payload, apart: list[str], path: str) -> Draft:
    """The job that follows `payload`; `apart` are its disclosures, `path` leads to the record."""
    private = [from_plain(Mark, value) for value in disclosed(apart, payload.apart.private_marks)]
    return Draft(
        top={"number": number, "for_whom": payload.for_whom, "earlier_records": [path]},
        sections={name: {} for name in SECTIONS} | {"object": _object(payload.object)},
        lists={name: [] for name in LISTS}
        | {
            "know_it_by": [_without_photograph(feature) for feature in payload.know_it_by],
            "inscriptions": [_without_photograph(mark) for mark in (*payload.marks, *private)],
        },
        tables={name: [] for name in TABLES} | {"parts": parts_carried(payload.parts, payload.parts_now)},
        remarks=list(words.table("template.job")["top"]) + list(words.table("template.earlier")["top"]),
    )


def _object(value: Object) -> Values:
    """The object's members; a claim as "maker.what" and "maker.known_from"."""
    flat: Values = {}
    for name, member in to_plain(value).items():
        if isinstance(member, dict):
            flat |= {f"{name}.{inner}": text for inner, text in member.items() if member.get("what")}
        else:
            flat[name] = member
    return flat


def _without_photograph(row: object) -> Values:
    """A row without the neutral name of an earlier photograph, which is not in the new job."""
    plain = to_plain(row)  # type: ignore[arg-type]
    return {name: value for name, value in plain.items() if name != "photograph"}


def parts_carried(parts: tuple[Part, ...], now: tuple[PartNow, ...]) -> list[Values]:
    """The register as it comes in now, by the rule at the head of this module."""
    used = {part.number.casefold() for part in parts}
    rows: list[Values] = []
    for part in parts:
        states = [row for row in now if row.part == part.number]
        for number, pieces, came_as, is_new in _groups(part, states, used):
            rows.append(_row(part, number, pieces, came_as, is_new))
    return rows


Group = tuple[str, int, CameAs, bool]  # number, pieces, came as, new material is what it is made of


def _groups(part: Part, states: list[PartNow], used: set[str]) -> list[Group]:
    """The row, or its pieces by what they come as now, the largest group under the old number."""
    counts: dict[tuple[CameAs, bool], int] = {}
    for state in states:
        key = _came_as(part, state.now), state.now.startswith("new,")
        counts[key] = counts.get(key, 0) + state.pieces_low
    if not counts:  # a part that only holds others
        return [(part.number, part.pieces, part.came_as, False)]
    if len(counts) == 1:
        came_as, is_new = next(iter(counts))
        return [(part.number, part.pieces, came_as, is_new)]
    if any(state.pieces_low != state.pieces_high for state in states) or sum(counts.values()) != part.pieces:
        return [(part.number, part.pieces, "not known", False)]
    ordered = sorted(counts.items(), key=lambda item: -item[1])
    numbers = [part.number, *(_unused(part.number, used) for _ in ordered[1:])]
    return [(number, count, *key) for number, (key, count) in zip(numbers, ordered, strict=True)]


def _came_as(part: Part, now: Now) -> CameAs:
    if now.startswith("new,") and part.came_as == "later addition":
        return "later addition"
    return _CAME_AS[now]


def _unused(number: str, used: set[str]) -> str:
    """A number that no part has had: 4 gives 4.2, 4.3 ..."""
    count = 2
    while f"{number}.{count}".casefold() in used:
        count += 1
    used.add(f"{number}.{count}".casefold())
    return f"{number}.{count}"


def _row(part: Part, number: str, pieces: int, came_as: CameAs, is_new: bool) -> Values:
    known = "not known" if came_as == "not known" else "paper"
    row = {
        "number": number,
        "part": part.part,
        "part_of": part.part_of,
        "pieces": str(pieces),
        "seen": part.seen,
        "came_as": came_as,
        "known_from": known,
        "material": (part.new_material or part.material) if is_new else part.material,
        "measure": part.measure,
    }
    return {name: value for name, value in row.items() if value}
