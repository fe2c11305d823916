"""The stable codes of a record's check: which numbered check each belongs to and what it answers.

The one place they are listed; FORMAT.md's table, the words and the test vectors are held against it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import partial

import msgspec

from dossier.model.result import Check, CheckName, Verdict
from dossier.words import Catalogue

SIGNATURES: CheckName = "record signatures"
KEY: CheckName = "key status"
DISCLOSURES: CheckName = "disclosures"
PAGES: CheckName = "pages against record"

_YES: Verdict = "matches"
_NO: Verdict = "does not match"
_UNSURE: Verdict = "could not tell"

Codes = Mapping[str, tuple[CheckName, Verdict]]

CODES: Codes = {
    "signatures-match": (SIGNATURES, _YES),
    "signature-missing": (SIGNATURES, _NO),
    "signature-twice": (SIGNATURES, _NO),
    "signature-order": (SIGNATURES, _NO),
    "header-shape": (SIGNATURES, _NO),
    "header-members": (SIGNATURES, _NO),
    "header-typ": (SIGNATURES, _NO),
    "algorithm-unknown": (SIGNATURES, _NO),
    "key-unknown": (SIGNATURES, _NO),
    "key-unsigned": (SIGNATURES, _NO),
    "key-shape": (SIGNATURES, _NO),
    "key-thumbprint": (SIGNATURES, _NO),
    "algorithm-of-key": (SIGNATURES, _NO),
    "signature-length": (SIGNATURES, _NO),
    "signature-high-s": (SIGNATURES, _NO),
    "signature-wrong": (SIGNATURES, _NO),
    "algorithm-unavailable": (SIGNATURES, _UNSURE),
    "key-confirmed": (KEY, _YES),
    "key-not-confirmed": (KEY, _UNSURE),
    "key-trial": (KEY, _UNSURE),
    "key-not-checked": (KEY, _UNSURE),
    "card-other-name": (KEY, _UNSURE),
    "certificate-other-name": (KEY, _UNSURE),
    "code-other-page": (KEY, _UNSURE),
    "disclosures-match": (DISCLOSURES, _YES),
    "format-unknown": (DISCLOSURES, _NO),
    "sd-alg": (DISCLOSURES, _NO),
    "sd-in-object": (DISCLOSURES, _NO),
    "digest-place": (DISCLOSURES, _NO),
    "digest-twice": (DISCLOSURES, _NO),
    "disclosure-shape": (DISCLOSURES, _NO),
    "disclosure-twice": (DISCLOSURES, _NO),
    "disclosure-unreferenced": (DISCLOSURES, _NO),
    "disclosure-order": (DISCLOSURES, _NO),
    "disclosure-nested": (DISCLOSURES, _NO),
    "disclosure-type": (DISCLOSURES, _NO),
    "photograph-details": (DISCLOSURES, _NO),
    "photograph-name": (DISCLOSURES, _NO),
    "payload-shape": (DISCLOSURES, _NO),
    "code-signature-matches": (SIGNATURES, _YES),
    "code-signature-wrong": (SIGNATURES, _NO),
    "code-matches-record": (PAGES, _YES),
    "code-other-record": (PAGES, _NO),
    "code-other-words": (PAGES, _NO),
}

MOST_PLACES = 50  # named by one answer
LONGEST_PLACE = 200  # characters

# Codes of UnreadableError: the bytes are not what they claim to be, so that no check can be made.
UNREADABLE = ("not-canonical", "record-shape", "code-shape")


class Problem(msgspec.Struct, frozen=True):
    """Something that does not match, by code, and where."""

    code: str
    where: str = ""


def printable(text: str, longest: int = LONGEST_PLACE) -> str:
    """A place as it can be shown: it may hold text of a hostile file, with control characters in it."""
    return "".join(letter if letter.isprintable() else "\ufffd" for letter in text[:longest])


def answer_of(
    codes: Codes, said: str, code: str, words: Catalogue, where: Iterable[str] = (), **values: object
) -> Check:
    """The answer that belongs to one of `codes`, in the words that stand below `said`, with its places."""
    name, verdict = codes[code]
    text = words.say(f"{said}.{code}", **values)
    return Check(check=name, verdict=verdict, code=code, text=text, where=tuple(where))


check_of = partial(answer_of, CODES, "seal.code")


def checks_of(problems: Iterable[Problem], words: Catalogue) -> list[Check]:
    """One answer a code, in the order in which the codes first came up, with its first places."""
    places: dict[str, list[str]] = {}
    for problem in problems:
        known = places.setdefault(problem.code, [])
        if problem.where and len(known) < MOST_PLACES:
            known.append(printable(problem.where))
    return [check_of(code, words, where) for code, where in places.items()]
