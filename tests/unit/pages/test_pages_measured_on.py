"""A colour difference on the page has its formula, residual and uncertainty beside it, however close.

Read back with poppler's pdftotext.
"""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest

from dossier.model.counted import PartSaid
from dossier.model.record import OpenRecord
from dossier.model.rows import Measurement
from dossier.pages.document import PageOptions, draw
from dossier.pages.sections import history, know_it
from dossier.pages.setting import Setting

HOW = (
    "CIEDE2000 (1:1:1) between photo-001.jpg (colour target of 24 patches made from November 2014; residual "
    "CIEDE2000 (1:1:1) mean 1.3, left out 1.7, largest 3.4) and photo-002.jpg (colour target of 24 patches "
    "made from November 2014; residual CIEDE2000 (1:1:1) mean 1.1, left out 1.6, largest 2.7); good enough "
    "by ISO 19264-1:2021 level A (read in secondary sources); ± 95 %"
)
ROW = Measurement(
    what="colour difference before and after, thread", value="1.8", unit="dE00", plus_minus="3.7", how=HOW
)


@pytest.mark.parametrize("rows", [1, 4, 14])
def test_formula_and_residual_stand_beside_it(
    rows: int,
    rich_record: OpenRecord,
    rich_pictures: dict[str, bytes],
    page_options: Callable[..., PageOptions],
    tmp_path: Path,
) -> None:
    others = [Measurement(what=f"width {n}", value=str(100 + n), unit="mm", how="rule") for n in range(rows)]
    payload = msgspec.structs.replace(rich_record.payload, measurements=(*others, ROW))
    record = msgspec.structs.replace(rich_record, payload=payload)
    path = tmp_path / "pages.pdf"
    path.write_bytes(draw(record, rich_pictures, page_options()))
    done = subprocess.run(
        ["pdftotext", "-raw", str(path), "-"], check=True, capture_output=True, text=True, timeout=60
    )
    words = " ".join(done.stdout.split())
    squeezed = words.replace(" ", "")
    assert "1.8±3.7dE00" in squeezed
    assert HOW.replace(" ", "") in squeezed


@pytest.mark.parametrize(
    ("value", "unit", "spread", "shown"),
    [
        ("9.350", "kg", "5 g", "9.350 kg \u00b1 5 g"),
        ("71.2", "cm", "0.2", "71.2 \u00b1 0.2 cm"),
        ("71.2", "cm", "0.2 cm", "71.2 cm \u00b1 0.2 cm"),
        ("71.2", "cm", "1 %", "71.2 cm \u00b1 1 %"),
        ("3 1/2", "in", "1/16", "3 1/2 \u00b1 1/16 in"),
        ("64", "", "", "64"),
        ("9.35", "kg", "1e-3", "9.35 \u00b1 1e-3 kg"),
        ("9.35", "kg", "about 1", "9.35 kg \u00b1 about 1"),
        ("120", "months", "2 y", "120 months \u00b1 2 y"),
        ("9.35", "kg", "1E-3", "9.35 \u00b1 1E-3 kg"),
        ("9.35", "kg", "1 \u00d7 10\u207b\u00b3", "9.35 \u00b1 1 \u00d7 10\u207b\u00b3 kg"),
        ("9.35", "kg", "1\u20442", "9.35 \u00b1 1\u20442 kg"),
        ("71.2", "cm", "+0.1/-0.2", "71.2 +0.1/-0.2 cm"),
        ("71.2", "cm", "\u00b1 2 mm", "71.2 cm \u00b1 2 mm"),
        ("20", "\u00b0C", "0.5 \u00b0C", "20 \u00b0C \u00b1 0.5 \u00b0C"),
        ("3 1/2", "in", "\u00bd in", "3 1/2 in \u00b1 \u00bd in"),
        ("71.2", "cm", "2 mm (k=2)", "71.2 cm \u00b1 2 mm (k=2)"),
        ("71.2", "cm", "a few mm", "71.2 cm \u00b1 a few mm"),
        ("640", "EUR", "EUR 5", "640 EUR \u00b1 EUR 5"),
        ("45", "%RH", "2 %RH", "45 %RH \u00b1 2 %RH"),
    ],
)
def test_a_spread_stands_with_its_own_unit(
    value: str,
    unit: str,
    spread: str,
    shown: str,
    rich_record: OpenRecord,
    page_options: Callable[..., PageOptions],
) -> None:
    row = Measurement(what="weight", value=value, unit=unit, plus_minus=spread)
    s = Setting(rich_record, {}, page_options())
    assert know_it._value(s, row).replace("\u00a0", " ") == shown


def test_what_a_paper_says_of_some_pieces_is_not_told_of_all(
    rich_record: OpenRecord, page_options: Callable[..., PageOptions]
) -> None:
    s = Setting(rich_record, {}, page_options())
    assert history._what(s, PartSaid(done="replaced", pieces=4, of=24)) == "4 of 24 replaced"
    assert history._what(s, PartSaid(done="replaced", pieces=4)) == "replaced"
