"""The other half of `second_reader`: key cards, statements and receipts, from FORMAT.md 16 and 17 alone."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Iterable, Iterator
from typing import Any

from second_reader import (
    KEYS,
    SCHEMAS,
    Record,
    RefusedError,
    b64,
    check_signatures,
    fits,
    public_key,
    refuse,
    strict,
    thumbprint,
    written,
)

TRIAL = "LT16t_2GLsiz3Myfe5HJnMwgcARaPneHSJdeSwhCMgk"
STATEMENTS = json.loads((SCHEMAS / "statements.schema.json").read_text(encoding="utf-8"))


def signed_object(members: Any, typ: str, kind: str) -> Any:
    """The payload of a signed object of this kind; who signed it is asked by `signed_by`."""
    if (
        not isinstance(members, dict)
        or set(members) != {"payload", "signatures"}
        or not members["signatures"]
    ):
        raise RefusedError("signed-shape")
    if any(set(one) != {"protected", "signature"} for one in members["signatures"]):
        raise RefusedError("signed-shape")
    value = strict(b64(members["payload"]))
    if not str(value.get("format")).startswith("1."):
        raise RefusedError("format-unknown")
    if [*fits(kind, value, "signed-shape", STATEMENTS)]:
        raise RefusedError("signed-shape")
    if any(strict(b64(one["protected"])).get("typ") != typ for one in members["signatures"]):
        raise RefusedError("header-typ")
    return value


def signed_by(members: Any, keys: list[Any], typ: str) -> set[str]:
    """Codes: every key has signed, nobody else has, each signature holds."""
    codes, held = check_signatures(members["payload"], members["signatures"], keys, typ)
    return codes or (set() if {key["kid"] for key in keys} == set(held) else {"key-unsigned"})


CARD, RENEWAL, HANDOVER = (
    f"restoration-{name}+jws" for name in ("key-card", "key-card-renewal", "recovery-handover")
)


class Card:
    """A key-card.json: refused, or what it says."""

    def __init__(self, data: bytes) -> None:
        file = strict(data)
        if (
            not isinstance(file, dict)
            or not set(file) <= {"card", "renewal", "handovers"}
            or "card" not in file
        ):
            raise RefusedError("card-shape")
        self.says = signed_object(file["card"], CARD, "KeyCard")
        self.keys: dict[str, Any] = {}
        for one in self.says["keys"]:
            self._take(one)
        in_use = [one["key"] for one in self.says["keys"] if one["state"] == "in use"]
        self.expires = self.says["expires"]
        self._dates(self.says["issued"], self.says["expires"])
        self._closing(in_use)
        refuse(signed_by(file["card"], [*self.says["recovery"], *in_use], CARD))
        for one in self.says.get("required", []):
            if not set(one["algorithms"]) <= set(KEYS):
                raise RefusedError("card-required")
        self.recovery = fingerprint(self.says["recovery"])
        self.known = {self.recovery} | set(self._handed(file.get("handovers", [])))
        if "renewal" in file:
            self._renew(file["renewal"], file["card"]["payload"], in_use)

    def _take(self, one: Any) -> None:
        key, state = one["key"], one["state"]
        if public_key(key) is None or thumbprint(key) != key["kid"] or key["kid"] == TRIAL:
            raise RefusedError("card-key")
        if key["kid"] in self.keys:
            raise RefusedError("card-key-twice")
        until, lost = bool(one.get("until")), bool(one.get("compromised_from"))
        if lost != (state == "compromised") or (until != (state == "retired") and state != "compromised"):
            raise RefusedError("card-state")
        self.keys[key["kid"]] = one

    def _dates(self, issued: str, expires: str) -> None:
        days = (dt.date.fromisoformat(expires) - dt.date.fromisoformat(issued)).days
        if not 0 <= days <= 1100 and not (self.says.get("closed") and expires == "9999-12-31"):
            raise RefusedError("card-dates")

    def _closing(self, in_use: list[Any]) -> None:
        if bool(in_use) == bool(self.says.get("closed")):
            raise RefusedError("card-closed")

    def _handed(self, handovers: list[Any]) -> Iterator[str]:
        wanted = None
        for members in handovers:
            step = signed_object(members, HANDOVER, "Handover")
            if wanted not in (None, fingerprint(step["old"])):
                raise RefusedError("card-handover")
            if signed_by(members, [*step["old"], *step["new"]], HANDOVER):
                raise RefusedError("card-handover")
            wanted = fingerprint(step["new"])
            yield fingerprint(step["old"])
        if wanted not in (None, self.recovery):
            raise RefusedError("card-handover")

    def _renew(self, members: Any, payload: str, in_use: list[Any]) -> None:
        says = signed_object(members, RENEWAL, "Renewal")
        if says["card"] != hashlib.sha256(b64(payload)).hexdigest():
            raise RefusedError("card-renewal-other")
        signers = [strict(b64(one["protected"]))["kid"] for one in members["signatures"]]
        keys = [key for key in in_use if key["kid"] in signers]
        refuse(signed_by(members, keys, RENEWAL))
        self._dates(says["issued"], says["expires"])
        self.expires = says["expires"]

    def of_key(self, kid: str, day: dt.date) -> str:
        """Check 5 a and b, without a time-stamp."""
        one = self.keys[kid]
        if day < dt.date.fromisoformat(one["since"]) or (
            one.get("until") and day > dt.date.fromisoformat(one["until"])
        ):
            return "key-outside-dates"
        if one["state"] == "compromised":
            lost = dt.date.fromisoformat(one["compromised_from"])
            return "key-lost-before" if day >= lost else "key-lost-no-stamp"
        return {"retired": "key-retired-since", "in use": "key-on-card"}[one["state"]]

    def falls_short(self, kids: Iterable[str], day: dt.date) -> bool:
        """Check 5 c: whether an algorithm is called for on that day of which none of these keys is."""
        there = {self.keys[kid]["key"]["alg"] for kid in kids}
        since = [row for row in self.says.get("required", []) if dt.date.fromisoformat(row["since"]) <= day]
        return any(not set(row["algorithms"]) <= there for row in since)


def fingerprint(recovery: list[Any]) -> str:
    """Section 16: over the JCS of the thumbprints; written as in section 10."""
    over = hashlib.sha256(written([thumbprint(key) for key in recovery]).encode()).digest()[:16]
    return " ".join(f"{int.from_bytes(over[at : at + 2]):05d}" for at in range(0, 16, 2))


GOOD = {"key-on-card", "key-retired-since"}


def _day(value: Any) -> dt.date:
    return dt.datetime.fromtimestamp(value["iat"], dt.UTC).date()


def key_status(record: Record, cards: list[Card], today: dt.date) -> str:
    """Check 5 by confirmed cards, where no time-stamp is at hand."""
    if record.signatures:
        return "key-not-checked"
    card = next((card for card in cards if set(card.keys) & set(record.held)), None)
    if card is None:
        return "key-trial" if TRIAL in record.held else "key-not-confirmed"
    said = [(kid, card.of_key(kid, _day(record.payload))) for kid in record.held if kid in card.keys]
    good = [kid for kid, code in said if code in GOOD]
    if not good:
        return said[0][1]
    if card.falls_short(good, _day(record.payload)):
        return "signature-short-of-card"
    if today > dt.date.fromisoformat(card.expires):
        return "key-card-out-of-date"
    return dict(said)[good[0]]


SAID = {
    "correction": "record-corrected",
    "supersession": "record-superseded",
    "withdrawal": "record-withdrawn",
    "aftercare": "aftercare-noted",
    "lost or stolen": "object-reported-lost",
    "found again": "object-found-again",
}


def later(record: Record, files: list[bytes], cards: list[Card], today: dt.date) -> set[str]:
    """Check 11 and the receipts of check 12 that are no papers."""
    said: dict[str, int] = {}
    for data in files:
        value, code = _said(record, strict(data), cards)
        if code in SAID.values() and _day(value) > today:
            code = "statement-dated-ahead"
        elif code in SAID.values() and _day(value) < _day(record.payload):
            code = "statement-dated-before"
        elif code == "receipt-signed":
            code = _of_receipt(value, record, cards, today)
        if code and value is not None:
            said[code] = max(value["iat"], said.get(code, 0))
    both = {"object-reported-lost", "object-found-again"}
    if both <= set(said):
        found_last = said["object-found-again"] > said["object-reported-lost"]
        del said["object-reported-lost" if found_last else "object-found-again"]
    if not {"record-corrected", "record-superseded", "record-withdrawn"} & set(said):
        said["no-correction-known"] = 0
    return set(said)


def _of_receipt(value: Any, record: Record, cards: list[Card], today: dt.date) -> str:
    """Section 17: no owner's where its key is the workshop's; no day before the record, or to come."""
    kids = {key["kid"] for key in value["owner"]["keys"]}
    ours = set(record.held) | {
        kid for card in cards if set(record.held) & set(card.keys) for kid in card.keys
    }
    if kids & ours:
        return "receipt-by-workshop"
    return "receipt-signed" if _day(record.payload) <= _day(value) <= today else "receipt-dated-otherwise"


def _said(record: Record, members: Any, cards: list[Card]) -> tuple[Any, str]:
    payload = strict(b64(members["payload"]))
    owner = "receipt" in payload
    typ, kind = (
        ("restoration-receipt+jws", "Receipt") if owner else ("restoration-statement+jws", "Statement")
    )
    value = signed_object(members, typ, kind)
    if value["about"] != {"record": record.payload["record"], "sha256": record.digest}:
        return value, ""
    keys = value["owner" if owner else "workshop"]["keys"]
    wrong = signed_by(members, keys, typ)
    if owner:
        return value, "receipt-not-in-order" if wrong else "receipt-signed"
    if value["kind"] == "paper receipt":
        return value, ""
    if wrong:
        return value, "statement-not-in-order"
    return value, _may_not(value, keys, record, cards) or SAID[value["kind"]]


def _may_not(value: Any, keys: list[Any], record: Record, cards: list[Card]) -> str:
    """Section 17: the code of why a statement does not count, "" where it does."""
    kids = {key["kid"] for key in keys}
    day = _day(value)
    for card in cards:
        if kids == {key["kid"] for key in card.says["recovery"]}:
            return "" if set(record.held) & set(card.keys) else "statement-by-another"
    naming = [card for card in cards if kids & set(card.keys)]
    called_for = set(record.payload["workshop"]["signatures"])
    if not naming:
        ours = {key["alg"] for key in keys if key["kid"] in set(record.held)}
        return (
            "statement-by-another" if not ours else "" if called_for <= ours else "statement-short-of-record"
        )
    good = [kid for kid in kids & set(naming[0].keys) if naming[0].of_key(kid, day) in GOOD]
    if not good or not set(record.held) & set(naming[0].keys):
        return "statement-by-another"
    if naming[0].falls_short(good, day):
        return "statement-short-of-card"
    return (
        ""
        if called_for <= {key["alg"] for key in keys if key["kid"] in good}
        else "statement-short-of-record"
    )
