"""The dates of a job stand clear of each other, in every language and on both papers (reportlab's widths)."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Any

import msgspec
import pytest
from reportlab.pdfbase.pdfmetrics import stringWidth

from dossier.model.record import OpenRecord
from dossier.model.rows import Dates
from dossier.pages import timeline_figure
from dossier.pages.fonts import SANS, SANS_BOLD
from dossier.pages.options import PageOptions
from dossier.pages.running import finished
from dossier.pages.setting import Setting
from dossier.words import LANGUAGES

# Early dates close to each other, one of them with as many letters as a Spanish date has.
CLOSE = Dates(
    asked="2026-02-26",
    received="2026-03-09",
    looked_at="2026-03-11",
    agreed="2026-03-18",
    opened="2026-04-07",
    begun="2026-04-07",
    done="2026-06-12",
    returned="2026-06-19",
)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("language", LANGUAGES)
def test_dates_stand_clear_of_each_other(
    language: str,
    paper: Any,
    rich_record: OpenRecord,
    page_options: Callable[..., PageOptions],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    drawn: list[tuple[float, list[str]]] = []

    def label(_canvas: Any, _x: float, place: float, name: str, date: Sequence[str]) -> None:
        drawn.append((place, [name, *date]))

    monkeypatch.setattr(timeline_figure, "_label", label)
    payload = msgspec.structs.replace(rich_record.payload, dates=CLOSE)
    record = msgspec.structs.replace(rich_record, payload=payload)
    s = Setting(record, {}, page_options(language=language, paper=paper))
    finished(s, timeline_figure.timeline(s), "dates")
    assert len(drawn) == 7
    for (place, lines), (following, _) in pairwise(drawn):
        across = [
            stringWidth(lines[0], SANS_BOLD, 7.6),
            *(stringWidth(line, SANS, 7.2) for line in lines[1:]),
        ]
        assert place + max(across) + 5 < following, lines  # points: two words of a label are 1.5 apart
