"""`job.toml` (or the sheets that stand for it) as the model's values.

Not done here: the register, the work log and photographs, which are read beside it. Every value's place is
kept in `where`: "job/object.maker", "agreements/A1", "inscriptions/1".
"""

from __future__ import annotations

from typing import Any

import msgspec

from dossier.intake.entries import Entry, Raw, Read, blank, read_all, read_entry
from dossier.intake.report import Report
from dossier.intake.rows import Where, first_of_each, place_all, place_row, place_unread, say_unread
from dossier.intake.schema import LISTS, SECTIONS, TOP
from dossier.intake.workshop import checked_settings
from dossier.model.rows import (
    Agreement,
    AgreementDetail,
    Claim,
    Contact,
    Dates,
    Handover,
    LookedAt,
    Object,
    TakenIn,
)

_DETAIL_ONLY = {"what", "how", "by", "price"}
_CONTACTS = ("owner", "brought_by", "payer", "received_by")


class JobFile(msgspec.Struct, frozen=True):
    """The job's own file, read; lists still as values, since they refer to parts and photographs."""

    top: dict[str, Any]
    earlier_records: tuple[str, ...]
    sections: dict[str, Any]  # by the job's field name
    agreements: tuple[Agreement, ...]
    details: tuple[AgreementDetail, ...]
    lists: dict[str, list[Read]]


def read_job_file(raw: Raw, report: Report, where: Where) -> JobFile:
    if not raw.readable or not report.whole("agreements"):
        report.not_all("agreements")
    top = read_entry(TOP, raw.top, report) if raw.readable else Read({}, {}, raw.top.at, False)
    _place(top, "job/", where)
    values = checked_settings(top, report)
    earlier = values.pop("earlier_records", ())
    sections = {name: _section(name, raw, report, where) for name in SECTIONS}
    _one_return(sections, where)
    lists = {name: _list(name, raw.lists.get(name, []), report, where) for name in LISTS}
    agreements, details = _agreements(lists["agreements"], where)
    return JobFile(values, earlier, _built(sections), agreements, details, lists)


def _section(name: str, raw: Raw, report: Report, where: Where) -> Read:
    entry = raw.sections.get(name) or Entry({}, raw.top.at)
    if not raw.readable or (name != "object" and _empty(entry)):
        return Read({}, {}, entry.at, False)  # a table left blank is a table left out
    read = read_entry(SECTIONS[name], entry, report)
    _place(read, f"job/{name}.", where)
    return read


def _one_return(sections: dict[str, Read], where: Where) -> None:
    """The day of the hand-over is the one on which the object went back, where that is not written itself."""
    day = sections["handover"].values.get("date")
    if day and not sections["dates"].values.get("returned"):
        sections["dates"].values["returned"] = day
        if at := where.get("job/handover.date"):
            where["job/dates.returned"] = at


def _empty(entry: Entry) -> bool:
    return all(blank(cell.raw) for cell in entry.cells.values())


def _place(read: Read, prefix: str, where: Where) -> None:
    """The place of each value; a claim's stands under the claim ("job/object.maker")."""
    if prefix.count(".") and read.places:
        where[prefix.rstrip(".")] = read.at
    for name, at in read.places.items():
        where[f"{prefix}{name.removesuffix('.what')}"] = at


def _built(sections: dict[str, Read]) -> dict[str, Any]:
    """The sections as model values; a contact without a name, or not said, is none."""
    built: dict[str, Any] = {
        "object": Object(**{"type": ""} | _with_claims(sections["object"].values)),
        "dates": Dates(**sections["dates"].values),
        "looked_at": LookedAt(**sections["looked_at"].values),
        "taken_in": TakenIn(**sections["taken_in"].values),
        "handover": Handover(**sections["handover"].values),
    }
    for name in _CONTACTS:
        built[name] = Contact(**sections[name].values) if sections[name].whole else None
    return built


def _with_claims(values: dict[str, Any]) -> dict[str, Any]:
    """ "maker.what" and "maker.known_from" as one claim."""
    plain = {name: value for name, value in values.items() if "." not in name}
    claims: dict[str, dict[str, Any]] = {}
    for name, value in values.items():
        if "." in name:
            claim, member = name.split(".")
            claims.setdefault(claim, {})[member] = value
    return plain | {name: Claim(**members) for name, members in claims.items()}


def _list(name: str, entries: list[Entry], report: Report, where: Where) -> list[Read]:
    every = read_all(LISTS[name], entries, report)
    place_unread(name, [read for read in every if not read.whole], where)
    if name == "agreements":
        unread = [entry for entry, read in zip(entries, every, strict=True) if not read.whole]
        say_unread(name, unread, ("number",), report)
    reads = [read for read in every if read.whole]
    if name == "agreements":
        return first_of_each(reads, "number", report)  # placed by their own numbers
    place_all(name, reads, where)
    return reads


def _agreements(reads: list[Read], where: Where) -> tuple[tuple[Agreement, ...], tuple[AgreementDetail, ...]]:
    """The clear part of each agreement and, where anything is said of it, its details."""
    clear, details = [], []
    for read in reads:
        number = read.text("number")
        place_row(f"agreements/{number}", read, where)
        inner = {name: value for name, value in read.values.items() if name in _DETAIL_ONLY}
        outer = {name: value for name, value in read.values.items() if name not in _DETAIL_ONLY}
        clear.append(Agreement(**outer))
        if inner:
            details.append(AgreementDetail(number=number, **inner))
    return tuple(clear), tuple(details)
