"""What `dossier check` says besides its findings."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner
from PIL import Image

from dossier.cli import program
from dossier.intake.template import new_job


@pytest.mark.parametrize("photographs", [0, 1, 2])
def test_it_says_what_it_did_not_look_at(tmp_path: Path, photographs: int) -> None:
    """A picture damaged in its middle passes a check, and is gone from a dossier once that is signed."""
    job = tmp_path / "a job"
    new_job(job)
    (job / "photos").mkdir(exist_ok=True)
    for n in range(photographs):
        Image.effect_noise((300, 200), 50).save(job / "photos" / f"{n}.jpg")
    said = CliRunner().invoke(program, ["check", str(job)]).output
    assert ("dossier photographs '" in said) is (photographs > 0)
    assert ("Of the 2 photographs" in said) is (photographs == 2)


def test_a_job_whose_object_cannot_be_read_is_named_by_its_number(tmp_path: Path) -> None:
    new_job(tmp_path / "2026-003")
    file = tmp_path / "2026-003" / "job.toml"
    file.write_text(file.read_text("utf-8").replace('type = "satchel"', "type = []"), "utf-8")
    said = CliRunner().invoke(program, ["check", str(file.parent)]).output
    assert said.splitlines()[0] == "2026-003; stage: working"
