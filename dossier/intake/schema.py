"""What a job folder may hold, as one table of fields: the keys of the TOML files, the headings of the tables.

The reader checks against it, the template is written from it. A field's name is the model's name; as a
heading it is written with spaces ("came as"). Not done here: reading anything.
"""

from __future__ import annotations

from typing import Literal, get_args

import msgspec

from dossier.model.aids import AID_KINDS, TARGET_MADE
from dossier.model.words import (
    ANSWERS,
    CAME_AS,
    CUT_KINDS,
    DONE,
    FOR_WHOM,
    KNOWN_FROM,
    MAY_BE_SHOWN,
    PLACE_KINDS,
    RULE_ANSWERS,
    SEEN,
    STAGES,
    STITCH_HOLES,
    THICKNESS_IS,
    Covered,
)

# text: any words. figure: the same, and never a date. lines: several texts.
# word: one of `words`; words: several of them.
# date: ISO 8601 or a clear local form.
# about: a date, or words for one that is not known exactly ("about 1930").
# number: a short label of a part or agreement. count: whole pieces, from 1. tally: what was counted, 0 too.
# degrees: whole Celsius. parts: numbers. pieces: "9" or "9 of 64". yes: yes or no. at: places in percent.
# clock: how much a clock was fast or slow.
Kind = Literal[
    "text",
    "figure",
    "lines",
    "word",
    "words",
    "date",
    "about",
    "number",
    "count",
    "tally",
    "degrees",
    "parts",
    "pieces",
    "yes",
    "at",
    "clock",
]


class Field(msgspec.Struct, frozen=True):
    name: str
    kind: Kind = "text"
    words: tuple[str, ...] = ()
    needed: bool = False

    @property
    def heading(self) -> str:
        return self.name.replace("_", " ").replace(".", " ")


Fields = tuple[Field, ...]


def _texts(*names: str) -> Fields:
    return tuple(Field(name) for name in names)


def _claim(name: str) -> Fields:
    return (Field(f"{name}.what"), Field(f"{name}.known_from", "word", KNOWN_FROM))


_KNOWN_FROM = Field("known_from", "word", KNOWN_FROM)
_CONTACT: Fields = (Field("name", needed=True), *_texts("address", "telephone", "email"))

TABLES: dict[str, Fields] = {
    "parts": (
        Field("number", "number", needed=True),
        Field("part", needed=True),
        Field("part_of", "number"),
        Field("pieces", "count"),
        Field("seen", "word", SEEN),
        Field("came_as", "word", CAME_AS),
        _KNOWN_FROM,
        *_texts("material", "condition", "measure", "new_material", "made_by", "why", "difference"),
        *_texts("told_by", "undone_by", "old_piece", "kept_why", "why_otherwise"),
    ),
    "work": (
        Field("date", "date"),
        Field("who"),
        Field("parts", "parts", needed=True),
        Field("pieces", "pieces"),
        Field("done", "word", DONE, needed=True),
        *_texts("how", "product", "batch"),
        Field("agreed_on", "number"),
        Field("covered", "word", get_args(Covered)),
        Field("test"),
        Field("stitch_holes", "word", STITCH_HOLES),
        Field("holes_before", "tally"),
        Field("holes_after", "tally"),
    ),
    "photos": (
        Field("file", needed=True),
        Field("stage", "word", STAGES),
        Field("parts", "parts"),
        *_texts("pair", "caption"),
        Field("cover", "yes"),
        Field("private", "yes"),
        Field("clock", "clock"),
    ),
    "marks": (
        Field("file", needed=True),
        Field("number", "number", needed=True),
        Field("place", "word", (*PLACE_KINDS, *AID_KINDS), needed=True),
        Field("at", "at", needed=True),
        Field("part", "number"),
        Field("note"),
        Field("size"),
    ),
    "measurements": (
        Field("what", needed=True),
        Field("value", "figure", needed=True),
        Field("unit"),
        Field("part", "number"),
        Field("how"),
        Field("plus_minus", "figure"),
        Field("date", "date"),
    ),
}

# `job.toml`: keys at the top, tables, lists of tables.
TOP: Fields = (
    Field("number", needed=True),
    Field("language"),
    Field("for_whom", "word", FOR_WHOM),
    Field("stage", "word", STAGES),
    *_texts("condition", "price"),
    Field("earlier_records", "lines"),
)
SECTIONS: dict[str, Fields] = {
    "object": (
        Field("type", needed=True),
        *_texts("title", "description", "subject"),
        *_claim("maker"),
        *_claim("made"),
        *_claim("place"),
        Field("materials", "lines"),
        Field("inventory_number"),
        Field("related_papers", "lines"),
        Field("related_objects", "lines"),
    ),
    "owner": _CONTACT,
    "brought_by": _CONTACT,
    "payer": _CONTACT,
    "received_by": _CONTACT,
    "dates": tuple(
        Field(name, "date")
        for name in ("asked", "received", "looked_at", "agreed", "opened", "begun", "done", "returned")
    ),
    "looked_at": (
        Field("by"),
        Field("how", "lines"),
        *_texts("light", "reason"),
        Field("could_not_see", "lines"),
        Field("found_inside", "lines"),
    ),
    "taken_in": (
        Field("with_it", "lines"),
        Field("asked", "lines"),
        Field("leave", "lines"),
        *_texts("spend_at_most", "wanted_back"),
        Field("may_be_shown", "word", MAY_BE_SHOWN),
    ),
    "handover": (
        Field("date", "date"),
        Field("with_it", "lines"),
        Field("care", "lines"),
        *_texts("guarantee", "next_look"),
    ),
}
LISTS: dict[str, Fields] = {
    "know_it_by": (Field("what", needed=True), *_texts("where", "photograph"), Field("places", "lines")),
    "inscriptions": (
        Field("text", needed=True),
        *_texts("kind", "where"),
        _KNOWN_FROM,
        Field("photograph"),
        Field("private", "yes"),
    ),
    "agreements": (
        Field("number", "number", needed=True),
        Field("asked", "date"),
        Field("answered", "date"),
        Field("answer", "word", ANSWERS),
        *_texts("what", "how", "by", "price"),
    ),
    "advised": (Field("what", needed=True), Field("why_not"), Field("parts", "parts")),
    "history": (
        Field("what", needed=True),
        Field("date", "about"),
        Field("by"),
        _KNOWN_FROM,
        Field("parts", "parts"),
        Field("done", "word", DONE),
        Field("pieces", "count"),
    ),
    "other_objects": (
        Field("part", "number", needed=True),
        Field("record", needed=True),
        Field("number", "number", needed=True),
    ),
    "values": (
        Field("when", "word", ("before", "after")),
        Field("low", needed=True),
        Field("high", needed=True),
        Field("currency", needed=True),
        Field("date", "date"),
        *_texts("by", "basis"),
    ),
    "plating": (
        Field("parts", "parts"),
        Field("by"),
        Field("date", "date"),
        Field("metal", needed=True),
        *_texts("karat", "base", "thickness"),
        Field("thickness_is", "word", THICKNESS_IS),
        _KNOWN_FROM,
        Field("stripped", "word", ("yes", "no")),
        Field("polished", "word", ("yes", "no")),
        *_texts("stamps", "density", "current", "time", "area", "efficiency", "valence"),
    ),
    "calculations": (
        Field("what", needed=True),
        Field("kind", "word", CUT_KINDS, needed=True),
        Field("parts", "parts"),
        *_texts("cavity_length", "cavity_width", "leather", "board", "turn_in", "seam"),
    ),
    "protected": (
        Field("species", needed=True),
        Field("what"),
        Field("parts", "parts"),
        Field("quantity"),
        Field("acquired", "about"),
        *_texts("origin", "source"),
        _KNOWN_FROM,
        Field("permit"),
    ),
}
# A sheet of its own in a workbook; in plain files these are notes/*.md.
NOTES: Fields = (Field("title", needed=True), Field("text", needed=True), Field("private", "yes"))

WORKSHOP_TOP: Fields = (
    Field("name", needed=True),
    *_texts("address", "telephone", "email", "website", "verification_page", "language"),
    Field("paper", "word", ("A4", "Letter")),
    *_texts("time_zone", "key", "certificate", "second_key", "key_card"),
    Field("time_servers", "lines"),
    Field("time_places", "tally"),
    Field("colour_target", "word", TARGET_MADE),
)
WORKSHOP_LISTS: dict[str, Fields] = {
    "people": (Field("mark", needed=True), *_texts("name", "role")),
    "firms": (Field("mark", needed=True), *_texts("name", "place", "does")),
}
# `rules.toml` beside `workshop.toml`: what goes with what, in the workshop's own experience.
RULES: Fields = (
    Field("name", needed=True),
    Field("answer", "word", RULE_ANSWERS, needed=True),
    Field("use", "lines"),
    Field("done", "words", DONE),
    Field("on", "lines"),
    Field("unless", "lines"),
    Field("hot_from", "degrees"),
    Field("why", needed=True),
    Field("source", needed=True),
)


def plain_word(text: str) -> str:
    """A heading, key or vocabulary word as it is compared: lower case, single spaces, no underscores."""
    return " ".join(text.replace("_", " ").split()).casefold()
