"""Checks 11 and 12: signed statements about a record and receipts for it, among the files at hand.

Not done here: finding them (`verifying.lying_beside`), making them (`seal.statements`). Invariants: a
statement by a key that may not speak about the record, or with fewer signatures than the workshop's card asks
for, is shown and changes nothing; where something at hand was not looked at, that is said, and never that no
correction is at hand.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from functools import partial
from pathlib import Path

import msgspec

from dossier import ordinary
from dossier.flows.verifying import checks
from dossier.flows.verifying.lying_beside import AtHand
from dossier.model.record import moment
from dossier.model.result import Check, CheckName
from dossier.model.statements import Receipt, RecordNamed, Scan, Statement, StatementKind
from dossier.seal import statements
from dossier.seal.codes import Codes, answer_of, printable
from dossier.seal.keycard import CardFile
from dossier.seal.keys import fingerprint_words
from dossier.seal.record import RecordCheck
from dossier.seal.standing import (
    REVOKED,
    Signing,
    before_more_were_called_for,
    naming,
    of_recovery,
    signed_by,
    standing,
)
from dossier.seal.statements import Read
from dossier.seal.trust import Trust
from dossier.words import Catalogue

MAX_SCAN = 256 << 20
_LATER: CheckName = "superseded or withdrawn"
_RECEIPT: CheckName = "owner's receipt"

CODES: Codes = {
    "record-superseded": (_LATER, "does not match"),
    "record-withdrawn": (_LATER, "does not match"),
    "object-reported-lost": (_LATER, "could not tell"),
    "record-corrected": (_LATER, "matches"),
    "object-found-again": (_LATER, "matches"),
    "aftercare-noted": (_LATER, "matches"),
    "statement-by-another": (_LATER, "could not tell"),
    "statement-short-of-card": (_LATER, "could not tell"),
    "statement-short-of-record": (_LATER, "could not tell"),
    "statement-dated-ahead": (_LATER, "could not tell"),
    "statement-dated-before": (_LATER, "could not tell"),
    "statement-not-in-order": (_LATER, "could not tell"),
    "statements-not-all-read": (_LATER, "could not tell"),
    "receipt-signed": (_RECEIPT, "matches"),
    "receipt-by-workshop": (_RECEIPT, "could not tell"),
    "receipt-dated-otherwise": (_RECEIPT, "could not tell"),
    "receipt-on-paper": (_RECEIPT, "could not tell"),
    "receipt-paper-differs": (_RECEIPT, "does not match"),
    "receipt-not-in-order": (_RECEIPT, "could not tell"),
}
answer = partial(answer_of, CODES, "statements.code")
_CODE_OF: dict[StatementKind, str] = {
    "correction": "record-corrected",
    "supersession": "record-superseded",
    "withdrawal": "record-withdrawn",
    "aftercare": "aftercare-noted",
    "lost or stolen": "object-reported-lost",
    "found again": "object-found-again",
}
# After one of these nobody may say that no correction is known.
_CORRECTIONS = frozenset({"record-corrected", "record-superseded", "record-withdrawn"})
_DO_NOT_COUNT = frozenset(
    {
        "statement-by-another",
        "statement-short-of-card",
        "statement-short-of-record",
        "statement-dated-ahead",
        "statement-dated-before",
        "statement-not-in-order",
    }
)


class Subject(msgspec.Struct, frozen=True):
    """A record that statements may be about, its keys that may speak about it, and the day it bears.

    `required`: the algorithms that it calls for itself; none of a code, which names one key.
    """

    named: RecordNamed | None
    kids: tuple[str, ...]
    signed_on: dt.date | None = None  # None: it bears none, as a code
    required: frozenset[str] = frozenset()


def subject_of(checked: RecordCheck) -> Subject:
    record = checked.record
    kids = _not_revoked(checked)
    if record is None:
        return Subject(None, kids)
    named = RecordNamed(record=record.payload.record, sha256=record.digest)
    signed_on = moment(record.payload.iat).date()
    return Subject(named, kids, signed_on, frozenset(record.payload.workshop.signatures))


def _not_revoked(checked: RecordCheck) -> tuple[str, ...]:
    """The keys whose signatures hold, without one whose certificate was revoked: others may have it since."""
    revoked = [one.where[0] for one in checked.checks if one.code in REVOKED and one.where]
    return tuple(kid for kid in checked.kids if fingerprint_words(kid) not in revoked)


def later(subject: Subject, at: AtHand, trust: Trust, today: dt.date, words: Catalogue) -> list[Check]:
    """The answers of check 11 that come of statements at hand about this record, if any."""
    groups = _groups(subject, at, trust, today, words)
    return [
        answer(code, words, [_line(one, words, trust) for one in groups[code]], n=len(groups[code]))
        for code in CODES
        if code in groups
    ]


def counting(subject: Subject, at: AtHand, trust: Trust, today: dt.date, words: Catalogue) -> list[Statement]:
    """The statements at hand that count for this record, the first first."""
    groups = _groups(subject, at, trust, today, words)
    counted = (one.value for code in _CODE_OF.values() for one in groups.get(code, ()))
    return sorted((one for one in counted if isinstance(one, Statement)), key=lambda one: one.iat)


def _groups(
    subject: Subject, at: AtHand, trust: Trust, today: dt.date, words: Catalogue
) -> dict[str, list[Read]]:
    """The statements about this record by the code of what each does to it, the first first."""
    about = [one for one in at.read if one.value.about == subject.named]
    spoken = [one for one in about if isinstance(one.value, Statement) and one.value.kind in _CODE_OF]
    groups: dict[str, list[Read]] = {}
    for one in sorted(spoken, key=lambda one: one.value.iat):
        code = _code(one, subject, trust, words)
        if code in _CODE_OF.values():
            code = _at_its_time(one, subject, today) or code
        groups.setdefault(code, []).append(one)
    _settle(groups)
    return groups


def _at_its_time(one: Read, subject: Subject, today: dt.date) -> str:
    """The code of a statement that bears a day on which nobody can have made it, "" of any other.

    Else "found again" of 2099 would stand for ever, and a thief of one of two keys would go back behind the
    day from which both are called for.
    """
    if one.said_on > today:
        return "statement-dated-ahead"
    before = subject.signed_on is not None and one.said_on < subject.signed_on
    return "statement-dated-before" if before else ""


def answers(subject: Subject, at: AtHand, trust: Trust, today: dt.date, words: Catalogue) -> list[Check]:
    """Checks 11 and 12: what is said about the record afterwards, else that no correction is known."""
    found = later(subject, at, trust, today, words)
    if at.unread:
        found.append(answer("statements-not-all-read", words, at.unread))
    elif not _corrects(found):
        found.append(_none_known(found, today, words))
    return [*found, *receipts(subject, at, trust, today, words)]


def _none_known(found: Iterable[Check], today: dt.date, words: Catalogue) -> Check:
    """That no correction is at hand, apart from what was shown and does not count."""
    none = checks.no_correction_known(words, today)
    if not any(check.code in _DO_NOT_COUNT for check in found):
        return none
    return msgspec.structs.replace(
        none, text=words.say("statements.besides.no_other", date=today.isoformat())
    )


def _corrects(answers: Iterable[Check]) -> bool:
    """Whether a correction, supersession or withdrawal is among the answers."""
    return any(check.code in _CORRECTIONS for check in answers)


def looked_at(subject: Subject, at: AtHand, trust: Trust, folder: Path, words: Catalogue) -> frozenset[str]:
    """The names of files in `folder` that have a say in the check of a record.

    Key cards, statements and receipts about it, and the picture of a paper that one of them names; not one
    that is passed over, nor what it names.
    """
    about = {"", subject.named.sha256} if subject.named else {""}
    papers = [one for one in _papers(subject, at) if not one.faults]
    counting = [one for one in papers if not _why_not(one, subject, trust, words)]
    passed = {one.form for one in papers} - {one.form for one in counting}
    own = (one for one in at.about if one.path.parent == folder and one.about in about)
    names = {one.path.name for one in own if one.form not in passed}
    scans = (one.value.scan for one in counting if isinstance(one.value, Statement))
    return frozenset(names | {scan.name for scan in scans if scan})


def _papers(subject: Subject, at: AtHand) -> list[Read]:
    """What is said of papers that somebody signed for this record by hand."""
    about = (one for one in at.read if one.value.about == subject.named)
    return [one for one in about if isinstance(one.value, Statement) and one.value.scan]


def receipts(subject: Subject, at: AtHand, trust: Trust, today: dt.date, words: Catalogue) -> Iterator[Check]:
    """Check 12, where a receipt for this record is at hand; the two kinds are never one answer."""
    about = [one for one in at.read if one.value.about == subject.named]
    signed = [one for one in about if isinstance(one.value, Receipt)]
    papers = _papers(subject, at)
    held = [(_of_receipt(one, subject, trust, today), one) for one in signed if not one.faults]
    broken = [one for one in [*signed, *papers] if one.faults]
    for code in dict.fromkeys(code for code, _ in held):
        yield answer(code, words, [_receipt_line(one, words) for said, one in held if said == code])
    if broken:
        yield answer("receipt-not-in-order", words, [_said(one, words) for one in broken])
    for one in papers:
        if not one.faults and not _why_not(one, subject, trust, words):
            yield _paper(one, at, words)


def _of_receipt(one: Read, subject: Subject, trust: Trust, today: dt.date) -> str:
    """The code of a receipt whose signature holds: no owner's where its key is one of the workshop's."""
    card = naming(trust.cards, one.kids)
    if set(one.kids) & set(subject.kids) or (card is not None and naming([card], subject.kids)):
        return "receipt-by-workshop"
    return "receipt-dated-otherwise" if _at_its_time(one, subject, today) else "receipt-signed"


def _code(one: Read, subject: Subject, trust: Trust, words: Catalogue) -> str:
    if one.faults:
        return "statement-not-in-order"
    if not isinstance(one.value, Statement):
        return "statement-by-another"
    return _why_not(one, subject, trust, words) or _CODE_OF[one.value.kind]


def _why_not(one: Read, subject: Subject, trust: Trust, words: Catalogue) -> str:
    """The code of why a statement whose signatures hold does not count, "" where it does.

    Its signer is the record's own, or stands on a confirmed card together with the record's. Where a
    confirmed card names the signer's key, the card is asked as for a record of that day: a key that others
    have had can withdraw nothing, nor can one signature where two are called for, by the card or by the
    record itself, which can only add to it. The recovery keys of a card speak for it at any time.
    """
    if card := of_recovery(trust.cards, one.kids):
        return "" if _speaks_for(card, subject, trust) else "statement-by-another"
    card = naming(trust.cards, one.kids)
    if card is None:
        return _by_the_record(one, subject)
    if not _speaks_for(card, subject, trust):
        return "statement-by-another"
    says = standing(card, Signing(one.kids, one.algorithms, one.said_on), words)
    if says.code == "signature-short-of-card":
        return "statement-short-of-card"
    if says.verdict != "matches":
        return "statement-by-another"
    return "" if subject.required <= _good(card, one, words) else "statement-short-of-record"


def _speaks_for(card: CardFile, subject: Subject, trust: Trust) -> bool:
    """Whether a card names a key of the record, and no other confirmed one was signed by such a key."""
    if naming([card], subject.kids) is None:
        return False
    return signed_by(card, subject.kids) or not any(signed_by(one, subject.kids) for one in trust.cards)


def _good(card: CardFile, one: Read, words: Catalogue) -> set[str]:
    """The algorithms of those of its keys that the card answers for by themselves."""
    return {
        alg
        for kid, alg in zip(one.kids, one.algorithms, strict=True)
        if card.of(kid) and standing(card, Signing((kid,), None, one.said_on), words).verdict == "matches"
    }


def _by_the_record(one: Read, subject: Subject) -> str:
    """Where no card speaks of the signers, the record does: as many signatures as it calls for itself."""
    ours = {alg for kid, alg in zip(one.kids, one.algorithms, strict=True) if kid in subject.kids}
    if not ours:
        return "statement-by-another"
    return "" if subject.required <= ours else "statement-short-of-record"


def _settle(groups: dict[str, list[Read]]) -> None:
    """Of "lost" and "found again" the later one stands; of the same second, that it is lost."""
    lost, found = groups.get("object-reported-lost"), groups.get("object-found-again")
    if lost and found:
        del groups[
            "object-reported-lost" if found[-1].value.iat > lost[-1].value.iat else "object-found-again"
        ]


def _line(one: Read, words: Catalogue, trust: Trust) -> str:
    """The day, the reason, what it names besides, and where its day rests on one of the keys alone."""
    card = naming(trust.cards, one.kids)
    signing = Signing(one.kids, one.algorithms, one.said_on)
    return "; ".join(
        [_said(one, words), *(before_more_were_called_for(card, signing, words) if card else [])]
    )


def _said(one: Read, words: Catalogue) -> str:
    value = one.value
    if isinstance(value, Receipt):
        return words.day(one.said_on.isoformat())
    values: dict[str, object] = {
        "date": one.said_on.isoformat(),
        "reason": printable(" ".join(value.reason.split()), statements.LONGEST_REASON),
    }
    if value.replaced_by:
        by = value.replaced_by
        return words.say("statements.line.replaced", record=by.record, digest=by.sha256, **values)
    if value.rows:
        return words.say("statements.line.rows", rows=rows_named(value.rows, words), **values)
    return words.say("statements.line.plain", **values)


def rows_named(rows: Iterable[str], words: Catalogue) -> str:
    """The rows that a correction is about as people call them, the first of many: "part 9, mark 1"."""
    return printable(words.say("result.places.between").join(_row_named(row, words) for row in rows))


def _row_named(row: str, words: Catalogue) -> str:
    kind, _, own = row.partition("/")
    key = f"statements.row.{kind}"
    return words.say(key, row=own) if own and kind.isidentifier() and words.has(key) else row


def _receipt_line(one: Read, words: Catalogue) -> str:
    return words.say(
        "statements.line.receipt", date=one.said_on.isoformat(), fingerprint=fingerprint_words(one.kids[0])
    )


def _paper(one: Read, at: AtHand, words: Catalogue) -> Check:
    """A scan of a signed paper: named as what it is, and compared wherever one of its name is at hand.

    What has that name and is no file is not the one either: who opens it sees what nobody compared.
    """
    scan = one.value.scan if isinstance(one.value, Statement) else None
    here = [path for path in dict.fromkeys(at.files) if scan and path.name == scan.name]
    others = any(scan and path.name == scan.name for path in at.no_files)
    differs = others or any(not _is_scan(path, scan) for path in here if scan)
    return answer("receipt-paper-differs" if differs else "receipt-on-paper", words, [_said(one, words)])


def _is_scan(path: Path, scan: Scan) -> bool:
    try:
        if path.stat().st_size != scan.bytes or scan.bytes > MAX_SCAN:
            return False
        return ordinary.sha256(path) == scan.sha256
    except OSError:
        return False
