"""Dates in columns: short, on one line, in every language; stops and words beside them as it has them."""

from __future__ import annotations

from collections.abc import Callable

import msgspec
import pytest
from reportlab.pdfbase.pdfmetrics import stringWidth

from dossier.model.record import Caution, OpenRecord
from dossier.model.rows import Work
from dossier.pages.fonts import SANS
from dossier.pages.options import PageOptions
from dossier.pages.sections import covered, materials, new_removed, work_log
from dossier.pages.setting import Setting
from dossier.pages.tagging import DataTable
from dossier.words import LANGUAGES, Catalogue
from dossier.words.dates import long_date, short_date

Make = Callable[..., PageOptions]
WORDS = Catalogue("en")
NB = "\u00a0"
DAYS = [f"2026-{month:02}-28" for month in range(1, 13)]


@pytest.mark.parametrize(
    ("language", "day", "month"),
    [
        ("en", f"17{NB}Feb{NB}2026", f"Feb{NB}2026"),
        ("de", "17.02.2026", f"Feb.{NB}2026"),
        ("fr", f"17{NB}févr.{NB}2026", f"févr.{NB}2026"),
        ("it", f"17{NB}feb{NB}2026", f"feb{NB}2026"),
        ("es", f"17{NB}feb{NB}2026", f"feb{NB}2026"),
        ("ja", "2026/02/17", "2026年2月"),
    ],
)
def test_a_short_date_is_as_cldr_has_it(language: str, day: str, month: str) -> None:
    """CLDR, dates of the length "medium" and the pattern yMMM (UTS 35, part 4), read there by hand."""
    assert short_date(language, "2026-02-17") == day
    assert short_date(language, "2026-02") == month
    for text in ("1962", "about 1900", "2026-02-30", ""):
        assert short_date(language, text) == text


def test_the_first_of_a_month_is_an_ordinal_in_french() -> None:
    """Imprimerie nationale, Lexique des règles typographiques, "dates" (from memory); the eleventh is not."""
    assert long_date("fr", "2026-03-01") == "1er mars 2026"
    assert short_date("fr", "2026-04-01") == f"1er{NB}avr.{NB}2026"
    assert long_date("fr", "2026-03-11") == "11 mars 2026"
    assert long_date("it", "2026-03-01") == "1 marzo 2026"


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_date_of_the_work_is_parted(language: str, rich_record: OpenRecord, page_options: Make) -> None:
    """In every month it has room in its column."""
    work = tuple(
        Work(number=n, date=day, who="HB", done="cleaned", covered="yes") for n, day in enumerate(DAYS)
    )
    payload = msgspec.structs.replace(rich_record.payload, work=work)
    s = Setting(msgspec.structs.replace(rich_record, payload=payload), {}, page_options(language=language))
    for section in (work_log.section, covered.section):
        table = next(flow for flow in section(s) if isinstance(flow, DataTable))
        room = table.widths[1] - 2 * table.look.pad_x
        shown = [s.day(day) for day in DAYS]
        assert max(stringWidth(day, SANS, s.styles.cell.fontSize) for day in shown) <= room
        assert [row.cells[1].items[0].getPlainText() for row in table.rows] == shown


def test_what_was_done_without_a_word_of_how_has_the_comma_of_its_language(
    rich_record: OpenRecord, page_options: Make
) -> None:
    part = rich_record.payload.parts[0]
    work = (Work(number=1, date="2026-03-12", who="HB", parts=(part.number,), done="replaced"),)
    payload = msgspec.structs.replace(rich_record.payload, work=work)
    s = Setting(msgspec.structs.replace(rich_record, payload=payload), {}, page_options(language="ja"))
    assert new_removed._work(s, part) == "交換、2026年3月12日"


def test_sentences_have_the_full_stop_of_their_language_between_them(
    rich_record: OpenRecord, page_options: Make
) -> None:
    japanese, french = (Setting(rich_record, {}, page_options(language=name)) for name in ("ja", "fr"))
    assert japanese.in_sentences(["受入時の正面。", "受入時"]) == "受入時の正面。受入時"
    assert japanese.in_sentences(["From the front.", "受入時"]) == "From the front。受入時"
    assert french.in_sentences(["Le devant.", "à l\u2019arrivée"]) == "Le devant. à l\u2019arrivée"


def test_the_word_on_cautions_is_said_with_one_and_never_without(
    rich_record: OpenRecord, page_options: Make
) -> None:
    def said(*cautions: Caution) -> str:
        payload = msgspec.structs.replace(rich_record.payload, cautions=cautions)
        s = Setting(msgspec.structs.replace(rich_record, payload=payload), {}, page_options())
        *_, row = materials.section(s)
        return " ".join(flow.getPlainText() for flow in row.cells[1].items)

    caution = Caution(code="solvents", text="Solvents are named.")
    assert said(caution) == f"Solvents are named. {WORDS.say('pages.materials.defer')}"
    assert said() == WORDS.say("pages.materials.no_cautions")
    work = rich_record.payload.work[0]
    number = work.parts[0]
    named = msgspec.structs.replace(caution, rows=("job/object", f"parts/{number}"))
    assert said(named).startswith(f"{number}\u00a0")
    assert ": Solvents are named." in said(msgspec.structs.replace(caution, rows=(f"work/{work.number}",)))
    first, second = (part.number for part in rich_record.payload.parts[:2])
    forth, back = (
        msgspec.structs.replace(caution, rows=tuple(f"parts/{n}" for n in some))
        for some in ((first, second), (second, first))
    )
    assert said(forth) == said(back)  # in the order of the register, whichever row comes first
    everywhere = msgspec.structs.replace(caution, rows=("job/condition", f"parts/{number}"))
    assert said(everywhere).startswith("Solvents are named.")  # the condition may be of any part
