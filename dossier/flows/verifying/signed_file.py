"""The check of a signed object on its own: a statement, an owner's receipt, a key card.

Says whose signature it bears and what it says. What a statement does to a record is said by the check of that
record (`verifying.statements`). Invariant: only a file that begins as one of them is read further.
"""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Literal

import msgspec

from dossier.errors import UnreadableError
from dossier.flows.verifying import checks
from dossier.flows.verifying.lying_beside import small
from dossier.model.result import Check, Result
from dossier.model.statements import Receipt
from dossier.seal import keycard, statements
from dossier.seal.codes import Problem, check_of, checks_of
from dossier.seal.handover import Handed
from dossier.seal.keycard import CardFile
from dossier.seal.keys import fingerprint_words
from dossier.seal.standing import Signing, of_recovery
from dossier.seal.statements import Read
from dossier.seal.trial import is_trial
from dossier.seal.trust import Trust, key_spoken_of, key_status
from dossier.words import Catalogue


def of_file(path: Path, trust: Trust, today: dt.date, words: Catalogue) -> Result | None:
    """The result for a statement, receipt or key card; None where the file is something else.

    Raises UnreadableError where it is one of them and cannot be read as that.
    """
    data = small(path)
    if keycard.looks_like(data):
        try:
            return _card_result(path, keycard.read(data), trust, today, words)
        except UnreadableError as error:
            raise UnreadableError(_why(error, words), code="key-card") from None
    try:
        read = statements.read(data) if statements.looks_like(data) else None
    except UnreadableError:
        return None  # a record's own reader says what is wrong with it
    return _read_result(path, read, trust, today, words) if read else None


def _why(error: UnreadableError, words: Catalogue) -> str:
    key = f"keycard.fault.{error.code}"
    return words.say(key) if words.has(key) else words.say("keycard.fault.other", code=error.code)


def _read_result(path: Path, read: Read, trust: Trust, today: dt.date, words: Catalogue) -> Result:
    problems = [Problem(code) for code in read.faults]
    wrong = words.say("statements.not_unaltered")
    broken = [msgspec.structs.replace(check, text=wrong) for check in checks_of(problems, words)]
    answers = broken or [_unaltered(words)]
    signing = Signing(read.kids, read.algorithms, read.said_on, today=today)
    answers.append(_whose(signing, not read.faults, trust, words))
    if read.faults:
        return _result(path, "statement", answers, (), "", read.kids)
    name = "" if isinstance(read.value, Receipt) else read.value.workshop.name
    found = _result(path, "statement", answers, _said(read, words), name, read.kids)
    about = read.value.about
    return msgspec.structs.replace(found, record=about.record, digest=about.sha256)


def _whose(signing: Signing, holds: bool, trust: Trust, words: Catalogue) -> Check:
    """Check 5; whoever confirmed a key card confirmed its recovery keys, which sign no records."""
    if holds and (card := of_recovery(trust.cards, signing.kids)):
        return check_of("key-confirmed", words, [card.fingerprint])
    return key_status(signing, holds, trust, words)


def _unaltered(words: Catalogue) -> Check:
    """`signatures-match`, of something that is not a record."""
    found = check_of("signatures-match", words)
    return msgspec.structs.replace(found, text=words.say("statements.unaltered"))


def _said(read: Read, words: Catalogue) -> tuple[tuple[str, str], ...]:
    value = read.value
    pairs = {
        "what": words.say(f"statements.kind.{'receipt' if isinstance(value, Receipt) else value.kind}"),
        "record": value.about.record,
        "digest": value.about.sha256,
        "date": read.said_on.isoformat(),
        "reason": "" if isinstance(value, Receipt) else " ".join(value.reason.split()),
        "signed_by": value.owner.name if isinstance(value, Receipt) else "",
    }
    return words.rows("statements.label", pairs.items())


def _card_result(path: Path, card: CardFile, trust: Trust, today: dt.date, words: Catalogue) -> Result:
    confirmed = card.fingerprint in {one.fingerprint for one in trust.cards}
    code = "key-confirmed" if confirmed else "key-not-confirmed"
    key = Check(
        check="key status",
        verdict="matches" if confirmed else "could not tell",
        code=code,
        text=words.say(f"keycard.{'confirmed' if confirmed else 'not_confirmed'}"),
        where=(card.fingerprint,),
    )
    answers = [_unaltered(words), key]
    return _result(path, "key card", answers, _card_said(card, today, words), card.card.name, ())


def _card_said(card: CardFile, today: dt.date, words: Catalogue) -> tuple[tuple[str, str], ...]:
    closed = card.card.closed
    keys = [
        words.say(
            f"keycard.key.{one.state}",
            fingerprint=fingerprint_words(one.key["kid"]),
            algorithm=one.key["alg"],
            since=one.since,
            until=one.until,
            lost=one.compromised_from,
        )
        for one in card.card.keys
    ]
    pairs = [
        ("fingerprint", card.fingerprint),
        *(("handed", _handed(one, words)) for one in card.handed),
        ("number", str(card.card.number)),
        ("holds", words.say("keycard.span", issued=card.issued(today), expires=card.expires(today))),
        ("closed", words.say("keycard.closed", since=closed.since, archive=closed.archive) if closed else ""),
        *(("key", text) for text in keys),
    ]
    return words.rows("keycard.label", pairs)


def _handed(one: Handed, words: Catalogue) -> str:
    return words.say("keycard.handed_from", date=one.value.issued, fingerprint=one.before)


def _result(
    path: Path,
    kind: Literal["statement", "key card"],
    answers: list[Check],
    said: tuple[tuple[str, str], ...],
    workshop: str,
    kids: tuple[str, ...],
) -> Result:
    overall = checks.overall(answers)
    return Result(
        file=str(path),
        kind=kind,
        overall=overall,
        checks=checks.in_order(answers),
        workshop=workshop,
        fingerprint=key_spoken_of(answers, kids),
        said=said,
        trial_key=overall != "altered" and any(map(is_trial, kids)),
    )
