"""Private words where no copy can leave them out: names, addresses, telephone numbers, e-mail, marks, money.

Not here: which texts are public (`public_words`), what is private (`secrets_of`). Case and accents do not
matter; only whole words are found. An amount alone is found only where it cannot be a measure or a year.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from dossier.account.found import Found
from dossier.account.likeness import normal
from dossier.account.public_words import PublicText, public_texts
from dossier.account.secrets_of import MIN_DIGITS, Secret, amounts, digits, lists_of, secrets_of
from dossier.account.view import View
from dossier.model.job import Job, Workshop
from dossier.model.record import OpenRecord
from dossier.words import Catalogue
from dossier.words.compare import as_written, runs_on

_BY_WORDS = ("private-name", "private-address", "private-mark")
_EMAIL = re.compile(r"[\w.+-]{1,64}@[\w-]{1,63}(?:\.[\w-]{1,63}){1,5}")
_DIGIT = re.compile(r"\d")
_TELEPHONE = re.compile(r"[+(]?\d[\d\s()/.-]{4,28}\d")
# A letter of a script that parts its words; after kana or Han a word can end anywhere. Its case is not
# ignored, since there are thousands of them to compile otherwise.
_LETTER = r"(?-i:[^\W\u3005-\u30ff\u3400-\u9fff])"
_GROUPED = r"(?:\d{1,3}(?:[.'\u2019\u00a0\u202f ]\d{3}){1,6}|\d{2,18})"
_DASH = r"(?:--?|[–—])"
# "80,-" and "1800.-", but no end of a range or list, and no year before a longer dash. The full stop takes a
# hundred and more, since "2.-" and "18.- und 19." are numbers of a row, and none after "No. " and the like.
_EVEN = (
    rf"(?<![\w.,'\u2019/–-])(?<!\d, )(?!(?:1[5-9]|2[01])\d\d\s?[.,](?:--|[–—]))"
    rf"(?:{_GROUPED}\s?,|(?<!N[ro]\. )(?<!Abb\. )(?<!Fig\. )(?=\d{{3}}|\d{{1,2}}['\u2019 ]){_GROUPED}\.)"
    rf"{_DASH}(?![\w—–-])"
)
# "Fr." is Friday too, before a small number without a dash.
_FRANCS = (
    r"\bsfr\.?\s?\d[\d.,'\u2019]{0,20}"
    rf"|\bfr\.?\s?{_GROUPED}[.,]{_DASH}|\bfr\.\s?(?:\d{{1,3}}['\u2019]\d{{3}}|\d{{3,6}}\b(?!\.))"
    rf"|(?<![\w.,'\u2019])(?:{_GROUPED}|\d)(?:[.,]{_DASH}|[.,]\d\d)?\s?s?(?-i:Fr)\b(?!-)"
)
_MARKS = r"(?-i:\bDM\s?\d[\d.,]{0,20}|\d[\d.,]{0,20}(?:(?<=[.,])(?:--?|–))?\s?DM\b)"
_PENCE = re.compile(r"\d[.,](?:\d\d|--?|[–—])\s*$")  # nobody writes a year or count so
# No space behind a comma is of the number: "order 12, 940".
_NUMBER = r"\d(?:[\d.,'\u2019]|(?<=\d)[\u00a0\u202f](?=\d)|(?<=\d)[ ](?=\d{3})){0,30}+"


def look(view: View) -> Iterator[Found]:
    yield from _shown(view)
    words = Catalogue(view.job.language)
    search = _Search(secrets_of(view.job, words), lists_of(words.language))
    for public in public_texts(view.job):
        if public.text:
            for secret, word in dict.fromkeys(search.of(public.text)):
                yield _found(secret, word, public, words)


def private_in(text: str, record: OpenRecord) -> list[str]:
    """The words of a text that a record keeps private, as far as this copy of it has them."""
    apart, payload = record.apart, record.payload
    words = Catalogue(payload.language)
    job = Job(
        number=payload.job,
        workshop=Workshop(name=payload.workshop.name),
        object=payload.object,
        marks=(*payload.marks, *apart.private_marks),
        agreement_details=apart.agreement_details,
        values=apart.values,
        price="; ".join(one.amount for one in apart.prices),
        owner=next(iter(apart.owner), None),
        brought_by=next(iter(apart.brought_by), None),
        payer=next(iter(apart.payer), None),
        received_by=next(iter(apart.received_by), None),
    )
    found = _Search(secrets_of(job, words), lists_of(words.language)).of(text)
    return list(dict.fromkeys(word or secret.words for secret, word in found))


def _shown(view: View) -> Iterator[Found]:
    """Photographs that show a private mark, as its own row says, and are not private themselves."""
    private = {row.file for row in view.job.photo_rows if row.private}
    for place, mark in enumerate(view.job.marks, 1):
        if mark.private and mark.photograph and mark.photograph not in private:
            values = {"file": mark.photograph, "text": mark.text}
            yield Found("private-mark-shown", f"inscriptions/{place}", values)


def _found(secret: Secret, word: str, public: PublicText, words: Catalogue) -> Found:
    kind, _, name = public.key.partition("/")
    place = public.place or (name.split(".")[0] if kind == "job" else kind)
    number = name.rpartition(".")[0]
    values = {
        "whose": words.say(f"findings.whose.{secret.whose}") if secret.whose else "",
        "word": word,
        "place": words.say(f"findings.place.{place}", number=number),
    }
    return Found(secret.code, public.key, values, (number,) if kind == "parts" else ())


_FAMILY = "(?:s|(?<=[sxz])es|(?<=[cs]h)es)?"


def _whole(words: str, *, name: bool) -> str:
    """The words in normal form as they must stand alone, where the script parts words; a name also with the s
    of whose it is (German), or of the whole family.
    """
    if runs_on(words):
        return f"({re.escape(words)})"
    return rf"\b({re.escape(words)}){_FAMILY if name else ''}\b"


class _Search:
    """One search for all secrets; the words are looked for with one expression over the normal form."""

    def __init__(self, secrets: list[Secret], lists: dict[str, tuple[str, ...]]) -> None:
        self.by_words = {s.words: s for s in secrets if s.code in _BY_WORDS}
        longest = sorted(self.by_words, key=len, reverse=True)
        each = (_whole(words, name=self.by_words[words].code == "private-name") for words in longest)
        self.words = re.compile("|".join(each)) if longest else None
        self.telephones = [s for s in secrets if s.code == "private-telephone"]
        self.amounts = {s.words: s for s in secrets if s.code == "private-amount"}
        signs = "|".join(map(re.escape, lists["money"]))
        after = rf"(?<!{_LETTER})(?:{signs})\s?{_NUMBER}"
        number = rf"{_NUMBER}(?:(?<=[.,]){_DASH}|(?<![.,]))(?:[万千百]\d{{0,4}}){{0,3}}"
        before = rf"(?<![\d.,']){number}\s?(?:{signs})(?!{_LETTER})"
        self.money = re.compile(rf"{after}|{before}|{_EVEN}|{_FRANCS}|{_MARKS}", re.IGNORECASE)
        units = "|".join(map(re.escape, lists["units"]))
        self.alone = re.compile(
            rf"(?<![\w.,/-]){_NUMBER}(?:(?<=[.,]){_DASH})?(?!{_LETTER})(?!\s?(?:{units})(?!{_LETTER}))(?![/-]\d)"
        )

    def of(self, text: str) -> Iterator[tuple[Secret, str]]:
        if self.words:
            for found in self.words.finditer(normal(text)):
                yield self.by_words[found[found.lastindex or 0]], as_written(text, found[0])
        if "@" in text:
            yield from ((Secret("private-email", "", ""), word) for word in _EMAIL.findall(text))
        if _DIGIT.search(text):
            yield from self._telephones(text)
            yield from ((Secret("private-amount", "", ""), word) for word in self._money(text))

    def _telephones(self, text: str) -> Iterator[tuple[Secret, str]]:
        numbers = [digits(found) for found in _TELEPHONE.findall(text)] if self.telephones else []
        for secret in self.telephones:
            if any(_same_number(secret.words, number.lstrip("0")) for number in numbers):
                yield secret, ""

    def _money(self, text: str) -> Iterator[str]:
        """Any amount with its currency, and the job's own amounts without one."""
        yield from (found.strip() for found in self.money.findall(text))
        if self.amounts:
            for found in self.alone.findall(self.money.sub(" ", text)):
                plain = amounts(found)
                if plain and plain[0] in self.amounts and (_surely(plain[0]) or _PENCE.search(found)):
                    yield found.strip(" .,")


def _same_number(one: str, other: str) -> bool:
    """With or without the country's code and the leading zero."""
    short, long = sorted((one, other), key=len)
    return len(short) >= MIN_DIGITS and long.endswith(short)


def _surely(amount: str) -> bool:
    """Three digits or more, and no year."""
    return len(amount) >= 3 and not (len(amount) == 4 and "1500" <= amount <= "2199")
