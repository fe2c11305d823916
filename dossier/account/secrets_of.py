"""What may not stand in public words: the people around the job, private marks, and money.

Not here: where it is looked for. Words of three letters and more count as names; words that are common in the
trade as well (words/<language>/private.toml) only where the whole name stands together.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from dossier.account.likeness import normal
from dossier.model.job import Job
from dossier.model.rows import Contact
from dossier.words import Catalogue
from dossier.words.compare import runs_on

PEOPLE = ("owner", "brought_by", "payer", "received_by")
# "1 250,00" is one number, and of "200, 740" each is one.
_NUMBER = re.compile(r"\d+(?:[.,'\u2019\u00a0\u202f ]\d+)*")
MIN_DIGITS = 6
_MIN_NAME, _MIN_LINE = 3, 6
_MIN_MARK = 5  # letters of a mark of one word; initials in a row are told by the spaces between them
_MIN_RUN_ON = 2  # most Japanese family names are of two signs


@lru_cache(maxsize=4)
def lists_of(language: str) -> dict[str, tuple[str, ...]]:
    """The lists of words/<language>/private.toml behind the English: names and sums are often so."""
    english, own = Catalogue("en").table("private"), Catalogue(language).table("private")
    return {name: tuple(dict.fromkeys([*words, *own[name]])) for name, words in english.items()}


@lru_cache(maxsize=1)
def _example() -> str:
    """What a new job has in place of a name, which is said to stand there still."""
    return str(Catalogue("en").table("template.example.owner")["name"])


class Secret(NamedTuple):
    code: str
    whose: str  # member of Job, "" for money
    words: str  # normal form: words with one space, digits of a telephone, or plain amount


def secrets_of(job: Job, words: Catalogue) -> list[Secret]:
    """Each once; a name that several people bear is the first one's."""
    found: dict[tuple[str, str], Secret] = {}
    for whose in PEOPLE:
        contact = getattr(job, whose)
        for secret in _of_contact(whose, contact, words) if contact else ():
            found.setdefault((secret.code, secret.words), secret)
    for plain in _marks(job, words):
        found.setdefault(("private-mark", plain), Secret("private-mark", "", plain))
    for text in _money(job):
        for amount in amounts(text):
            found.setdefault(("private-amount", amount), Secret("private-amount", "", amount))
    return list(found.values())


def amounts(text: str) -> list[str]:
    """The numbers of a text as plain whole amounts: "1.250,00", "1 250" and "1,250" are all "1250"."""
    return [plain for found in _NUMBER.findall(text) if (plain := _whole(found)) and len(plain) > 1]


def _whole(number: str) -> str:
    """Without the decimals (one or two digits after the last mark) and without thousands marks."""
    cut = re.sub(r"[.,]\d{1,2}$", "", number)
    return re.sub(r"\D", "", cut).lstrip("0")


def digits(text: str) -> str:
    return re.sub(r"\D", "", text)


def _of_contact(whose: str, contact: Contact, words: Catalogue) -> Iterator[Secret]:
    if contact.name != _example():
        yield from _of_name(whose, contact.name, words)
    for line in re.split(r"[\n;,]", contact.address):
        plain = normal(line)
        if len(plain) >= _MIN_LINE and (" " in plain or any(c.isdigit() for c in plain)):
            yield Secret("private-address", whose, plain)
    number = digits(contact.telephone).lstrip("0")
    if len(number) >= MIN_DIGITS:
        yield Secret("private-telephone", whose, number)
    for address in re.findall(r"[^\s<>,;]+@[^\s<>,;]+", contact.email):
        yield Secret("private-email", whose, address.casefold().strip(".:"))


def _of_name(whose: str, name: str, words: Catalogue) -> Iterator[Secret]:
    lists = lists_of(words.language)
    titles, common = set(lists["titles"]), set(lists["common"])
    tokens = [t for t in normal(name).split() if t not in titles]
    if len(tokens) > 1:
        yield Secret("private-name", whose, " ".join(tokens))
    for token in tokens:
        if (
            len(token) >= (_MIN_RUN_ON if runs_on(token) else _MIN_NAME)
            and token.isalpha()
            and token not in common
        ):
            yield Secret("private-name", whose, token)


def _marks(job: Job, words: Catalogue) -> Iterator[str]:
    """The words of each private mark, but of one whose words a mark that is not private has too."""
    public = [normal(mark.text) for mark in job.marks if not mark.private]
    common = set(lists_of(words.language)["common"])
    for mark in job.marks:
        plain = normal(mark.text)
        told = " " in plain or (len(plain) >= _MIN_MARK and plain not in common)
        if mark.private and told and not any(f" {plain} " in f" {one} " for one in public):
            yield plain


def _money(job: Job) -> Iterator[str]:
    yield job.price
    yield job.taken_in.spend_at_most
    yield from (detail.price for detail in job.agreement_details)
    for value in job.values:
        yield value.low
        yield value.high
