"""Writes tests/vectors/keycard, one folder a case, named by its code (run me from anywhere).

`read/<code>/key-card.json` is refused with the code; `record/<code>/` holds a record, files that lie beside
it, and `how.json`: the day of the check and what the reader confirmed. ML-DSA-65 signs by chance, so that a
second run writes other signatures that mean the same.
"""

from __future__ import annotations

import datetime as dt
import json
import shutil
from pathlib import Path
from typing import Any

import stool
from cards import DAY_KEY as KEY
from cards import NEXT_KEY as NEXT
from cards import OTHER_RECOVERY, RECOVERY, THIEF, a_card, on_card

from dossier import canonical
from dossier.model.statements import (
    TYP_CARD,
    TYP_HANDOVER,
    TYP_RECEIPT,
    TYP_RENEWAL,
    CardKey,
    Handover,
    KeyCard,
    RecordNamed,
    Renewal,
    Required,
    Scan,
)
from dossier.seal import handover, keycard, record, recovery, signed, statements
from dossier.seal.keys import WorkshopKey
from dossier.seal.statements import Wanted

HOME = Path(__file__).parents[2] / "vectors" / "keycard"
SEALED = record.seal(stool.an_unsealed(KEY), [KEY], stool.counting_salts())
OPENED = record.open_record(SEALED)
ABOUT = RecordNamed(record=OPENED.payload.record, sha256=OPENED.digest)
DAY = int(dt.datetime(2026, 12, 1, tzinfo=dt.UTC).timestamp())
BEFORE = DAY - 21 * 86_400  # before the record was signed
FINGERPRINT = recovery.fingerprint_of([key.public for key in RECOVERY])


def file_of(card: KeyCard, *signers: WorkshopKey, typ: str = TYP_CARD) -> bytes:
    return canonical.encode({"card": signed.to_members(signed.sign(card, signers or (*RECOVERY, KEY), typ))})


def renewed(*signers: WorkshopKey, **members: Any) -> bytes:
    base = keycard.read(file_of(a_card()))
    usual = {
        "format": "1.0",
        "card": base.digest,
        "number": 1,
        "issued": "2026-11-20",
        "expires": "2029-11-01",
    }
    form = signed.sign(Renewal(**{**usual, **members}), signers, TYP_RENEWAL)
    return canonical.encode({"card": signed.to_members(base.form), "renewal": signed.to_members(form)})


def handed(*old_signers: WorkshopKey) -> bytes:
    """A card of another recovery key, with a handover that not all of the old one signed."""
    card = a_card(recovery=tuple(k.public for k in OTHER_RECOVERY))
    value = Handover(
        format="1.0",
        issued="2026-11-01",
        old=tuple(k.public for k in RECOVERY),
        new=tuple(k.public for k in OTHER_RECOVERY),
    )
    form = signed.sign(value, [*old_signers, *OTHER_RECOVERY], TYP_HANDOVER)
    members = json.loads(file_of(card, *OTHER_RECOVERY, KEY))
    return canonical.encode({**members, "handovers": [signed.to_members(form)]})


def handed_over() -> bytes:
    """A card of another recovery key, which the one that was confirmed names."""
    card = a_card(recovery=tuple(k.public for k in OTHER_RECOVERY), number=2)
    step = handover.make(RECOVERY, OTHER_RECOVERY, dt.date(2026, 11, 1))
    return keycard.make(card, OTHER_RECOVERY, [KEY], [step])


def refused() -> dict[str, bytes]:
    """Cards that are refused, by code and what is tried."""
    whole = file_of(a_card())
    return {
        "card-shape": b'{"card":{},"keys":[]}',
        "not-canonical--white-space": whole + b"\n",
        "not-canonical--twice": whole.replace(b'{"card":', b'{"card":1,"card":', 1),
        "signed-shape--no-signature": canonical.encode(
            {"card": {**json.loads(whole)["card"], "signatures": []}}
        ),
        "signed-shape--key-in-unsigned-header": canonical.encode(_with_header(json.loads(whole))),
        "format-unknown": file_of(a_card(format="2.0")),
        "header-typ--of-a-receipt": file_of(a_card(), typ=TYP_RECEIPT),
        "card-handover--thief-names-a-new-recovery-key": handed(THIEF),
        "card-handover--half-of-the-old-recovery-key": handed(RECOVERY[0]),
        "key-unsigned--thief-rotates": file_of(a_card(on_card(KEY), on_card(THIEF), number=2), KEY, THIEF),
        "key-unsigned--thief-hides-a-loss": file_of(a_card(number=3), KEY),
        "key-unsigned--one-recovery-key": file_of(a_card(), RECOVERY[0], KEY),
        "key-unsigned--key-of-somebody-else": file_of(a_card(on_card(KEY), on_card(NEXT)), *RECOVERY, KEY),
        "key-unknown--other-recovery-key": file_of(a_card(), *RECOVERY, KEY, *OTHER_RECOVERY),
        "key-unknown--renewed-by-a-thief": renewed(THIEF),
        "key-unknown--renewed-by-a-recovery-key": renewed(RECOVERY[0]),
        "card-renewal-other": renewed(KEY, card="00" * 32),
        "card-dates--renewed-for-ever": renewed(KEY, expires="2099-01-01"),
        "card-dates": file_of(a_card(expires="2031-01-01")),
        "card-key--other-name": file_of(
            a_card(
                on_card(KEY), CardKey(key={**NEXT.public, "kid": KEY.kid}, state="in use", since="2026-01-02")
            )
        ),
        "card-key-twice": file_of(a_card(on_card(KEY), on_card(KEY))),
        "card-state": file_of(a_card(on_card(KEY), on_card(NEXT, "retired"))),
        "card-required": file_of(a_card(required=(Required(since="2026-01-01", algorithms=("none",)),))),
        "card-closed": file_of(a_card(on_card(KEY, "retired", until="2026-10-01")), *RECOVERY),
        "signature-wrong": _changed(whole),
    }


def _with_header(members: Any) -> Any:
    members["card"]["signatures"][0]["header"] = {"jwk": THIEF.public}
    return members


def _changed(whole: bytes) -> bytes:
    members = json.loads(whole)
    first, last = members["card"]["signatures"][0], members["card"]["signatures"][-1]
    first["signature"], last["signature"] = last["signature"], first["signature"]
    return canonical.encode(members)


def say(kind: Any, *signers: WorkshopKey, iat: int = DAY, **members: Any) -> bytes:
    usual = {"kind": kind, "about": ABOUT, "reason": f"An invented reason: {kind}."}
    return statements.state(
        Wanted(**{**usual, **members}), "Two Benches", signers or (KEY,), iat=iat, chance=bytes(16)
    )


def _required(since: str, *algorithms: str) -> Required:
    return Required(since=since, algorithms=algorithms)


def beside() -> dict[str, dict[str, bytes]]:
    """Files that lie beside the record, by the code they give."""
    lost = {"compromised_from": "2026-11-10"}
    later = {"compromised_from": "2026-12-10"}
    both = (_required("2026-01-02", "ES256", "ML-DSA-65"),)
    scan = Scan(name="paper.jpg", bytes=5, sha256="ab" * 32, media_type="image/jpeg")
    return {
        "key-on-card": {"key-card.json": file_of(a_card())},
        "key-on-card--recovery-key-replaced": {"key-card.json": handed_over()},
        "key-retired-since": {
            "key-card.json": file_of(
                a_card(on_card(KEY, "retired", until="2026-11-30"), on_card(NEXT)), *RECOVERY, NEXT
            )
        },
        "key-outside-dates": {"key-card.json": file_of(a_card(on_card(KEY, since="2026-12-01")))},
        "key-lost-before": {
            "key-card.json": file_of(
                a_card(on_card(KEY, "compromised", **lost), on_card(NEXT)), *RECOVERY, NEXT
            )
        },
        "key-lost-no-stamp": {
            "key-card.json": file_of(
                a_card(on_card(KEY, "compromised", **later), on_card(NEXT)), *RECOVERY, NEXT
            )
        },
        "signature-short-of-card": {"key-card.json": file_of(a_card(required=both))},
        "key-card-out-of-date": {"key-card.json": file_of(a_card(issued="2026-01-02", expires="2026-12-01"))},
        "key-not-confirmed--card-of-a-thief": {
            "key-card.json": file_of(
                a_card(recovery=tuple(k.public for k in OTHER_RECOVERY)), *OTHER_RECOVERY, KEY
            )
        },
        "record-withdrawn": {"statement.json": say("withdrawal")},
        "record-superseded": {
            "statement.json": say(
                "supersession", replaced_by=RecordNamed(record=ABOUT.record, sha256="00" * 32)
            )
        },
        "record-corrected": {"statement.json": say("correction", rows=("parts/1",))},
        "aftercare-noted": {"statement.json": say("aftercare")},
        "object-reported-lost": {"statement.json": say("lost or stolen")},
        "object-found-again": {
            "a.json": say("lost or stolen"),
            "b.json": say("found again", iat=DAY + 86_400),
        },
        "statement-by-another": {"statement.json": say("withdrawal", THIEF)},
        "statement-by-another--key-lost": {
            "key-card.json": file_of(
                a_card(on_card(KEY, "compromised", **lost), on_card(NEXT)), *RECOVERY, NEXT
            ),
            "statement.json": say("withdrawal"),
        },
        "statement-short-of-card": {
            "key-card.json": file_of(a_card(required=(_required("2026-11-27", "ES256", "ML-DSA-65"),))),
            "statement.json": say("withdrawal"),
        },
        "statement-dated-before": {"statement.json": say("withdrawal", iat=BEFORE)},
        "statement-dated-before--behind-the-day-of-two-signatures": {
            "key-card.json": file_of(a_card(required=(_required("2026-11-12", "ES256", "ML-DSA-65"),))),
            "statement.json": say("withdrawal", iat=BEFORE),
        },
        "statement-dated-ahead": {"statement.json": say("found again", iat=DAY + 40 * 86_400)},
        "object-reported-lost--found-in-years-to-come": {
            "a.json": say("lost or stolen"),
            "b.json": say("found again", iat=DAY + 9_000 * 86_400),
        },
        "statement-not-in-order": {"statement.json": say("withdrawal")[:-8] + b'AAAA"}]}'},
        "no-correction-known--of-another-record": {
            "statement.json": say("withdrawal", about=RecordNamed(record=ABOUT.record, sha256="00" * 32))
        },
        "receipt-signed": {
            "receipt.json": statements.acknowledge(ABOUT, "", THIEF, iat=DAY, chance=bytes(16))
        },
        "receipt-by-workshop": {
            "receipt.json": statements.acknowledge(ABOUT, "", KEY, iat=DAY, chance=bytes(16))
        },
        "receipt-dated-otherwise": {
            "receipt.json": statements.acknowledge(ABOUT, "", THIEF, iat=1, chance=bytes(16))
        },
        "receipt-not-in-order": {
            "receipt.json": statements.acknowledge(ABOUT, "", THIEF, iat=DAY, chance=bytes(16))[:-8]
            + b'AAAA"}]}'
        },
        "receipt-on-paper": {"statement.json": say("paper receipt", scan=scan)},
        "receipt-paper-differs": {"statement.json": say("paper receipt", scan=scan), "paper.jpg": b"other"},
    }


def write() -> None:
    shutil.rmtree(HOME, ignore_errors=True)
    for name, data in refused().items():
        _put(HOME / "read" / name, {"key-card.json": data})
    how = canonical.encode({"today": "2026-12-24", "trust": FINGERPRINT})
    for name, files in beside().items():
        _put(HOME / "record" / name, {**files, "record.json": record.to_json(SEALED), "how.json": how})


def _put(folder: Path, files: dict[str, bytes]) -> None:
    folder.mkdir(parents=True)
    for name, data in files.items():
        (folder / name).write_bytes(data)


if __name__ == "__main__":
    write()
