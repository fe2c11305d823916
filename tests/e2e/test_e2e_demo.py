"""The demo jobs, as a first customer meets them: they compile, conform, can be e-mailed, and check."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

ROOT = Path(__file__).parents[2]
MOST_BYTES = 15_000_000  # what an e-mail carries


@pytest.mark.parametrize("name", ["doctors_bag", "mantel_clock"])
def test_a_demo_job(
    name: str, tmp_path: Path, run: Callable[..., Any], assert_conforming: Callable[[bytes], None]
) -> None:
    job = ROOT / "demo_jobs" / name
    ran = run("compile", job, "--to", tmp_path / "out")
    assert ran.code == 0, ran.err
    pdf = (tmp_path / "out" / "dossier.pdf").read_bytes()
    assert len(pdf) < MOST_BYTES
    assert_conforming(pdf)
    (result,) = json.loads(run("verify", tmp_path / "out", "--pages", "--json").out)
    codes = {check["code"] for check in result["checks"]}
    assert {"photographs-match", "pages-match", "pdf-signature-matches", "key-trial"} <= codes
    assert all(check["verdict"] != "does not match" for check in result["checks"])
    text = "".join(
        page.get_textpage().get_text_bounded()
        for page in pypdfium2.PdfDocument(tmp_path / "out" / "dossier.pdf")
    )
    assert "What is original and what was done" in text
    assert "How to know this object" in text
