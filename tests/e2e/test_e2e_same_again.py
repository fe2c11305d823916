"""Same job, same record; same record, same pages (DESIGN's sixth principle, README)."""

from __future__ import annotations

import base64
import datetime as dt
import itertools
import json
from pathlib import Path

from dossier.container.compare import compare_pages
from dossier.container.read import page_digests
from dossier.flows.compile import compile_job
from dossier.flows.compiling.options import Options

NOW = dt.datetime(2026, 4, 4, 12, 0, 0, tzinfo=dt.UTC)


def compiled(job: Path, target: Path, *, start: int = 1, now: dt.datetime = NOW) -> Path:
    """One compile with a clock and a source of salts of the test's own."""
    numbers = itertools.count(start)
    compile_job(
        job,
        target,
        Options(),
        now=now,
        random=lambda count: next(numbers).to_bytes(count),
        passphrase=lambda: b"",
        progress=lambda done, of: None,
    )
    return target


def payload(folder: Path) -> bytes:
    text = json.loads((folder / "record.json").read_bytes())["payload"]
    return base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))


def test_the_same_job_gives_the_same_record(job: Path, tmp_path: Path) -> None:
    first, second = compiled(job, tmp_path / "1"), compiled(job, tmp_path / "2")
    assert payload(first) == payload(second)
    for name in ("certificate.pem", "photographs/manifest.sha256", "photographs/photo-001.jpg"):
        assert (first / name).read_bytes() == (second / name).read_bytes()


def test_other_salts_and_time_change_nothing_but_digests_and_time(job: Path, tmp_path: Path) -> None:
    later = NOW + dt.timedelta(days=1)
    first = json.loads(payload(compiled(job, tmp_path / "1")))
    second = json.loads(payload(compiled(job, tmp_path / "2", start=1000, now=later)))
    for record in (first, second):
        del record["iat"], record["apart"]
        for photograph in record["photographs"]:
            del photograph["details"]
    assert first == second


def test_the_same_record_gives_the_same_pages_but_for_the_code(job: Path, tmp_path: Path) -> None:
    """ECDSA signs by chance, so the code on the cover and on the page about checking may differ."""
    first, second = compiled(job, tmp_path / "1"), compiled(job, tmp_path / "2")
    pairs = zip(page_digests(first / "dossier.pdf"), page_digests(second / "dossier.pdf"), strict=True)
    different = [number for number, (a, b) in enumerate(pairs, 1) if a != b]
    assert different
    assert len(different) == 2
    assert different[0] == 1


def test_a_dossier_equals_itself_page_by_page(output: Path) -> None:
    pdf = output / "dossier.pdf"
    found = compare_pages(pdf, pdf.read_bytes())
    assert found.pages == ()
    assert found.counts is None
