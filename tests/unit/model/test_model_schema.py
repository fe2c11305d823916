"""The schema in the repository is the one the model gives, and it is a schema."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import jsonschema

from dossier.model import schema
from dossier.model.record import Apart
from dossier.model.words import LEFT_OUT

FILE = Path(__file__).parents[3] / "schemas" / "record.schema.json"


def test_the_file_is_what_the_model_gives() -> None:
    """Where this fails: `python -m dossier.model.schema > schemas/record.schema.json`."""
    assert FILE.read_text(encoding="utf-8") == schema.text()
    # Python 3.13 takes indents off docstrings (What's New in Python 3.13, "Other Language Changes")
    assert not any("\n " in one.get("description", "") for one in schema.record_schema()["$defs"].values())


def test_the_command_prints_it() -> None:
    command = [sys.executable, "-m", "dossier.model.schema"]
    assert subprocess.run(command, capture_output=True, check=True).stdout == FILE.read_bytes()


def test_it_is_a_schema_of_2020_12() -> None:
    value = json.loads(FILE.read_bytes())
    assert value["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    jsonschema.Draft202012Validator.check_schema(value)


def test_the_places_for_leaving_out_are_those_of_the_vocabulary() -> None:
    assert {*Apart.__struct_fields__, "photograph"} == set(LEFT_OUT)
