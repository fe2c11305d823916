"""Part of the flow of `dossier check`: characters of a job that no page can show, each with its place.

A page never shows a box where a letter should be; so a job with such a character is not compiled. Texts of
the usual letters are passed at once, without the fonts. Reads only. Not done here: drawing.
"""

from __future__ import annotations

import re
import sys
import unicodedata
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec

from dossier.flows.shell import quoted
from dossier.intake.desk import MOST_TEXT, Desk, read_bounded
from dossier.intake.entries import Cell, Entry, Raw
from dossier.intake.forms import read_form
from dossier.intake.letters import decoded
from dossier.intake.report import Report
from dossier.model.finding import At, Finding
from dossier.model.job import Job
from dossier.words import Catalogue

CODE = "character-cannot-be-printed"
# Letters that the text faces have for certain (a test says so).
SURE = re.compile("[\t\n\r -~\u00a0-\u017f\u2013\u2014\u2018-\u201a\u201c-\u201e\u2022\u2026\u20ac]*")
_TURNED = "\u202d\u202e"
_CJK = "[\u1100-\u11ff\u2e80-\u9fff\ua960-\ud7ff\uf900-\ufaff\U00020000-\U0003fffd]"
# Members of a job that are not printed.
_NOT_SHOWN = ("where", "inputs", "earlier_paths")


def look(folder: Path, job: Job, words: Catalogue) -> list[Finding]:
    """A finding for each character and place; none for a job whose pages can show everything."""
    lacking = _lacking(job)
    if not lacking:
        return []
    places = dict.fromkeys(_places(folder, job, lacking))
    found = {character for character, _ in places}
    whole = [(c, At(file=job.where.get("job/number", At()).file)) for c in lacking if c not in found]
    return [_finding(character, at, words) for character, at in (*places, *whole)]


def _lacking(job: Job) -> str:
    """The characters that cannot be shown, each once."""
    shown = {name: getattr(job, name) for name in job.__struct_fields__ if name not in _NOT_SHOWN}
    unsure = "".join(dict.fromkeys(c for text in _texts(msgspec.to_builtins(shown)) for c in _unsure(text)))
    if not unsure:
        return ""
    from dossier.pages.fonts import missing_glyphs  # noqa: PLC0415 - start-up: only for letters beyond the usual

    return missing_glyphs(unsure)


def _unsure(text: str) -> str:
    return "" if SURE.fullmatch(text) else SURE.sub("", text)


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for item in value.values():
            yield from _texts(item)
    elif isinstance(value, list | tuple):
        for item in value:
            yield from _texts(item)


# Where they stand


def _places(folder: Path, job: Job, lacking: str) -> Iterator[tuple[str, At]]:
    """Each character with the line and column, or the cell, where it was typed."""
    report = Report()
    desk = Desk(folder, report)
    sources = _Sources(folder)
    raw = read_form(desk, report)
    for cell in _cells(raw) if raw else ():
        for character in _in(cell.raw, lacking):
            yield character, sources.place(character, cell.at)
    workshop = job.where.get("workshop", At())
    for character in _in(msgspec.to_builtins(job.workshop), lacking):
        yield character, sources.place(character, At(workshop.file, 1, 1))
    for facts in job.photo_facts:
        for character in _in(facts.file, lacking):
            yield character, At(file=f"photos/{facts.file}")


def _in(value: object, lacking: str) -> list[str]:
    typed = "".join(_texts(value))
    return [character for character in lacking if character in typed]


def _cells(raw: Raw) -> Iterator[Cell]:
    lists = [entry for entries in (*raw.lists.values(), *raw.tables.values()) for entry in entries]
    entries: list[Entry] = [raw.top, *raw.sections.values(), *lists, *raw.notes]
    return (cell for entry in entries for cell in entry.cells.values())


class _Sources:
    """The text files of a job, read once more for the column."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._lines: dict[str, list[str]] = {}

    def place(self, character: str, at: At) -> At:
        """The first place of `character` from `at` on; `at` itself for a cell, or for an escape."""
        lines = self._of(at.file) if at.line and not at.cell else []
        for number, line in enumerate(lines[at.line - 1 :], at.line):
            column = line.find(character, max(at.column - 1, 0) if number == at.line else 0)
            if column >= 0:
                return At(at.file, number, column + 1)
        return at

    def _of(self, file: str) -> list[str]:
        if file not in self._lines:
            data = read_bounded(self._folder / file, file, MOST_TEXT, Report())
            self._lines[file] = ((decoded(data) if data else None) or "").splitlines()
        return self._lines[file]


# What is said


def _finding(character: str, at: At, words: Catalogue) -> Finding:
    kind = "turned" if character in _TURNED else "message"
    message = words.say(f"characters.{kind}", character=_named(character, words))
    return Finding(code=CODE, level="error", message=message, hint=_hint(character, words), at=at)


def _named(character: str, words: Catalogue) -> str:
    code, name = f"{ord(character):04X}", unicodedata.name(character, "")
    return words.say("characters.named" if name else "characters.unnamed", code=code, name=name.lower())


def _hint(character: str, words: Catalogue) -> str:
    if character in _TURNED:
        return words.say("characters.hint_turned")
    from dossier.pages.script_fonts import has_extra  # noqa: PLC0415 - start-up, as above

    if not re.match(_CJK, character) or has_extra():
        return words.say("characters.hint")
    return words.say("characters.hint_cjk", command=_command())


def _command() -> str:
    """What installs the fonts beside this program, wherever it was installed from."""
    from importlib import metadata  # noqa: PLC0415 - start-up: only where fonts are missing

    named = (text.partition(";") for text in metadata.requires("dossier") or ())
    wanted = [name.strip() for name, _, condition in named if re.search(r"extra == .cjk\b", condition)]
    return " ".join([quoted(sys.executable), "-m", "pip", "install", *map(quoted, wanted)])
