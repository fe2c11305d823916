"""Reasons are given whole and in plain words: a line that cannot be read, a photograph left out."""

from __future__ import annotations

from pathlib import Path

import pytest

from dossier.intake.folder import read_job
from dossier.intake.template import new_job


def messages(folder: Path, code: str) -> list[str]:
    return [f"{f.at}: {f.message}" for f in read_job(folder)[1] if f.code == code]


@pytest.mark.parametrize(
    ("after", "reason"),
    [
        ('[owner]\nname = "A"\nname = "B"\n', "stands twice under one heading"),  # TOML 1.0, Keys
        ('[owner]\nname = "A"\n[owner]\nname = "B"\n', "this heading stands twice"),  # TOML 1.0, Table
        ("[owner]\nname = Anna\n", "in quotation marks"),  # TOML 1.0, String
    ],
)
def test_the_usual_slips_in_plain_words(tmp_path: Path, after: str, reason: str) -> None:
    new_job(tmp_path / "job")
    (tmp_path / "job" / "job.toml").write_text(f'number = "1"\n{after}', encoding="utf-8")
    (said,) = messages(tmp_path / "job", "toml-syntax")
    assert reason in said
    assert said.startswith("job.toml:")


def test_the_reason_why_a_photograph_is_left_out_is_whole(tmp_path: Path) -> None:
    new_job(tmp_path / "job")
    (tmp_path / "job" / "photos" / "a.jpg").write_bytes(b"\xff\xd8\xff\xe0garbage" * 10)
    (said,) = messages(tmp_path / "job", "photograph-cannot-serve")
    assert "…" not in said
    assert "a.jpg" in said
