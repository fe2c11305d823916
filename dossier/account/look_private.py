"""Private words where no copy can leave them out: names, addresses, telephone numbers, e-mail, money.

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
from dossier.words import Catalogue
from dossier.words.compare import as_written, runs_on

_EMAIL = re.compile(r"[\w.+-]{1,64}@[\w-]{1,63}(?:\.[\w-]{1,63}){1,5}")
_DIGIT = re.compile(r"\d")
_TELEPHONE = re.compile(r"[+(]?\d[\d\s()/.-]{4,28}\d")
# A letter of a script that parts its words; after kana or Han a word can end anywhere. Its case is not
# ignored, since there are thousands of them to compile otherwise.
_LETTER = r"(?-i:[^\W\u3005-\u30ff\u3400-\u9fff])"
# "80,-", but no end of a range, no year, nothing of a numbered list
_EVEN = r"(?<![\w.,'/–-])(?!(?:1[5-9]|2[01])\d\d,)\d[\d.'\u00a0\u202f ]{0,30}+(?<=\d\d),(?:--?|–)(?![\w—])"
_FRANCS = r"\bsfr\.?\s?\d[\d.,'’]{0,20}"
_NUMBER = r"\d(?:[\d.,'\u00a0\u202f]|[ ](?=\d{3})){0,30}+"


def look(view: View) -> Iterator[Found]:
    words = Catalogue(view.job.language)
    search = _Search(secrets_of(view.job, words), lists_of(words.language))
    for public in public_texts(view.job):
        if public.text:
            for secret, word in dict.fromkeys(search.of(public.text)):
                yield _found(secret, word, public, words)


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


def _whole(words: str) -> str:
    """The words in normal form as they must stand alone, where the script parts words."""
    return re.escape(words) if runs_on(words) else rf"\b{re.escape(words)}\b"


class _Search:
    """One search for all secrets; the words are looked for with one expression over the normal form."""

    def __init__(self, secrets: list[Secret], lists: dict[str, tuple[str, ...]]) -> None:
        self.by_words = {s.words: s for s in secrets if s.code in ("private-name", "private-address")}
        longest = sorted(self.by_words, key=len, reverse=True)
        self.words = re.compile("|".join(map(_whole, longest))) if longest else None
        self.telephones = [s for s in secrets if s.code == "private-telephone"]
        self.amounts = {s.words: s for s in secrets if s.code == "private-amount"}
        signs = "|".join(map(re.escape, lists["money"]))
        after = rf"(?<!{_LETTER})(?:{signs})\s?{_NUMBER}"
        before = rf"(?<![\d.,']){_NUMBER}(?:(?<=[.,])(?:--?|–))?\s?(?:{signs})(?!{_LETTER})"
        self.money = re.compile(rf"{after}|{before}|{_EVEN}|{_FRANCS}", re.IGNORECASE)
        units = "|".join(map(re.escape, lists["units"]))
        self.alone = re.compile(
            rf"(?<![\w.,/-]){_NUMBER}(?!{_LETTER})(?!\s?(?:{units})(?!{_LETTER}))(?![/-]\d)"
        )

    def of(self, text: str) -> Iterator[tuple[Secret, str]]:
        if self.words:
            for word in self.words.findall(normal(text)):
                yield self.by_words[word], as_written(text, word)
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
                if plain and plain[0] in self.amounts and _surely(plain[0]):
                    yield found.strip(" .,")


def _same_number(one: str, other: str) -> bool:
    """With or without the country's code and the leading zero."""
    short, long = sorted((one, other), key=len)
    return len(short) >= MIN_DIGITS and long.endswith(short)


def _surely(amount: str) -> bool:
    """Three digits or more, and no year."""
    return len(amount) >= 3 and not (len(amount) == 4 and "1500" <= amount <= "2199")
