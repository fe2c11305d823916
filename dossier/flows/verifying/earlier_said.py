"""Check 10, second half: what the workshops of earlier records said of them later (FORMAT.md section 8).

At hand are the statements that are at hand for the check itself, and those that lie with the earlier records.
Not done here: finding the records (`verifying.chain`), which statement counts (`verifying.statements`).
Invariants: statements and names are bounded over all folders together; what was not looked at is named.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

import msgspec

from dossier.errors import KeyFileError
from dossier.flows.verifying import checks, lying_beside, statements
from dossier.flows.verifying.lying_beside import MOST_NAMES, MOST_READ, NOTHING, AtHand
from dossier.model.result import Check
from dossier.model.statements import Statement
from dossier.seal.statements import Read
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
    "statement-not-in-order": "earlier-statement-not-in-order",
}


class Earlier(NamedTuple):
    """A record at hand that holds: how it is called, who may speak about it, and where it lies."""

    name: str
    subject: statements.Subject
    paths: tuple[Path, ...]
    builds_on: frozenset[str]  # digests of the records that it names


class Said(NamedTuple):
    """What is at hand besides, and how it is asked."""

    signed: AtHand
    trust: Trust
    today: dt.date
    given: tuple[Path, ...] = ()  # files that the reader named: each has a result of its own
    folders: tuple[Path, ...] = ()  # where the earlier records of a dossier folder lie
    left_out: tuple[str, ...] = ()  # what lies among them and was not looked at


def with_near(signed: AtHand, near: AtHand, trust: Trust) -> tuple[AtHand, Trust]:
    """All statements, and trust that knows the cards which lie near too, unless these contradict it."""
    try:
        return signed | near, trust.at_hand(near.cards)
    except KeyFileError:
        return signed | near, trust


def beside(paths: Iterable[Path], given: Iterable[Path] = ()) -> AtHand:
    """What lies with these records: in the folder of each, or in the folder that one is."""
    folders = dict.fromkeys(path if path.is_dir() else path.parent for path in paths)
    known = {path.absolute() for path in given}
    found = NOTHING
    for count, folder in enumerate(folders):
        if count >= MOST_FOLDERS or len(found.about) >= MOST_READ or len(found.files) >= MOST_NAMES:
            return found | AtHand(unread=(f"{folder.name}/",))
        one = lying_beside.beside(folder)
        left = [name for name in one.unread if name.endswith("/") or (folder / name).absolute() not in known]
        unread = tuple(f"{folder.name}/{name}" for name in left)
        found |= msgspec.structs.replace(one, unread=unread)
    return found


def look(earlier: Sequence[Earlier], own: str, said: Said, words: Catalogue) -> Iterator[Check]:
    """The answers about the records that hold; `own`: the digest of the one that builds on them."""
    if not earlier:
        return
    near = beside([*(path for one in earlier for path in one.paths), *said.folders], said.given)
    at, trust = with_near(said.signed, near, said.trust)
    digests = {one.subject.named.sha256: one.builds_on for one in earlier if one.subject.named}
    at = _without_own(at, {**digests, own: frozenset(digests) - {own}})
    places: dict[str, list[str]] = {}
    for one in earlier:
        for found in statements.later(one.subject, at, trust, said.today, words):
            if found.code in _HERE:
                lines = (words.say("verify.earlier_said", record=one.name, said=text) for text in found.where)
                places.setdefault(_HERE[found.code], []).extend(lines)
    if unread := dict.fromkeys((*near.unread, *said.left_out)):
        places.setdefault(_NOT_ALL, []).extend(unread)
    for code in dict.fromkeys(_HERE.values()):
        if code in places:
            yield checks.answer(code, words, places[code], n=len(places[code]))


def _without_own(at: AtHand, here: Mapping[str, Collection[str]]) -> AtHand:
    """Without the word that a record was replaced by one that builds on it: that is how they stand.

    `here`: by digest of each record at hand, the digests of those that it builds on.
    """
    return msgspec.structs.replace(at, read=tuple(one for one in at.read if not _is_built_on(one, here)))


def _is_built_on(one: Read, here: Mapping[str, Collection[str]]) -> bool:
    value = one.value
    if not isinstance(value, Statement) or value.replaced_by is None:
        return False
    return value.about.sha256 in here.get(value.replaced_by.sha256, ())
