"""The answers of a check that belong to no single room, and the result they add up to.

Codes are stable (FORMAT.md, table of codes); their sentences stand in the catalogue. Pure.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import partial

from dossier.errors import NotCanonicalError, UnreadableError
from dossier.model.record import OpenRecord, moment
from dossier.model.result import CHECK_NUMBERS, Check, Overall, Result, Verdict
from dossier.seal import code as seal_code
from dossier.seal.code import CodeSummary
from dossier.seal.codes import Codes, answer_of
from dossier.seal.keys import fingerprint_words
from dossier.seal.record import RecordCheck
from dossier.seal.stamp_codes import NOT_CONFIRMED, NOT_READ, OTHER_WAY, RAN_OUT
from dossier.seal.trial import is_trial
from dossier.seal.trust import key_spoken_of
from dossier.words import Catalogue

ENGLISH = Catalogue()
_YES: Verdict = "matches"
_NO: Verdict = "does not match"
_UNSURE: Verdict = "could not tell"
_NONE: Verdict = "not applicable"

CODES: Codes = {
    "container-as-written": ("container", _YES),
    "container-time-stamped": ("container", _YES),
    "saved-anew": ("container", _NO),
    "attachments-complete": ("attachments", _YES),
    "attachments-not-named": ("attachments", _UNSURE),
    "attachment-missing": ("attachments", _NO),
    "attachment-surplus": ("attachments", _NO),
    "attachment-kind": ("attachments", _NO),
    "record-unreadable": ("attachments", _NO),
    "record-forms-differ": ("attachments", _NO),
    "certificate-differs": ("attachments", _NO),
    "code-differs": ("attachments", _NO),
    "how-to-differs": ("attachments", _NO),
    "file-beside-differs": ("attachments", _NO),
    "file-beside-not-checked": ("attachments", _UNSURE),
    "file-beside-missing": ("attachments", _UNSURE),
    "pages-by-holder": ("PDF signature", _NONE),
    "pages-signature-lost": ("PDF signature", _NO),
    "manifest-matches": ("manifest", _YES),
    "manifest-differs": ("manifest", _NO),
    "photograph-differs": ("manifest", _NO),
    "photograph-missing": ("manifest", _NO),
    "photograph-surplus": ("manifest", _NO),
    "photograph-unreadable": ("manifest", _UNSURE),
    "photographs-match": ("manifest", _YES),
    "photographs-not-here": ("manifest", _UNSURE),
    "pages-signed-with-record": ("pages against record", _YES),
    "pages-match": ("pages against record", _YES),
    "pages-differ": ("pages against record", _NO),
    "picture-differs": ("pages against record", _NO),
    "pages-other-program": ("pages against record", _UNSURE),
    "pages-not-drawn": ("pages against record", _UNSURE),
    "no-time-stamp": ("time-stamps", _UNSURE),
    "record-dated-ahead": ("time-stamps", _UNSURE),
    "rows-dated-ahead": ("time-stamps", _UNSURE),
    "no-earlier-records": ("earlier records", _NONE),
    "earlier-records-match": ("earlier records", _YES),
    "earlier-record-differs": ("earlier records", _NO),
    "earlier-record-not-in-order": ("earlier records", _NO),
    "earlier-records-not-here": ("earlier records", _UNSURE),
    "earlier-record-withdrawn": ("earlier records", _UNSURE),
    "earlier-object-reported-lost": ("earlier records", _UNSURE),
    "earlier-record-corrected": ("earlier records", _YES),
    "earlier-statements-not-all-read": ("earlier records", _UNSURE),
    "earlier-statement-not-in-order": ("earlier records", _UNSURE),
    "no-correction-known": ("superseded or withdrawn", _UNSURE),
}
answer = partial(answer_of, CODES, "verify.code")

# A later statement: intact, and yet not the last word (FORMAT.md section 12).
_SUPERSEDES = frozenset({"record-superseded", "record-withdrawn", "object-reported-lost"})
# Something at hand may correct or withdraw the record: it was not looked at, or a key that may speak has
# signed it, as not anybody can. Or what it builds on was taken back by whoever signed that. The record is
# never in order then, though the file itself is.
_MAY_SUPERSEDE = frozenset(
    {
        "statements-not-all-read",
        "statement-short-of-card",
        "statement-short-of-record",
        "statement-dated-ahead",
        "statement-dated-before",
        "earlier-record-withdrawn",
        "earlier-object-reported-lost",
        "earlier-statements-not-all-read",
    }
)
# These rest on a certificate, which vouches for a name: anybody can have one in their own.
_VOUCHED_FOR = frozenset({"key-chained", "key-chained-not-revoked", "key-revoked-after-stamp"})
# Answers that say "could not tell" and still leave a file in order: they are about what is not in any file.
_QUIET = frozenset(
    {
        "no-time-stamp",
        NOT_CONFIRMED,
        RAN_OUT,
        NOT_READ,
        OTHER_WAY,
        "rows-dated-ahead",
        "no-correction-known",
        "earlier-records-not-here",
        "earlier-statement-not-in-order",
        "photograph-unreadable",
        "photographs-not-here",
        "file-beside-missing",
        "file-beside-not-checked",
        "statement-by-another",
        "statement-not-in-order",
        "receipt-on-paper",
        "receipt-by-workshop",
        "receipt-dated-otherwise",
        "receipt-not-in-order",
    }
)


def is_code_of(text: str, record: OpenRecord | None, words: Catalogue) -> bool:
    """Whether a code's text is of this record. Raises UnreadableError where it is no code's."""
    if not text:
        return True
    summary = seal_code.read(text)
    if record and summary.page != record.payload.workshop.verification_page:
        return False  # nothing signs the page in a code by itself; in a dossier the record names it
    answers = seal_code.check(summary, words, record=record)
    return not any(check.verdict == "does not match" for check in answers)


def surplus(
    at_hand: Mapping[str, str | None], expected: Mapping[str, str], words: Catalogue
) -> Iterator[str]:
    """The photographs that are not in the record; of one that is there under another name, which it is."""
    missing = {digest: name for name, digest in expected.items() if name not in at_hand}
    for name, digest in at_hand.items():
        if name not in expected:
            own = missing.get(digest or "")
            yield words.say("verify.other_name", name=name, own=own) if own else name


def no_correction_known(words: Catalogue, today: dt.date) -> Check:
    return answer("no-correction-known", words, date=today.isoformat())


def time_stamps(words: Catalogue) -> Check:
    """Check 9 as far as a file alone can answer it."""
    return answer("no-time-stamp", words)


def overall(answers: Sequence[Check]) -> Overall:
    """The one word for all answers: anything that does not match outweighs everything else."""
    if any(check.verdict == "does not match" and check.code not in _SUPERSEDES for check in answers):
        return "altered"
    if any(check.code in _SUPERSEDES for check in answers):
        return "superseded"
    confirmed = _is_confirmed(answers)
    left = any(check.code in _MAY_SUPERSEDE for check in answers)
    return "in order" if confirmed and not left and not unsure(answers) else "not confirmed"


def _is_confirmed(answers: Sequence[Check]) -> bool:
    """Whether a key is confirmed: of one that a root vouches for, under the workshop's own name."""
    codes = {check.code for check in answers}
    if codes & _VOUCHED_FOR and "certificate-other-name" in codes:
        return False
    return any(check.check == "key status" and check.verdict == "matches" for check in answers)


def unsure(answers: Sequence[Check]) -> bool:
    """Whether something in the file itself could not be told, be the key confirmed or not."""
    return any(
        check.verdict == "could not tell"
        and check.code not in _QUIET | _MAY_SUPERSEDE
        and check.check != "key status"
        for check in answers
    )


def in_order(answers: Iterable[Check]) -> tuple[Check, ...]:
    """The answers in FORMAT.md's order."""
    return tuple(sorted(answers, key=lambda check: CHECK_NUMBERS[check.check]))


def record_result(
    file: str, kind: str, answers: Sequence[Check], checked: RecordCheck, words: Catalogue
) -> Result:
    """The result of a check of a record, alone or in a dossier."""
    record = checked.record
    signed = bool(checked.kids)
    return Result(
        file=file,
        kind="dossier" if kind == "dossier" else "record",
        overall=overall(answers),
        unsure=unsure(answers),
        checks=in_order(answers),
        trial_key=checked.trial_key,
        object=_object(record) if record and signed else "",
        workshop=record.payload.workshop.name if record and signed else "",
        fingerprint=key_spoken_of(checked.checks, checked.kids),
        record=record.payload.record if record and signed else "",
        digest=record.digest if record and signed else "",
        said=_said(record, words) if record and signed else (),
        not_in_copy=_not_in_copy(record, words) if record else (),
    )


def code_result(file: str, summary: CodeSummary, answers: Sequence[Check], words: Catalogue) -> Result:
    """The result of a check of a printed code; what it says is repeated only when its signature holds."""
    holds = all(check.code != "code-signature-wrong" for check in answers)
    kid = summary.public["kid"]
    return Result(
        file=file,
        kind="code",
        overall=overall(answers),
        checks=in_order(answers),
        trial_key=holds and is_trial(kid),
        object=summary.object if holds else "",
        fingerprint=fingerprint_words(kid) if holds else "",
        record=summary.record if holds else "",
        digest=summary.digest if holds else "",
        said=_code_said(summary, words) if holds else (),
    )


def unreadable_result(file: str, error: UnreadableError, words: Catalogue) -> Result:
    """A file that cannot be read as anything that can be checked.

    Beside the sentence stands what it is about, and not the same again in the English of a room below.
    """
    known = [key for of in ("verify.unreadable", "seal.code") if words.has(key := f"{of}.{error.code}")]
    text = words.say(known[0]) if known else error.message or words.say("verify.unreadable.other")
    same = isinstance(error, NotCanonicalError) or error.message in ("", text, _english(error.code))
    why = () if same else (error.message,)
    check = Check(check="container", verdict="could not tell", code=error.code, text=text, where=why)
    return Result(file=file, kind="unknown", overall="unreadable", checks=(check,))


def _english(code: str) -> str:
    key = f"container.unreadable.{code}"
    return ENGLISH.say(key) if ENGLISH.has(key) else ""


def _object(record: OpenRecord) -> str:
    thing = record.payload.object
    return thing.title or thing.type


def _said(record: OpenRecord, words: Catalogue) -> tuple[tuple[str, str], ...]:
    payload = record.payload
    counted = len({row.part for row in payload.parts_now})  # headings count by the parts under them
    pairs = {
        "job": payload.job,
        "record": payload.record,
        "digest": record.digest,
        "received": payload.dates.received,
        "returned": payload.dates.returned,
        "signed_on": moment(payload.iat).date().isoformat(),
        "parts": words.say(
            "verify.counts",
            parts=words.say("verify.parts", n=counted or len(payload.parts)),
            photographs=words.say("verify.photographs", n=len(payload.photographs)),
        ),
    }
    return words.rows("verify.label", pairs.items())


def _code_said(summary: CodeSummary, words: Catalogue) -> tuple[tuple[str, str], ...]:
    pairs = {
        "job": summary.job,
        "record": summary.record,
        "digest": summary.digest,
        "received": summary.received,
        "returned": summary.returned,
        **{key: str(low) if low == high else f"{low}–{high}" for key, (low, high) in summary.counts.items()},
    }
    return words.rows("verify.label", pairs.items())


def _not_in_copy(record: OpenRecord, words: Catalogue) -> tuple[str, ...]:
    return tuple(words.say(f"pages.left_out.{m.kind}", n=m.count) for m in record.missing)
