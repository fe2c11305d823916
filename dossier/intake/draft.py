"""What a new job holds before it is written down: the small example, or what an earlier record gives.

Keys are the schema's fields. Not done here: writing files.
"""

from __future__ import annotations

from typing import Any

import msgspec

from dossier.intake.schema import LISTS, SECTIONS, TABLES, TOP, Field
from dossier.words import Catalogue

Values = dict[str, Any]  # field name -> text, list of texts, true or false


class Draft(msgspec.Struct):
    top: Values
    sections: dict[str, Values]
    lists: dict[str, list[Values]]
    tables: dict[str, list[Values]]
    remarks: list[str]  # said at the head of the job


def example_draft(words: Catalogue, number: str, mark: str | None = None) -> Draft:
    """The invented example of the catalogue, under the job's own number; by `mark`, where one is given."""
    example = words.table("template.example")
    if mark is not None:
        example = _by(mark, example, example["people"][0]["mark"])
    return Draft(
        top={"number": number} | example["top"],
        sections={name: dict(example.get(name, {})) for name in SECTIONS},
        lists={name: list(example.get(name, [])) for name in LISTS},
        tables={name: list(example.get(name, [])) for name in TABLES},
        remarks=[*words.table("template.job")["top"], *words.table("template.job")["example"]],
    )


def _by(mark: str, value: Any, invented: str) -> Any:
    """`value` with `mark` wherever the invented one stands."""
    if isinstance(value, dict):
        return {key: _by(mark, one, invented) for key, one in value.items()}
    if isinstance(value, list):
        return [_by(mark, one, invented) for one in value]
    return mark if value == invented else value


def help_for(words: Catalogue, table: str, field: Field) -> str:
    """What a line or column is for, with the words it takes."""
    section = "contact" if table in ("owner", "brought_by", "payer", "received_by") else table
    said = words.say(f"template.help.{section}.{field.name.replace('.', '_')}")
    if field.kind == "yes":
        return said
    one_of = words.say("template.one_of", words=", ".join(field.words)) if field.words else ""
    return " ".join(text for text in (said, one_of) if text)


def top_fields() -> dict[str, tuple[Field, ...]]:
    """The single values of a job by table; "top" for those at the head."""
    return {"top": TOP} | SECTIONS
