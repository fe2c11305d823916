"""The JSON Schema of the record (2020-12), made from the model: `python -m dossier.model.schema`.

Printed, not written: `schemas/record.schema.json` is its output, and a test says so. Not said by the schema:
the steps of a check, canonical form, where digests may stand (FORMAT.md).
"""

from __future__ import annotations

import inspect
import json
import sys
from collections.abc import Iterable
from typing import Any

import msgspec

from dossier.model.record import (
    FORMAT_PATTERN,
    FORMAT_VERSION,
    LAST_SECOND,
    NAME_PATTERN,
    RECORD_PATTERN,
    OpenApart,
    Payload,
    PhotoDetails,
)

DIALECT = "https://json-schema.org/draft/2020-12/schema"

# What the types alone do not say (FORMAT.md section 3).
_NARROWER: dict[tuple[str, str], dict[str, Any]] = {
    ("Payload", "format"): {"pattern": f"^{FORMAT_PATTERN}$"},
    ("Payload", "_sd_alg"): {"const": "sha-256"},
    ("Payload", "iat"): {"minimum": 0, "maximum": LAST_SECOND},
    ("Payload", "record"): {"pattern": f"^{RECORD_PATTERN}$"},
    ("WorkshopId", "keys"): {"minItems": 1},
    ("WorkshopId", "signatures"): {"minItems": 1},
    ("Photograph", "name"): {"pattern": f"^{NAME_PATTERN}$"},
    ("Photograph", "details"): {"minItems": 1, "maxItems": 1},
    ("PhotoDetails", "name"): {"pattern": f"^{NAME_PATTERN}$"},
}


def record_schema() -> dict[str, Any]:
    """The schema of a payload; under `$defs` also what each kind of disclosure holds."""
    components = components_of((Payload, OpenApart, PhotoDetails))
    for (kind, member), narrower in _NARROWER.items():
        components[kind]["properties"][member].update(narrower)
        if member not in components[kind]["required"]:
            components[kind]["required"].append(member)
    return {
        "$schema": DIALECT,
        "$id": f"urn:restoration-record:payload:{FORMAT_VERSION}",
        "title": f"Payload of a sealed restoration record, version {FORMAT_VERSION}",
        "$comment": "OpenApart says what the disclosures of each array of `apart` hold, PhotoDetails those "
        "of a photograph's `details`. Members not named here are allowed and ignored (FORMAT.md).",
        "$ref": "#/$defs/Payload",
        "$defs": components,
    }


def components_of(kinds: Iterable[type]) -> dict[str, Any]:
    """What stands under `$defs`, the same by every Python: from 3.13 on docstrings lose their indents."""
    _, components = msgspec.json.schema_components(kinds, ref_template="#/$defs/{name}")
    for one in components.values():
        if "description" in one:
            one["description"] = inspect.cleandoc(one["description"])
    return components


def text() -> str:
    """The schema as the file has it."""
    return json.dumps(record_schema(), indent=2, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    sys.stdout.write(text())
