"""What a plater stated, on the page on materials: in the language of the pages, with who and when."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec
import pytest

from dossier.model.record import OpenRecord
from dossier.model.rows import Firm, Plating
from dossier.model.words import THICKNESS_IS
from dossier.pages.options import PageOptions
from dossier.pages.sections.trade_blocks import _plating
from dossier.pages.setting import Setting
from dossier.words import LANGUAGES, Catalogue

Make = Callable[..., PageOptions]
FIRM = Firm(mark="G", name="Gold & Sohn")


def plated(record: OpenRecord, options: PageOptions, language: str, **members: Any) -> str:
    payload = msgspec.structs.replace(record.payload, language=language, firms=(FIRM,))
    setting = Setting(msgspec.structs.replace(record, payload=payload), {}, options)
    return _plating(setting, Plating(metal="Au", **members))


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", ("2 µm (mean)", "taken off first: yes", "polished first: no", "plated by Gold & Sohn")),
        ("de", ("2 µm (Mittelwert)", "vorher entfernt: ja", "poliert: nein", "ausgeführt von Gold & Sohn")),
        ("fr", ("2 µm (moyenne)", "enlevé d’abord\u00a0: oui", "poli d’abord\u00a0: non", "par Gold & Sohn")),
        ("es", ("2 µm (media)", "decapado previo: sí", "pulido previo: no", "hecho por Gold & Sohn")),
        ("it", ("2 µm (medio)", "tolto prima: sì", "lucidato prima: no", "eseguito da Gold & Sohn")),
        ("ja", ("2 µm（平均値）", "旧めっきの剥離：はい", "事前の研磨：いいえ", "施工者：Gold & Sohn")),
    ],
)
def test_what_a_plater_stated_is_in_the_language_of_the_pages(
    language: str, said: tuple[str, ...], rich_record: OpenRecord, page_options: Make
) -> None:
    row: dict[str, Any] = {"thickness": "2 µm", "thickness_is": "mean", "stripped": "yes", "polished": "no"}
    text = plated(rich_record, page_options(language=language), language, **row, by="G", date="2026-03-04")
    for one in said:
        assert one in text
    assert "2026-03-04" not in text
    assert "2026" in text


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_a_figure_of_thickness_is_stands_beside_it_alone(
    language: str, rich_record: OpenRecord, page_options: Make
) -> None:
    """Of a mean nothing follows for the least, so each reads otherwise; without a figure, none."""
    texts = {
        plated(rich_record, page_options(language=language), language, thickness="2 µm", thickness_is=one)
        for one in ("", *THICKNESS_IS)
    }
    assert len(texts) == 4
    bare = plated(rich_record, page_options(language=language), language, thickness_is="mean")
    assert Catalogue(language).token("mean") not in bare
