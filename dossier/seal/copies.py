"""The copies of a record: what each carries, and making one by leaving disclosures out.

The table is the whole rule. No key is needed: an owner can make a copy for others from their own copy.
Not done here: the pages and files of a copy.
"""

from __future__ import annotations

from collections.abc import Mapping

import msgspec

from dossier.model.record import OpenRecord, PhotoDetails, Photograph, Sealed
from dossier.model.words import LEFT_OUT, CopyKind, LeftOut
from dossier.seal.opening import PHOTOGRAPH, Disclosed, Opening, open_sealed
from dossier.seal.said import unreadable, usage_error

# FORMAT.md section 5. The photographs marked private are the one finer point: see `PRIVATE_PHOTOGRAPHS`.
CARRIES: dict[CopyKind, frozenset[LeftOut]] = {
    "workshop": frozenset(LEFT_OUT),
    "owner": frozenset(LEFT_OUT) - {"inputs"},
    "resale": frozenset({"photograph"}),
    "insurer": frozenset({"photograph", "owner", "prices", "values", "private_marks"}),
}
BAREST_FIRST: tuple[CopyKind, ...] = ("resale", "insurer", "owner", "workshop")
PRIVATE_PHOTOGRAPHS: frozenset[CopyKind] = frozenset({"workshop", "owner"})


def leave_out(sealed: Sealed, copy: CopyKind, photographs: frozenset[str] = frozenset()) -> Sealed:
    """The record as `copy` carries it, also without the details of the `photographs` named (neutral names).

    Raises UnreadableError where the record does not open, UsageError for a photograph it does not have.
    """
    return cut(sealed, _opened(sealed), copy, photographs)[0]


def cut(
    sealed: Sealed, opening: Opening, copy: CopyKind, photographs: frozenset[str] = frozenset()
) -> tuple[Sealed, OpenRecord]:
    """`leave_out` of a record that was opened before, and the record as the copy has it."""
    if unknown := photographs - {one.name for one in _photographs(opening)}:
        raise usage_error("no_photograph", names=", ".join(sorted(unknown)))
    details = _details(opening)
    kept = [one for one in opening.disclosed if _carried(one, copy, photographs, details)]
    record = opening.opened_as(kept, copy)
    if record is None:
        raise unreadable(opening.problems[0].code)
    return msgspec.structs.replace(sealed, disclosures=tuple(one.disclosure for one in kept)), record


def copies_like(sealed: Sealed) -> tuple[CopyKind, ...]:
    """Which copies could look like `sealed`: those that would leave out nothing more of it.

    A record does not say which copy it is, since a holder can make one without the key. The barest is first.
    """
    opening = _opened(sealed)
    details = _details(opening)
    return tuple(
        kind
        for kind in BAREST_FIRST
        if all(_carried(one, kind, frozenset(), details) for one in opening.disclosed)
    )


def _opened(sealed: Sealed) -> Opening:
    opening = open_sealed(sealed)
    if opening.record is None:
        raise unreadable(opening.problems[0].code)
    return opening


def _details(opening: Opening) -> Mapping[str, PhotoDetails]:
    """Of the photographs, by name."""
    return opening.record.photo_details if opening.record else {}


def _photographs(opening: Opening) -> tuple[Photograph, ...]:
    return opening.record.payload.photographs if opening.record else ()


def _carried(
    one: Disclosed, copy: CopyKind, photographs: frozenset[str], details: Mapping[str, PhotoDetails]
) -> bool:
    if one.place.kind != PHOTOGRAPH:
        return one.place.kind in CARRIES[copy]
    name = one.value["name"]
    return name not in photographs and (copy in PRIVATE_PHOTOGRAPHS or not details[name].private)
