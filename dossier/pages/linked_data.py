"""The one-page sheet as JSON-LD 1.1: schema.org's terms where they say what is meant, else terms of our own.

Two things are described: the object (`Product`) and the record of it (`CreativeWork`, by the workshop). They
are kept apart on purpose: the workshop is the author of the record and never stands as maker, brand or seller
of the object. Who made the object is a claim with its basis (`additionalProperty`); `manufacturer` would
state it as a fact. There is no `itemCondition`: a record speaks of the day it was made, not of today. Nothing
is fetched to read it (the context is written out).

Drawn from the record of one copy alone. Same record, same bytes. Terms: schemas/FORMAT.md, section 14.
"""

from __future__ import annotations

import json
from typing import Any

from dossier.model.counted import Account
from dossier.model.record import OpenRecord, Sentence, WorkshopId, moment
from dossier.model.rows import Claim, Feature, Mark, Measurement
from dossier.pages.options import PageOptions
from dossier.pages.setting import Setting, bare
from dossier.words.dates import typed_number

SCHEMA = "https://schema.org/"
TERMS = "urn:uuid:42129469-7a86-5acc-99b8-a98c7be031dd#"  # fixed; RFC 9562 and RFC 8141 section 2.3.3
OWN = "restoration"
# Their order carries meaning, so they are lists (JSON-LD 1.1 section 4.3).
_LISTS = ("said", "account")
Plain = dict[str, Any]


def linked_data(record: OpenRecord, options: PageOptions) -> bytes:
    """The file, UTF-8, indented, ending in a line end."""
    s = Setting(record, {}, options)
    context: Plain = {"@vocab": SCHEMA, OWN: TERMS}
    for name in _LISTS:
        context[f"{OWN}:{name}"] = {"@container": "@list"}
    whole = {"@context": context, **_object(s), "subjectOf": _record(s)}
    return (json.dumps(_kept(whole), ensure_ascii=False, indent=2) + "\n").encode("utf-8")


def _kept(value: Any) -> Any:
    """Without members that say nothing, as in the record itself; words without marks of direction.

    Those around a part's name (UAX 9, isolates) are for pages and plain text, where names stand in a line.
    """
    if isinstance(value, str):
        return bare(value)
    if isinstance(value, dict):
        kept = {key: _kept(member) for key, member in value.items()}
        return {key: member for key, member in kept.items() if member not in ("", [], {})}
    if isinstance(value, (list, tuple)):
        return [_kept(member) for member in value]
    return value


def _object(s: Setting) -> Plain:
    thing = s.payload.object
    return {
        "@id": f"{s.payload.record}#object",
        "@type": "Product",
        "name": s.object_name,
        "category": thing.type,
        "description": thing.description,
        "material": thing.materials,
        "identifier": _property("inventory_number", thing.inventory_number, s)
        if thing.inventory_number
        else "",
        "additionalProperty": [
            *_claims(s),
            *(_measure(s, row) for row in s.payload.measurements),
            *(_mark(s, row) for row in s.payload.marks),
            *(_feature(s, row) for row in s.payload.know_it_by),
        ],
    }


def _property(label: str, value: str, s: Setting, **more: Any) -> Plain:
    """`label`: a key of the pages' labels."""
    return {"@type": "PropertyValue", "name": s.say(f"label.{label}"), "value": value, **more}


def _claims(s: Setting) -> list[Plain]:
    thing = s.payload.object
    rows: tuple[tuple[str, Claim], ...] = (
        ("object_maker", thing.maker),
        ("made", thing.made),
        ("place", thing.place),
    )
    return [
        _property(label, claim.what, s, **_basis(s, claim.known_from)) for label, claim in rows if claim.what
    ]


def _basis(s: Setting, known_from: str) -> Plain:
    return {f"{OWN}:knownFrom": known_from, "description": s.known(known_from)}


def _measure(s: Setting, row: Measurement) -> Plain:
    return {
        "@type": "PropertyValue",
        "name": f"{row.what} ({s.part_name(row.part)})".replace("\u00a0", " ") if row.part else row.what,
        "value": typed_number("en", row.value),
        "unitText": row.unit,
        "measurementTechnique": row.how,
        f"{OWN}:plusMinus": typed_number("en", row.plus_minus),
        f"{OWN}:date": row.date,
    }


def _mark(s: Setting, row: Mark) -> Plain:
    more = {f"{OWN}:kind": row.kind, f"{OWN}:where": row.where}
    return _property("marks", row.text, s, **more, **_basis(s, row.known_from))


def _feature(s: Setting, row: Feature) -> Plain:
    named = {"@type": "PropertyValue", "name": s.say("sheet.know_it"), "value": row.what}
    return {**named, f"{OWN}:where": row.where}


def _record(s: Setting) -> Plain:
    payload = s.payload
    made = moment(payload.iat).date().isoformat()
    return {
        "@id": payload.record,
        "@type": ["CreativeWork", f"{OWN}:Record"],
        "name": s.say("document.title", object=s.object_name),
        "about": {"@id": f"{payload.record}#object"},
        "author": _workshop(payload.workshop),
        "dateCreated": made,
        "inLanguage": payload.language,
        "identifier": payload.record,
        "url": s.options.code_text if s.options.code_text.startswith("https://") else "",
        f"{OWN}:notice": s.say("running.trial") if s.options.trial_key else "",
        f"{OWN}:job": payload.job,
        f"{OWN}:sha256": s.record.digest,
        f"{OWN}:keyFingerprint": s.options.fingerprint,
        f"{OWN}:received": payload.dates.received,
        f"{OWN}:returned": payload.dates.returned,
        f"{OWN}:forWhom": payload.for_whom,
        f"{OWN}:copy": s.record.copy,
        f"{OWN}:notInThisCopy": [
            {f"{OWN}:kind": row.kind, f"{OWN}:count": row.count} for row in s.record.missing if row.count
        ],
        f"{OWN}:said": [_sentence(row) for row in payload.disclosure],
        f"{OWN}:account": [_account(row) for row in payload.account],
        f"{OWN}:howToCheck": s.of_code("papers.sheet_text.check"),
        f"{OWN}:noCheckTells": s.say("sheet.cannot"),
    }


def _workshop(shop: WorkshopId) -> Plain:
    return {
        "@type": "Organization",
        "name": shop.name,
        "address": shop.address,
        "telephone": shop.telephone,
        "email": shop.email,
        "url": shop.website,
    }


def _sentence(row: Sentence) -> Plain:
    return {f"{OWN}:group": row.group, f"{OWN}:text": row.text}


def _account(row: Account) -> Plain:
    return {
        f"{OWN}:seen": row.seen,
        f"{OWN}:now": row.now,
        f"{OWN}:partsLow": row.parts_low,
        f"{OWN}:partsHigh": row.parts_high,
        f"{OWN}:piecesLow": row.pieces_low,
        f"{OWN}:piecesHigh": row.pieces_high,
    }
