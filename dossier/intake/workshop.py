"""`workshop.toml`, typed once for all jobs: in the job folder or the nearest folder above that has one."""

from __future__ import annotations

import hashlib
import re
import zoneinfo
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec

from dossier.intake.desk import MOST_TOML, Desk, read_bounded, text_of
from dossier.intake.entries import Entry, Read, read_all, read_entry
from dossier.intake.ownrules import read_rules
from dossier.intake.plainform import TomlFile, list_entries, say_unknown, toml_file, with_misspelt
from dossier.intake.report import Report, listed
from dossier.intake.rows import PEOPLE, Where, first_of_each, place_unread, say_unread
from dossier.intake.schema import WORKSHOP_LISTS, WORKSHOP_TOP
from dossier.model.container import MOST_TIME_PLACES
from dossier.model.finding import At
from dossier.model.job import Workshop
from dossier.model.rows import Firm, Worker
from dossier.words import LANGUAGES

WORKSHOP_FILE = "workshop.toml"
_WEB = re.compile(r"https?://[^\s/?#]+[^\s#]*")


def read_workshop(desk: Desk, report: Report, where: Where) -> Workshop:
    """The workshop; its place in `where` ("workshop") is relative to the job folder."""
    name, path = _nearest(desk.folder)
    if path is None:
        report.say("no-workshop", At(file=WORKSHOP_FILE))
    source = _source(desk, name, path, report) if path else None
    if path is None or source is None:
        for kind in PEOPLE:
            report.not_all(kind)
        return Workshop(name="")
    where["workshop"] = At(file=name)
    rules = read_rules(desk, name, path, report)
    return msgspec.structs.replace(_workshop(source, report, where), rules=rules)


def workshop_folder(folder: Path) -> Path:
    """The nearest folder with a workshop.toml, from the job folder upward; else the job folder."""
    _, path = _nearest(folder)
    return path.parent if path else folder.resolve()


def _nearest(folder: Path) -> tuple[str, Path | None]:
    """The name relative to the job folder ("../workshop.toml") and the path, None when there is none."""
    here = folder.resolve()
    for steps, above in enumerate([here, *here.parents]):
        if (above / WORKSHOP_FILE).is_file():
            return "../" * steps + WORKSHOP_FILE, above / WORKSHOP_FILE
    return WORKSHOP_FILE, None


def _source(desk: Desk, name: str, path: Path, report: Report) -> TomlFile | None:
    data = read_bounded(path, name, MOST_TOML, report)
    if data is None:
        return None
    desk.inputs.append((WORKSHOP_FILE, len(data), hashlib.sha256(data).hexdigest()))
    text = text_of(data, name, report)
    return None if text is None else toml_file(text, name, report)


def _workshop(source: TomlFile, report: Report, where: Where) -> Workshop:
    lists = {key: _list(source, key, report, where) for key in WORKSHOP_LISTS}
    first_of_each([*lists["people"], *lists["firms"]], "mark", report)
    for key, reads in lists.items():
        for read in reads:
            where[f"{key}/{read.text('mark')}"] = read.at
    read = read_entry(WORKSHOP_TOP, _top(source, report), report)
    people = tuple(Worker(**item.values) for item in lists["people"])
    firms = tuple(Firm(**item.values) for item in lists["firms"])
    return Workshop(**{"name": ""} | checked_settings(read, report), people=people, firms=firms)


def _list(source: TomlFile, key: str, report: Report, where: Where) -> list[Read]:
    entries = list_entries(source, key, source.values.get(key, []), report)
    reads = read_all(WORKSHOP_LISTS[key], entries, report)
    place_unread(key, [read for read in reads if not read.whole], where)
    unread = [entry for entry, read in zip(entries, reads, strict=True) if not read.whole]
    say_unread(key, unread, ("mark", "name"), report)
    return [read for read in reads if read.whole]


def _top(source: TomlFile, report: Report) -> Entry:
    values = {key: value for key, value in source.values.items() if key not in WORKSHOP_LISTS}
    known = [*(field.name for field in WORKSHOP_TOP), *WORKSHOP_LISTS]
    meant: dict[str, At] = {}
    for key in [key for key in values if key not in known]:
        meant[say_unknown(source, key, known, report)] = source.at((key,))
        del values[key]
    return with_misspelt(source.entry(values, ()), meant, WORKSHOP_TOP)


def checked_settings(read: Read, report: Report) -> dict[str, Any]:
    """The values without those settings that cannot be used (each is said)."""
    values = dict(read.values)
    for name, (code, fits) in _CHECKS.items():
        if name in values and not fits(values[name]):
            report.say(code, read.place(name), typed=_typed(values.pop(name)), known=listed(LANGUAGES))
    return values


def _typed(value: str | int | tuple[str, ...]) -> str:
    return ", ".join(value) if isinstance(value, tuple) else str(value)


def _is_language(text: str) -> bool:
    return text in LANGUAGES


def _is_web_address(text: str) -> bool:
    return bool(_WEB.fullmatch(text))


def _is_zone(text: str) -> bool:
    try:
        zoneinfo.ZoneInfo(text)
    except (OSError, ValueError, zoneinfo.ZoneInfoNotFoundError):
        return False
    return True


def _are_web_addresses(texts: tuple[str, ...]) -> bool:
    return all(map(_is_web_address, texts))


_CHECKS: dict[str, tuple[str, Callable[[Any], bool]]] = {
    "language": ("language-wrong", _is_language),
    "time_zone": ("time-zone-unknown", _is_zone),
    "verification_page": ("web-address-wrong", _is_web_address),
    "time_servers": ("time-server-wrong", _are_web_addresses),
    "time_places": ("time-places-wrong", lambda places: places <= MOST_TIME_PLACES),
}
