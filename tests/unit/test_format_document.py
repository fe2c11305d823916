"""FORMAT.md says what the code does: codes, copies, attachments, exit codes, the trial key, the example."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

from dossier.flows.dossier_files import ATTACHED
from dossier.model.record import TYP_CODE, TYP_RECORD, Payload
from dossier.model.result import CHECK_NUMBERS, EXIT_CODES
from dossier.model.words import COPIES
from dossier.seal.algorithms import ALGORITHMS
from dossier.seal.copies import CARRIES, PRIVATE_PHOTOGRAPHS
from dossier.seal.keys import fingerprint_words
from dossier.seal.trial import TRIAL_THUMBPRINTS
from dossier.words import Catalogue

SCHEMAS = Path(__file__).parents[2] / "schemas"
TEXT = (SCHEMAS / "FORMAT.md").read_text(encoding="utf-8")


def table_rows(first: str) -> list[list[str]]:
    """Cells of the table row(s) whose first cell is `first`."""
    lines = [line for line in TEXT.splitlines() if line.startswith(f"| {first} |")]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines]


def test_the_table_of_codes_is_up_to_date() -> None:
    """Where this fails: `python schemas/make_codes_table.py`."""
    command = [sys.executable, str(SCHEMAS / "make_codes_table.py"), "--check"]
    assert subprocess.run(command, check=False).returncode == 0


def test_what_no_check_can_tell_has_the_codes_of_the_text() -> None:
    words = Catalogue("en")
    for first, table in {
        "dossier, folder, record": "result.cannot_tell_file",
        "code": "result.cannot_tell_code",
        "statement, receipt": "statements.cannot_tell",
        "key card": "keycard.cannot_tell",
    }.items():
        ((_, codes),) = [row for row in table_rows(first) if len(row) == 2 and "`" in row[1]]
        assert re.findall(r"`([a-z-]+)`", codes) == list(words.table(table))


def test_every_code_named_in_the_text_is_in_the_table() -> None:
    listed = set(re.findall(r"^\| [0-9-]+ \| `([a-z0-9-]+)` \|", TEXT, re.MULTILINE))
    in_the_check = TEXT.partition("## 8 The check")[2].partition("## 9")[0]
    named = set(re.findall(r"\(`([a-z0-9-]+)`\)", in_the_check))
    assert named
    assert named - listed == set()


def test_the_table_of_copies_is_the_one_in_use() -> None:
    for kind in CARRIES["workshop"]:
        place = "photographs[i].details" if kind == "photograph" else f"apart.{kind}"
        ((_, said, _, *cells),) = table_rows(f"`{place}`")
        assert said == kind
        for copy, cell in zip(COPIES, cells, strict=True):
            if kind == "photograph" and copy not in PRIVATE_PHOTOGRAPHS:
                assert cell == "those not private"
            else:
                assert cell == ("yes" if kind in CARRIES[copy] else "no")


def test_the_attachments_are_those_that_are_made() -> None:
    for name, kind in ATTACHED.items():
        ((_, relationship, media_type, _),) = table_rows(f"`{name}`")
        assert (relationship, media_type) == (kind.relationship, f"`{kind.media_type}`")


def test_the_checks_have_their_numbers() -> None:
    for name, number in CHECK_NUMBERS.items():
        assert f"\n**{number} {name}" in TEXT or f"\n**{number} {name}.**" in TEXT


def test_the_exit_codes_are_those_in_use() -> None:
    names = {"unreadable": "cannot be read", "altered": "does not match"}
    for overall, code in EXIT_CODES.items():
        assert table_rows(names.get(overall, overall))[0][1] == str(code)


def test_every_member_of_the_payload_is_described() -> None:
    section = TEXT.partition("## 3 Payload")[2].partition("## 4")[0]
    for member in Payload.__struct_encode_fields__:
        assert f"`{member}`" in section, member


def test_names_that_are_signed_stand_as_they_are_used() -> None:
    assert f"| `typ` | `{TYP_RECORD}` |" in TEXT
    assert f'16: "{TYP_CODE}"' in TEXT
    for name in ALGORITHMS:
        assert f"| `{name}` |" in TEXT
    assert all(f"`{kid}`" in TEXT for kid in TRIAL_THUMBPRINTS)


def test_the_example_of_a_fingerprint_is_right() -> None:
    found = re.search(r"thumbprint (\S+)\n\s*fingerprint ([0-9 ]+)\n", TEXT)
    assert found
    assert fingerprint_words(found[1]) == found[2]


def test_developers_name_every_file_beside_it() -> None:
    developers = (SCHEMAS.parent / "DEVELOPERS.md").read_text(encoding="utf-8")
    files = [path.name for path in SCHEMAS.iterdir() if path.is_file()]
    assert [name for name in files if f"schemas/{name}" not in developers] == []
