"""The schema of key cards, statements and receipts is the one the model gives, and what is made fits it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import stool

from dossier.model import statements_schema
from dossier.model.statements import CardKey, KeyCard, RecordNamed, Renewal
from dossier.seal import keycard, recovery, signed, statements
from dossier.seal.statements import Wanted

FILE = Path(__file__).parents[3] / "schemas" / "statements.schema.json"
KEY = stool.p256()
ABOUT = RecordNamed(record="urn:uuid:0b8c1c2e-5b7e-4f0a-9d55-3f6a2f1f4c11", sha256="ab" * 32)


def test_the_file_is_what_the_model_gives() -> None:
    """Where this fails: `python -m dossier.model.statements_schema > schemas/statements.schema.json`."""
    assert FILE.read_text(encoding="utf-8") == statements_schema.text()


def payloads() -> dict[str, Any]:
    """One payload of each kind as it is made."""
    keys = recovery.keys_of(bytes(32))
    card = KeyCard(
        format="1.0",
        number=1,
        issued="2026-11-01",
        expires="2027-11-01",
        name="Two Benches",
        recovery=tuple(key.public for key in keys),
        keys=(CardKey(key=KEY.public, state="in use", since="2026-01-01"),),
    )
    first = keycard.read(keycard.make(card, keys, [KEY]))
    renewal = Renewal(format="1.0", card=first.digest, number=1, issued="2026-11-02", expires="2028-01-01")
    again = keycard.read(keycard.renew(first, renewal, [KEY]))
    assert again.renewal_form is not None
    said = statements.state(
        Wanted(kind="correction", about=ABOUT, reason="x", rows=("parts/1",)),
        "",
        [KEY],
        iat=1,
        chance=bytes(16),
    )
    receipt = statements.acknowledge(ABOUT, "", KEY, iat=1, chance=bytes(16))
    forms = {
        "KeyCard": first.form,
        "Renewal": again.renewal_form,
        "Statement": signed.read(said),
        "Receipt": signed.read(receipt),
    }
    return {kind: json.loads(form.payload) for kind, form in forms.items()}


@pytest.mark.parametrize("kind", ["KeyCard", "Renewal", "Statement", "Receipt"])
def test_what_is_made_fits_and_what_lacks_a_member_does_not(kind: str) -> None:
    schema = json.loads(FILE.read_bytes())
    jsonschema.Draft202012Validator.check_schema(schema)
    one = {"$ref": f"#/$defs/{kind}", "$defs": schema["$defs"]}
    payload = payloads()[kind]
    jsonschema.validate(payload, one)
    jsonschema.validate(payload, schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({k: v for k, v in payload.items() if k != "format"}, one)
