"""Check 10, second half: what the workshops of earlier records said of them later (FORMAT.md section 8).

At hand are the statements that are at hand for the check itself, and those that lie with the earlier records.
Not done here: finding the records (`verifying.chain`), which statement counts (`verifying.statements`).
Invariants: statements and names are bounded over all folders together; what was not looked at is named.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import NamedTuple

from dossier.errors import KeyFileError
from dossier.flows.verifying import checks, lying_beside, statements
from dossier.flows.verifying.lying_beside import MOST_NAMES, MOST_READ, NOTHING, AtHand
from dossier.model.result import Check
from dossier.seal.trust import Trust
from dossier.words import Catalogue

MOST_FOLDERS = 200
_NOT_ALL = "earlier-statements-not-all-read"
# What a statement is to the record that it is about -> what it is to one that builds on that.
_HERE: Mapping[str, str] = {
    "record-withdrawn": "earlier-record-withdrawn",
    "record-superseded": "earlier-record-withdrawn",
    "object-reported-lost": "earlier-object-reported-lost",
    "record-corrected": "earlier-record-corrected",
    "statement-short-of-card": _NOT_ALL,
    "statement-short-of-record": _NOT_ALL,
    "statement-dated-ahead": _NOT_ALL,
    "statement-dated-before": _NOT_ALL,
}


class Said(NamedTuple):
    """What is at hand, and how it is asked. `near`: what lies with earlier records."""

    signed: AtHand
    near: AtHand
    trust: Trust
    today: dt.date

    def asked(self) -> tuple[AtHand, Trust]:
        """All statements, and trust that knows the cards which lie there too, unless these contradict it."""
        try:
            return self.signed | self.near, self.trust.at_hand(self.near.cards)
        except KeyFileError:
            return self.signed | self.near, self.trust


def beside(paths: Iterable[Path]) -> AtHand:
    """What lies with these records: in the folder of each, or in the folder that one is."""
    folders = dict.fromkeys(path if path.is_dir() else path.parent for path in paths)
    found = NOTHING
    for count, folder in enumerate(folders):
        if count >= MOST_FOLDERS or len(found.about) >= MOST_READ or len(found.files) >= MOST_NAMES:
            return found | AtHand(unread=(f"{folder.name}/",))
        one = lying_beside.beside(folder)
        unread = tuple(f"{folder.name}/{name}" for name in one.unread)
        found |= AtHand(one.read, one.cards, one.files, one.about, unread)
    return found


def look(called: Mapping[str, statements.Subject], said: Said, words: Catalogue) -> Iterator[Check]:
    """The answers; `called`: the earlier records at hand that hold, by how each is called."""
    if not called:
        return
    at, trust = said.asked()
    places: dict[str, list[str]] = {}
    for name, subject in called.items():
        for one in statements.later(subject, at, trust, said.today, words):
            if one.code in _HERE:
                lines = (words.say("verify.earlier_said", record=name, said=text) for text in one.where)
                places.setdefault(_HERE[one.code], []).extend(lines)
    if said.near.unread:
        places.setdefault(_NOT_ALL, []).extend(said.near.unread)
    for code in dict.fromkeys(_HERE.values()):
        if code in places:
            yield checks.answer(code, words, places[code], n=len(places[code]))
