"""Earlier records named in `earlier_records` or `[[other_objects]]`: which record, by digest.

Read leniently, as plain JSON: nothing is checked here, only tied in; the flow opens and checks them.
"""

from __future__ import annotations

import base64
import hashlib
import json
import os
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from dossier.errors import UnreadableError
from dossier.intake.desk import Desk, read_bounded
from dossier.intake.report import Report
from dossier.intake.rows import Where
from dossier.model.finding import At
from dossier.model.plain import from_plain
from dossier.model.record import Payload, Slot
from dossier.model.rows import EarlierRecord

RECORD_FILE = "record.json"
MOST_RECORD = 50_000_000  # bytes


def payload_of(data: bytes) -> tuple[Payload, str, list[str]]:
    """(payload, SHA-256 hex of its bytes, disclosures as written) of a sealed record's bytes.

    The one place that knows the sealed form (RFC 7515 section 7.2.1, RFC 9901 section 8); nothing is checked.
    Raises UnreadableError.
    """
    try:
        sealed = json.loads(data)
        signed = _unpadded(sealed["payload"])
        payload = from_plain(Payload, json.loads(signed))
        header = sealed["signatures"][0].get("header", {})
        disclosures = [str(text) for text in header.get("disclosures", [])]
    except (ValueError, KeyError, TypeError, AttributeError, IndexError, RecursionError) as error:
        raise UnreadableError(str(error)) from None
    return payload, hashlib.sha256(signed).hexdigest(), disclosures


def _unpadded(text: str) -> bytes:
    return base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))


def disclosed(disclosures: list[str], slots: Slot) -> list[Any]:
    """The values whose digests stand in `slots`; those not in this copy are passed over."""
    values = {_digest(text): text for text in disclosures}
    wanted = [values[slot.digest] for slot in slots if slot.digest in values]
    try:
        return [json.loads(_unpadded(text))[1] for text in wanted]
    except (ValueError, IndexError, RecursionError) as error:
        raise UnreadableError(str(error)) from None


def _digest(disclosure: str) -> str:
    digest = hashlib.sha256(disclosure.encode("ascii", "replace")).digest()
    return base64.urlsafe_b64encode(digest).rstrip(b"=").decode("ascii")


def read_earlier(
    desk: Desk, names: Iterable[tuple[str, At]], where: Where, report: Report
) -> tuple[tuple[EarlierRecord, ...], tuple[str, ...]]:
    """The records that `names` (paths from the job folder; a record or an output folder; and where each is
    typed) stand for, and the path of each; one named twice is taken once.
    """
    found: dict[str, EarlierRecord] = {}
    places: dict[str, At] = {}
    for name, at in names:
        places.setdefault(name, at)
    for name, at in places.items():
        path = desk.folder / name
        path = path / RECORD_FILE if os.path.isdir(path) else path  # noqa: PTH112 - False of too long a name
        if not os.path.lexists(path):
            report.say("earlier-record-not-here", at, file=name)
            continue
        data = read_bounded(path, name, MOST_RECORD, report)
        if data is None:
            continue
        try:
            found[name] = _earlier(data)
        except UnreadableError:
            report.say("earlier-record-unreadable", at, file=name)
        else:
            where[f"earlier_records/{len(found)}"] = at
    return tuple(found.values()), tuple(found)


def _earlier(data: bytes) -> EarlierRecord:
    payload, digest, _ = payload_of(data)
    return EarlierRecord(
        record=payload.record,
        sha256=digest,
        job=payload.job,
        workshop=payload.workshop.name,
        date=payload.dates.returned or payload.dates.done,
    )


def record_bytes(path: Path) -> bytes:
    """The bytes of a record named on the command line: the file, or the record of an output folder."""
    report = Report()
    path = path / RECORD_FILE if path.is_dir() else path
    data = read_bounded(path, path.name, MOST_RECORD, report)
    if data is None:
        finding = report.findings[0]
        raise UnreadableError(f"{path}: {finding.message}", hint=finding.hint)
    return data
