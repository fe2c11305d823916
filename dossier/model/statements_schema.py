"""The JSON Schema (2020-12) of what is signed beside a record: `python -m dossier.model.statements_schema`.

Printed, not written: `schemas/statements.schema.json` is its output, and a test says so. Not said by the
schema: signatures, which days and states go together (FORMAT.md sections 16 and 17).
"""

from __future__ import annotations

import json
import sys
from typing import Any

from dossier.model.record import FORMAT_PATTERN, FORMAT_VERSION, LAST_SECOND
from dossier.model.schema import DIALECT, components_of
from dossier.model.statements import Handover, KeyCard, Receipt, Renewal, Statement

KINDS = (KeyCard, Renewal, Handover, Statement, Receipt)


def statements_schema() -> dict[str, Any]:
    """One schema for all five payloads; each by itself stands under `$defs`."""
    components = components_of(KINDS)
    for kind in KINDS:
        members = components[kind.__name__]["properties"]
        members["format"].update({"pattern": f"^{FORMAT_PATTERN}$"})
        if "iat" in members:
            members["iat"].update({"minimum": 0, "maximum": LAST_SECOND})
    components["Statement"]["properties"]["reason"].update({"minLength": 1, "maxLength": 4000})
    return {
        "$schema": DIALECT,
        "$id": f"urn:restoration-record:statements:{FORMAT_VERSION}",
        "title": f"Payloads of key cards, statements and receipts, version {FORMAT_VERSION}",
        "$comment": "Members not named here are allowed and ignored (FORMAT.md).",
        "anyOf": [{"$ref": f"#/$defs/{kind.__name__}"} for kind in KINDS],
        "$defs": components,
    }


def text() -> str:
    """The schema as the file has it."""
    return json.dumps(statements_schema(), indent=2, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    sys.stdout.write(text())
