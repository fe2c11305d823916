"""One small bad job for each finding code, named by the code it must give, with its exact place."""

from __future__ import annotations

import runpy
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from dossier.intake.codes import CODES
from dossier.intake.folder import read_job
from dossier.model.finding import At

VECTORS = Path(__file__).parents[2] / "vectors" / "intake"
BAD = sorted(path.name for path in VECTORS.iterdir() if path.is_dir() and path.name != "base")


def test_every_code_has_a_vector_and_every_vector_a_code() -> None:
    assert set(BAD) == set(CODES)
    assert all((VECTORS / code / "expect.toml").read_text() for code in BAD)


@pytest.mark.parametrize("code", BAD)
def test_gives_its_code_and_place(
    code: str, lay_out: Callable[..., Path], as_workbook: Callable[[Path], Path]
) -> None:
    folder = lay_out(VECTORS / code / "over")
    recipe = VECTORS / code / "make.py"
    if recipe.exists():
        runpy.run_path(str(recipe))["make"](folder, as_workbook)
    expected = tomllib.loads((VECTORS / code / "expect.toml").read_text())
    _, findings = read_job(folder)
    own = [finding for finding in findings if finding.code not in expected.get("also", [])]
    assert [finding.code for finding in own] == [code], [(str(f.at), f.code, f.message) for f in findings]
    assert own[0].level == CODES[code]
    place = {name: expected.get(name, type(getattr(At(), name))()) for name in At.__struct_fields__}
    assert own[0].at == At(**place)
    assert expected.get("hint", "") in own[0].hint
    assert own[0].message
    assert own[0].hint
    assert own[0].message[0] == own[0].message[0].lower()
    assert "{" not in own[0].message + own[0].hint
