"""The letters of a text file, against Python's own tables of code pages."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from dossier.intake.folder import read_job
from dossier.intake.letters import decoded, doubts
from dossier.words import Catalogue


def sentences(language: str) -> list[str]:
    """The catalogue's own: running text in six languages."""
    return [
        text for table in ("pages", "verify", "cautions") for text in texts(Catalogue(language).table(table))
    ]


def texts(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for inner in value.values():
            yield from texts(inner)


def test_of_european_texts_none_is_taken_for_japanese() -> None:
    every = [text for language in ("de", "fr", "it", "es") for text in sentences(language)]
    words = {word for text in every for word in text.split()} | {
        "él",
        "épée",
        "d’été",
        "L’ÉTÉ",
        "Ø",
        "±",
        "été",
    }
    narrow = [word for word in {*every, *words} if word.encode("cp1252", "ignore").decode("cp1252") == word]
    assert len(narrow) > 2000
    assert [word for word in narrow if decoded(word.encode("cp1252")) != word] == []


@pytest.mark.parametrize(
    "text", ["12”W x 9”H x 4”D", "a 1920’s clasp", "1½”l x 2¼”w", "2’x3’x", "1930’er", "ƒ8, 12”Ø"]
)
def test_a_curly_mark_behind_a_figure_and_the_letter_after_it_are_no_japanese_letter(text: str) -> None:
    """As word processors write inches, feet and decades, which people paste into tables."""
    data = f"number,name\r\n1,{text}\r\n".encode("cp1252")
    assert (decoded(data) or "").splitlines()[1] == f"1,{text}"
    assert "Shift-JIS" not in str(doubts(data))


@pytest.mark.parametrize(
    ("text", "encoding"), [("Źrebak", "cp1250"), ("ťapka", "cp1250"), ("修復の記", "utf-8")]
)
def test_what_is_text_in_no_code_page_that_is_read_is_no_text(text: str, encoding: str) -> None:
    """Bytes that Windows-1252 has no letter for are not Japanese for that, nor is UTF-8 that was cut."""
    data = f"number,name\r\n1,{text}".encode(encoding)
    assert decoded(data[:-1] if encoding == "utf-8" else data) is None


@pytest.mark.parametrize("row", ["1,蓋,革", "1,高さ,2024年3月5日", "2026年3月2日,12 × 9"])
def test_few_japanese_letters_are_enough(row: str) -> None:
    assert decoded(f"number,name,material\r\n{row}\r\n".encode("cp932")) == (
        f"number,name,material\r\n{row}\r\n"
    )


def test_japanese_sentences_are_read_as_a_spreadsheet_program_wrote_them() -> None:
    wide = [text for text in sentences("ja") if text.encode("cp932", "ignore").decode("cp932") == text]
    told = [text for text in wide if any(ord(one) > 0x3000 for one in text)]
    assert len(told) > 300
    assert [text for text in told if decoded(text.encode("cp932")) != text] == []


@pytest.mark.parametrize("encoding", ["cp932", "utf-16"])
def test_a_job_in_a_japanese_code_page_is_read_and_that_is_said(job_folder: Path, encoding: str) -> None:
    out = io.StringIO()
    csv.writer(out, lineterminator="\r\n").writerows(
        [["what", "value", "unit", "how", "date"], ["高さ", "23.6", "cm", "物差しで", "令和8年3月2日"]]
    )
    data = out.getvalue().encode(encoding)
    (job_folder / "measurements.csv").write_bytes(data)
    job, found = read_job(job_folder)
    assert job is not None
    (row,) = job.measurements
    assert (row.what, row.how, row.date) == ("高さ", "物差しで", "2026-03-02")
    assert [one.code for one in found] == (["letters-in-doubt"] if encoding == "cp932" else [])


@pytest.mark.parametrize(
    ("name", "encoding", "read"),
    [
        ("Paweł Gołąb", "cp1250", "Pawe³"),
        ("Tomáš Dvořák", "cp1250", "Dvoøák"),
        ("Слепцов", "cp1251", "Ñëåïöîâ"),
        ("Ηλιάδης", "cp1253", "ÇëéÜäçò"),
        ("Işıl", "cp1254", "Iþýl"),
        ("Bērziņš", "cp1257", "Bçrziòð"),
        ("Chloë Béranger", "cp1252", "Chloë"),
        ("Zoé Prévôt", "cp850", "Pr‚v“t"),
        ("Bo Gräf", "mac_roman", "GrŠf"),
        ("Jan Mąka", "cp852", "M¥ka"),
        ("Ewa Maślak", "iso8859_2", "Ma¶lak"),
        ("Ewa Cudną", "iso8859_2", "Cudn±"),
    ],
)
def test_what_may_be_a_letter_of_another_code_page_is_shown_as_it_was_read(
    job_folder: Path, name: str, encoding: str, read: str
) -> None:
    """Bytes by Python's tables: ł of a Polish program is ³ of a Western one, and no file says whose it is."""
    text = (job_folder / "job.toml").read_text("utf-8").replace("Quilla Quince", name)
    (job_folder / "job.toml").write_bytes(text.encode(encoding))
    _, found = read_job(job_folder)
    (note,) = (one for one in found if one.code == "letters-in-doubt")
    assert note.at.file == "job.toml"
    assert read in note.message


@pytest.mark.parametrize(
    "text",
    [
        "Öl, geölt, Bügel, Maß, Café, 12 × 9 cm",
        "½ dm², ¾",
        "“a” – £12, 5 °C",
        "fin… d’or, A–Z, 12”W",
        "120mm±2, 5cm± 0.5",
    ],
)
def test_where_the_code_pages_agree_nothing_is_asked(text: str) -> None:
    assert doubts(text.encode("cp1252")) is None
    assert doubts("Źrebak, Слепцов".encode()) is None


def test_of_running_text_in_five_languages_no_sign_is_taken_for_a_letter() -> None:
    every = [text for language in ("en", "de", "fr", "it", "es") for text in sentences(language)]
    signs = "".join(re.findall(r"[^\w\s]", "".join(every)))
    assert {*"’…°«»"} <= {*signs}
    asked = [unsure for text in every if (unsure := doubts(text.encode("cp1252", "ignore")))]
    assert [word for one in asked for word in one.words if not re.search(r"[À-ÿŒœªº¿]", word)] == []


def test_files_of_one_program_are_one_gap_that_names_them(job_folder: Path) -> None:
    for name, word in (("parts.csv", "dry"), ("work.csv", "soft brush")):
        text = (job_folder / name).read_text("utf-8")
        (job_folder / name).write_bytes(text.replace(word, "skórą łosia").encode("cp1250"))
    _, found = read_job(job_folder)
    (note,) = (one for one in found if one.code == "letters-in-doubt")
    assert "parts.csv: skór¹, ³osia; work.csv: skór¹, ³osia" in note.message


def test_a_letter_of_an_old_mac_that_is_read_as_japanese_is_shown() -> None:
    """É is 83 there (APPLE/ROMAN.TXT), and 83 74 is フ in Shift-JIS (JIS X 0208)."""
    data = "number,name\r1,Étui\r".encode("mac_roman")
    assert doubts(data) == ("Shift-JIS", ("フui",))
