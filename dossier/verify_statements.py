"""Checks 11 and 12: signed statements about a record and receipts for it, among the files at hand.

At hand are the files named together, and what lies in the same folder as the file under check or in a folder
`statements` there; key cards lying there are known too. Not done here: making statements (`seal.statements`).
Invariants: every file and their number is bounded, links are not followed; a statement by a key that may not
speak about the record is shown and changes nothing.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from cryptography import x509

from dossier import dossier_files as files
from dossier import verify_checks as checks
from dossier.errors import UnreadableError
from dossier.model.record import OpenRecord
from dossier.model.result import Check, CheckName, Verdict
from dossier.model.statements import Receipt, Scan, Statement, StatementKind
from dossier.seal import chains, keycard, statements
from dossier.seal.codes import printable
from dossier.seal.keycard import CardFile
from dossier.seal.keys import fingerprint_words
from dossier.seal.record import RecordCheck
from dossier.seal.standing import Signing, naming, standing
from dossier.seal.statements import Read
from dossier.seal.trust import Trust
from dossier.words import Catalogue

FOLDER = "statements"
MOST_FILES = 200  # looked at in one folder
MAX_BYTES = 1 << 20  # of a statement or a key card
MOST_BYTES = 8 << 20  # of all that lie in one place
MAX_SCAN = 256 << 20
_LATER: CheckName = "superseded or withdrawn"
_RECEIPT: CheckName = "owner's receipt"

CODES: dict[str, tuple[CheckName, Verdict]] = {
    "record-superseded": (_LATER, "does not match"),
    "record-withdrawn": (_LATER, "does not match"),
    "object-reported-lost": (_LATER, "could not tell"),
    "record-corrected": (_LATER, "matches"),
    "object-found-again": (_LATER, "matches"),
    "aftercare-noted": (_LATER, "matches"),
    "statement-by-another": (_LATER, "could not tell"),
    "statement-not-in-order": (_LATER, "could not tell"),
    "receipt-signed": (_RECEIPT, "matches"),
    "receipt-on-paper": (_RECEIPT, "could not tell"),
    "receipt-paper-differs": (_RECEIPT, "does not match"),
    "receipt-not-in-order": (_RECEIPT, "could not tell"),
}
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


@dataclass(frozen=True)
class AtHand:
    """What was found beside a file: statements and receipts, key cards, and other files by name."""

    read: tuple[Read, ...] = ()
    cards: tuple[CardFile, ...] = ()
    files: tuple[Path, ...] = ()
    names: frozenset[tuple[str, str]] = frozenset()  # of the files that are one of these, and which record's

    def __or__(self, other: AtHand) -> AtHand:
        read = {one.form: one for one in (*self.read, *other.read)}
        cards = {card.form: card for card in (*self.cards, *other.cards)}
        return AtHand(
            tuple(read.values()), tuple(cards.values()), (*self.files, *other.files), self.names | other.names
        )

    def looked_at(self, record: OpenRecord | None) -> frozenset[str]:
        """The names of the files that have a say in the check of `record`: cards, and what is about it."""
        about = {"", record.digest} if record else {""}
        return frozenset(name for name, digest in self.names if digest in about)


NOTHING = AtHand()


def at_hand(paths: Iterable[Path]) -> AtHand:
    """The statements and key cards among these files; what is none, or cannot be read, is passed over."""
    found = NOTHING
    left = MOST_BYTES
    for path in list(paths)[:MOST_FILES]:
        if path.is_symlink() or not path.is_file():
            continue
        data = small(path) if left > 0 else b""
        left -= len(data)
        found |= _taken(path, data)
    return found


def _taken(path: Path, data: bytes) -> AtHand:
    """What one file is: a key card, a statement or receipt, or neither."""
    try:
        if keycard.looks_like(data):
            return AtHand(cards=(keycard.read(data),), files=(path,), names=frozenset({(path.name, "")}))
        if statements.looks_like(data) and (read := statements.read(data)):
            names = frozenset({(path.name, read.value.about.sha256)})
            return AtHand(read=(read,), files=(path,), names=names)
    except UnreadableError:
        pass
    return AtHand(files=(path,))


def beside(path: Path) -> AtHand:
    """What lies in the folder of a file (or in the folder itself), and in its folder `statements`."""
    folder = path if path.is_dir() else path.parent
    found: list[Path] = []
    for place in (folder, folder / FOLDER):
        if place.is_dir() and (place == folder or not place.is_symlink()):
            found += _listed(place)
    return at_hand(found)


def later(checked: RecordCheck, at: AtHand, trust: Trust, words: Catalogue) -> list[Check]:
    """The answers of check 11 that come of statements at hand about this record, if any."""
    record = checked.record
    about = [one for one in at.read if record and _is_about(one, record)]
    spoken = [one for one in about if isinstance(one.value, Statement) and one.value.kind in _CODE_OF]
    groups: dict[str, list[Read]] = {}
    for one in sorted(spoken, key=lambda one: one.value.iat):
        groups.setdefault(_code(one, checked, trust, words), []).append(one)
    _settle(groups)
    return [
        answer(code, words, [_line(one, words) for one in groups[code]]) for code in CODES if code in groups
    ]


def answers(checked: RecordCheck, at: AtHand, trust: Trust, today: dt.date, words: Catalogue) -> list[Check]:
    """Checks 11 and 12: what is said about the record afterwards, else that no correction is known."""
    found = later(checked, at, trust, words)
    if not _corrects(found):
        found.append(checks.no_correction_known(words, today))
    return [*found, *receipts(checked, at, trust, words)]


def certificates_beside(path: Path) -> list[x509.Certificate]:
    """The certificates in the file that lies beside a record of its own."""
    try:
        with (path.parent / files.CERTIFICATE).open("rb") as file:
            return chains.load_all(file.read(MAX_BYTES))
    except OSError:
        return []


def _corrects(answers: Iterable[Check]) -> bool:
    """Whether a correction, supersession or withdrawal is among the answers."""
    return any(check.code in _CORRECTIONS for check in answers)


def receipts(checked: RecordCheck, at: AtHand, trust: Trust, words: Catalogue) -> Iterator[Check]:
    """Check 12, where a receipt for this record is at hand; the two kinds are never one answer."""
    record = checked.record
    about = [one for one in at.read if record and _is_about(one, record)]
    signed = [one for one in about if isinstance(one.value, Receipt)]
    papers = [one for one in about if isinstance(one.value, Statement) and one.value.scan]
    held = [one for one in signed if not one.faults]
    broken = [one for one in [*signed, *papers] if one.faults]
    if held:
        yield answer("receipt-signed", words, [_receipt_line(one, words) for one in held])
    if broken:
        yield answer("receipt-not-in-order", words, [_line(one, words) for one in broken])
    for one in papers:
        if not one.faults and _may_speak(one, checked, trust, words):
            yield _paper(one, at.files, words)


def answer(code: str, words: Catalogue, where: Iterable[str] = ()) -> Check:
    name, verdict = CODES[code]
    return Check(
        check=name, verdict=verdict, code=code, text=words.say(f"statements.code.{code}"), where=tuple(where)
    )


def _is_about(one: Read, record: OpenRecord) -> bool:
    about = one.value.about
    return about.sha256 == record.digest and about.record == record.payload.record


def _code(one: Read, checked: RecordCheck, trust: Trust, words: Catalogue) -> str:
    if one.faults:
        return "statement-not-in-order"
    if not isinstance(one.value, Statement) or not _may_speak(one, checked, trust, words):
        return "statement-by-another"
    return _CODE_OF[one.value.kind]


def _may_speak(one: Read, checked: RecordCheck, trust: Trust, words: Catalogue) -> bool:
    """Whether the signer is the record's own, or stands on a confirmed card together with the record's.

    Where a confirmed card names the signer's key, the key must have been in use that day: a key that others
    have had can withdraw nothing.
    """
    card = naming(trust.cards, one.kids)
    if card is None:
        return bool(set(one.kids) & set(checked.kids))
    says = standing(card, Signing(one.kids, signed_on=one.said_on), words)
    return says.verdict == "matches" and naming([card], checked.kids) is not None


def _settle(groups: dict[str, list[Read]]) -> None:
    """Of "lost" and "found again" the later one stands."""
    lost, found = groups.get("object-reported-lost"), groups.get("object-found-again")
    if lost and found:
        del groups[
            "object-reported-lost" if found[-1].value.iat >= lost[-1].value.iat else "object-found-again"
        ]


def _line(one: Read, words: Catalogue) -> str:
    """The day, the reason, and what it names besides."""
    value = one.value
    if isinstance(value, Receipt):
        return one.said_on.isoformat()
    values: dict[str, object] = {
        "date": one.said_on.isoformat(),
        "reason": printable(" ".join(value.reason.split()), statements.LONGEST_REASON),
    }
    if value.replaced_by:
        return words.say("statements.line.replaced", record=value.replaced_by.record, **values)
    if value.rows:
        return words.say("statements.line.rows", rows=printable(" ".join(value.rows)), **values)
    return words.say("statements.line.plain", **values)


def _receipt_line(one: Read, words: Catalogue) -> str:
    return words.say(
        "statements.line.receipt", date=one.said_on.isoformat(), fingerprint=fingerprint_words(one.kids[0])
    )


def _paper(one: Read, beside: Sequence[Path], words: Catalogue) -> Check:
    """A scan of a signed paper: named as what it is, and compared where it is at hand."""
    scan = one.value.scan if isinstance(one.value, Statement) else None
    here = [path for path in beside if scan and path.name == scan.name]
    differs = bool(scan and here and not _is_scan(here[0], scan))
    return answer("receipt-paper-differs" if differs else "receipt-on-paper", words, [_line(one, words)])


def _is_scan(path: Path, scan: Scan) -> bool:
    try:
        if path.stat().st_size != scan.bytes or scan.bytes > MAX_SCAN:
            return False
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest() == scan.sha256
    except OSError:
        return False


def _listed(folder: Path) -> list[Path]:
    try:
        return sorted(folder.iterdir())[:MOST_FILES]
    except OSError:
        return []


def small(path: Path) -> bytes:
    """The bytes of a file that may be a statement, none of one that is too large or begins otherwise."""
    try:
        with path.open("rb") as file:
            start = file.read(11)
            if not start.startswith((b'{"card":', b'{"payload":')):
                return b""
            data = start + file.read(MAX_BYTES)
    except OSError:
        return b""
    return data if len(data) <= MAX_BYTES else b""
