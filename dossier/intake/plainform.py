"""A job typed in plain files: `job.toml`, the tables as CSV, notes as Markdown."""

from __future__ import annotations

import re
from typing import Any

from dossier.intake.cloud import in_cloud
from dossier.intake.desk import MOST_TOML, Desk
from dossier.intake.entries import Cell, Entry, Raw
from dossier.intake.report import Long, Report, listed
from dossier.intake.schema import LISTS, SECTIONS, TABLES, TOP, Fields
from dossier.intake.tables import csv_entries
from dossier.intake.tomlmend import NO_COMMA, read_as_far
from dossier.intake.tomltext import TOO_DEEP, Path, Places
from dossier.intake.values import SAID
from dossier.model.finding import At

JOB_FILE = "job.toml"
NOTES_FOLDERS = ("notes", "notes/private")
# How the reading library's complaints begin, and the words here that say the usual slip behind each.
_SLIPS = {
    "Cannot": "twice",
    "Duplicate": "twice",
    "Invalid value": "value",
    "Unescaped '\\'": "backslash",
    "Invalid hex value": "backslash",
    "Escaped character": "backslash",
    "Unclosed array": "not_closed",
    "Words outside": "inner",
    NO_COMMA: "comma",
    "Illegal character '\\n'": "quote",
    "Found invalid character '\\n'": "quote",
    "Found invalid character": "strange",
    "Unterminated string": "quote",
    "Unclosed inline": "braces",
    "Illegal character": "strange",
    "Expected newline": "more",
    TOO_DEEP: "deep",
}
_VAGUE = ("value", "more", "neither")  # of these the look of the line says more

# How the lines look in which a person's slip shows better than in where the library stopped.
_FORMS = {
    "inner": re.compile(r"""\s*[\w.-]+\s*=\s*("[^"]*"(?!\s*(?:#|$)).+"|'[^']*'(?!\s*(?:#|$)).+')\s*$"""),
    "spaces": re.compile(r"\s*(?:\[\[?\s*[\w.-]+(?:[ \t]+[\w.-]+)+\s*\]|[\w.-]+(?:[ \t]+[\w.-]+)+\s*=)"),
    "heading": re.compile(r"\s*+(?:\[|[\w .-]+\]\s*$)"),
    "name": re.compile(r"""\s*(?![\w-]+(?:\s*\.\s*[\w-]+)*\s*[=:])[^\s="'#][^="#]*=""", re.ASCII),
    "braces": re.compile(r"\s*[\w.-]+\s*=\s*\{"),
    "value": re.compile(r"""\s*[\w.-]+\s*=\s*[^\s"'\[{#]"""),
    "colon": re.compile(r"\s*[\w.-]+\s*:(?:\s|$)"),
    "nothing": re.compile(r"\s*[\w.-]+\s*=\s*(?:#.*)?$"),
}
_HEADING_LOST = re.compile(r"[^=\"']*+\]\s*$")
_WORD = re.compile(r"\w+")
_CURVED = re.compile("[\u201c-\u201f\u2018-\u201b\u00ab\u00bb]")
_HEADING = re.compile(r"#{1,6}[ \t]+(.+?)[ \t]*#*[ \t]*")


class TomlFile:
    """A TOML file as values with their places."""

    def __init__(self, file: str, values: dict[str, Any], places: Places) -> None:
        self.file = file
        self.values = values
        self._places = places

    def at(self, path: Path) -> At:
        """The place of `path`, or of the nearest thing around it."""
        while path and path not in self._places:
            path = path[:-1]
        line, column = self._places.get(path, (0, 0))
        return At(self.file, line, column)

    def entry(self, values: dict[str, Any], path: Path) -> Entry:
        """A table's keys as cells; an inner table becomes "maker.what"."""
        cells: dict[str, Cell] = {}
        for key, value in values.items():
            inner = {f"{key}.{k}": v for k, v in value.items()} if isinstance(value, dict) else {key: value}
            for name, item in inner.items():
                here = (*path, key, name.split(".", 1)[1]) if isinstance(value, dict) else (*path, key)
                cells[name] = Cell(item, self.at(here))
        return Entry(cells, self.at(path))


def toml_file(text: str, file: str, report: Report) -> TomlFile | None:
    """The file as values with places; each line that is not TOML is said. None when all is lost with it."""
    values, places, wrong = read_as_far(text)
    lines = text.split("\n") if wrong else []
    for problem in wrong:
        at = At(file, problem.line, problem.column)
        line = lines[problem.line - 1] if problem.line <= len(lines) else ""
        report.say("toml-syntax", at, why=Long(_why(problem.message, line, report)))
        if _FORMS["heading"].match(line) or _HEADING_LOST.match(line):
            for name in _WORD.findall(line):  # what stands below it may be of that table
                report.not_all(name)
                report.meant(name, at)
    return None if values is None else TomlFile(file, values, places)


def _why(message: str, line: str, report: Report) -> str:
    """What is wrong with a line, in plain words that say what to write instead."""
    if curved := _CURVED.search(line.partition('"')[0]):
        return report.words.say("intake.toml.curved", mark=curved[0])
    slip = next((key for start, key in _SLIPS.items() if message.startswith(start)), "neither")
    if slip == "twice" and line.lstrip().startswith("["):
        slip = "heading_twice"
    if slip in _VAGUE:
        slip = next((key for key, form in _FORMS.items() if form.match(line)), slip)
    return report.words.say(f"intake.toml.{slip}")


def read_plain(desk: Desk, report: Report) -> Raw:
    """The job's files as typed. When `job.toml` cannot be read the tables are checked all the same."""
    name = desk.find(JOB_FILE)
    text = desk.text(name, MOST_TOML) if name else None
    source = toml_file(text, name, report) if text is not None else None
    raw = job_entries(source, report) if source else Raw(Entry({}, At(file=JOB_FILE)), readable=False)
    raw.tables = {table: _table(desk, table, report) for table in TABLES}
    return raw


def job_entries(source: TomlFile, report: Report) -> Raw:
    """`job.toml` sorted into its top, its tables and its lists of tables."""
    top: dict[str, Any] = {}
    meant: dict[str, At] = {}
    raw = Raw(Entry({}, At(file=source.file)))
    for key, value in source.values.items():
        if key in SECTIONS:
            _section(source, key, value, raw, report)
        elif key in LISTS:
            raw.lists[key] = list_entries(source, key, value, report)
        elif key in {field.name for field in TOP}:
            top[key] = value
        else:
            known = [*SECTIONS, *LISTS, *(field.name for field in TOP)]
            meant[say_unknown(source, key, known, report)] = source.at((key,))
    raw.top = with_misspelt(source.entry(top, ()), meant, TOP)
    return raw


def with_misspelt(entry: Entry, meant: dict[str, At], fields: Fields) -> Entry:
    """With a value that has been spoken of for each needed name that was misspelt."""
    said = {
        field.name: Cell(SAID, meant[field.name]) for field in fields if field.needed and field.name in meant
    }
    return Entry(said | entry.cells, entry.at)


def list_entries(source: TomlFile, key: str, value: object, report: Report) -> list[Entry]:
    """The tables of `[[key]]` as entries."""
    if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
        report.not_all(key)
        report.meant(key, source.at((key,)))
        if value is not SAID:
            report.say("wrong-type", source.at((key,)), name=f"[[{key}]]")
        # In single brackets there is one, which is read all the same
        return [source.entry(value, (key,))] if isinstance(value, dict) else []
    return [source.entry(item, (key, number)) for number, item in enumerate(value)]


def _section(source: TomlFile, key: str, value: object, raw: Raw, report: Report) -> None:
    if not isinstance(value, dict):
        if value is not SAID:
            report.say("wrong-type", source.at((key,)), name=f"[{key}]")
        return
    raw.sections[key] = _claims(source.entry(value, (key,)), SECTIONS[key])


def _claims(entry: Entry, fields: Fields) -> Entry:
    """`maker = "..."` said short stands for `maker.what`."""
    claims = {field.name.removesuffix(".what") for field in fields if field.name.endswith(".what")}
    cells = {f"{name}.what" if name in claims else name: cell for name, cell in entry.cells.items()}
    return Entry(cells, entry.at)


def say_unknown(source: TomlFile, key: str, known: list[str], report: Report) -> str:
    """Say a key that is not known; gives the one that was probably meant, "" for none."""
    meant = report.nearest(key, known)
    report.say("unknown-key", source.at((key,)), nearest=meant, typed=key, known=listed(known))
    report.not_all(meant)
    return meant


def _table(desk: Desk, table: str, report: Report) -> list[Entry]:
    name = desk.find(f"{table}.csv")
    text = desk.text(name) if name else None
    return csv_entries(text, name, TABLES[table], report) if text is not None else []


def read_notes(desk: Desk, report: Report) -> list[Entry]:
    """`notes/*.md`, and `notes/private/*.md`, which are private; so is a file whose name begins so."""
    entries = []
    for folder, all_private in zip(NOTES_FOLDERS, (False, True), strict=True):
        names = desk.entries(folder)
        for name in names:
            if (away := in_cloud(name)).casefold().endswith(".md") and away not in names:
                report.say("in-cloud", At(file=f"{folder}/{name}"), file=f"{folder}/{away}")
            elif name.casefold().endswith(".md") and not name.startswith("."):
                private = all_private or name.casefold().startswith("private")
                entries.extend(_note(desk, f"{folder}/{name}", private))
    return entries


def _note(desk: Desk, name: str, private: bool) -> list[Entry]:
    text = desk.text(name)
    if text is None or not text.strip():
        return []
    title, body = _titled(text.replace("\r\n", "\n").replace("\r", "\n"), name)
    at = At(file=name, line=1)
    return [Entry({"title": Cell(title, at), "text": Cell(body, at), "private": Cell(private, at)}, at)]


def _titled(text: str, name: str) -> tuple[str, str]:
    """The first line's heading and the rest; else the file's name and all of it."""
    first, _, rest = text.strip().partition("\n")
    match = _HEADING.fullmatch(first)
    if match:
        return match[1], rest.strip() or match[1]
    return name.rsplit("/", 1)[-1].rsplit(".", 1)[0].replace("_", " "), text.strip()
