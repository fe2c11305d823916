"""Every attack of `tests/vectors`: the code, verdict, overall answer, exit code and place it must give.

A folder is named by its code. Those below `dossier` are made here, by the recipe `make.py` in each, since
they start from a dossier that is signed at run time; `expect.toml` says what is attacked, what stops it, and
what the check answers. Those below `record` and `code` are files; `attacks.toml` says to which attack they
belong.
"""

from __future__ import annotations

import re
import runpy
import tomllib
from collections import defaultdict
from pathlib import Path
from typing import Any

import pytest

from dossier.model.result import EXIT_CODES, Result

ROOT = Path(__file__).parents[2]
VECTORS = ROOT / "tests" / "vectors"
MADE = sorted(path.parent for path in (VECTORS / "dossier").glob("*/expect.toml"))
TABLE = tomllib.loads((VECTORS / "attacks.toml").read_text(encoding="utf-8"))
NAMED = sorted({VECTORS / name for attack in TABLE["attack"] for name in attack.get("vectors", [])})
KEPT = [folder for folder in NAMED if "keycard" not in folder.parts]  # those: test_seal_card_vectors.py
# FORMAT.md section 12, written again here.
EXITS = {"in order": 0, "altered": 1, "not confirmed": 2, "superseded": 3, "unreadable": 4}


def verdicts() -> dict[str, str]:
    """The verdict of every code, from the table in FORMAT.md."""
    text = (ROOT / "schemas" / "FORMAT.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| [\d-]+ \| `([a-z-]+)` \| ([a-z ]+) \|", text, re.MULTILINE)
    return dict(rows)


VERDICTS = verdicts()


def named(folder: Path) -> str:
    return folder.name.partition("--")[0]


def assert_answer(result: Result, code: str, overall: str) -> list[str]:
    """The places of `code`, whose verdict is the one of FORMAT.md; overall answer and exit code fit."""
    found = [check for check in result.checks if check.code == code]
    assert found, [(check.code, check.where) for check in result.checks]
    assert (result.overall, EXIT_CODES[result.overall]) == (overall, EXITS[overall]), result.checks
    if VERDICTS[code] != "cannot be read":
        assert {check.verdict for check in found} == {VERDICTS[code]}
    return [place for check in found for place in check.where]


@pytest.mark.parametrize("folder", MADE, ids=lambda folder: folder.name)
def test_attack_on_a_dossier(folder: Path, bench: Any) -> None:
    expected = tomllib.loads((folder / "expect.toml").read_text(encoding="utf-8"))
    given = runpy.run_path(str(folder / "make.py"))["make"](bench)
    places = assert_answer(bench.check(given), named(folder), expected["overall"])
    if "where" in expected:
        assert places == expected["where"]
    for place in expected.get("among", []):
        assert any(place in one for one in places), places


@pytest.mark.parametrize("folder", KEPT, ids=lambda folder: f"{folder.parent.name}/{folder.name}")
def test_attack_on_a_record_or_code(folder: Path, bench: Any) -> None:
    code = folder / "code.txt"
    given = code.read_text(encoding="utf-8") if code.exists() else folder / "record.json"
    overall = {"does not match": "altered", "cannot be read": "unreadable"}[VERDICTS[named(folder)]]
    assert_answer(bench.check(given), named(folder), overall)


def test_every_attack_has_a_vector_and_says_what_stops_it() -> None:
    of: dict[str, list[str]] = defaultdict(list)
    for folder in MADE:
        expected = tomllib.loads((folder / "expect.toml").read_text(encoding="utf-8"))
        assert expected["what"]
        assert expected["stops"]
        of[expected["attack"]].append(folder.name)
    for attack in TABLE["attack"]:
        assert attack["stops"]
        of[attack["name"]] += [*attack.get("vectors", []), *attack.get("tests", [])]
        assert of[attack["name"]], attack["name"]
    assert set(of) == {attack["name"] for attack in TABLE["attack"]}
    assert len(MADE) > 60
    assert all(list(folder.glob("*")) for folder in NAMED)


def test_every_test_that_shows_an_attack_is_there() -> None:
    for name in {name for attack in TABLE["attack"] for name in attack.get("tests", [])}:
        file, function = name.split("::")
        assert f"def {function}(" in (ROOT / file).read_text(encoding="utf-8"), name
