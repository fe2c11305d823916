"""Every word the program prints, by language. One folder a language, one TOML file a room.

`Catalogue("en").say("pages.cover.received", date=...)` looks up `[cover] received` in `en/pages.toml`.
Where a table holds `one` and `other` (CLDR plural categories), `n=` chooses. English is complete; another
language has what the owner's papers and the result of a check need, and English answers for the rest. A
missing key is a bug and raises KeyError; a test walks all languages for missing and surplus keys.

A record and its pages are in the language of the job, named to the Catalogue. What the program itself says
(results, messages) is in the language set by `speak`, once, by whoever starts it: `Catalogue()`.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from importlib import resources
from typing import Any

import tomli  # the library's own tomllib, compiled: a third of the time

from dossier.words.dates import fitted, plural_form, written

LANGUAGES = ("en", "de", "fr", "it", "ja", "es")
_spoken = "en"


def speak(language: str) -> None:
    """Say what the program itself says in `language`; one that is not at hand leaves it as it was."""
    global _spoken  # noqa: PLW0603 - one reader a process, as with any locale
    if language in LANGUAGES:
        _spoken = language


@cache
def _file(language: str, name: str) -> dict[str, Any]:
    file = resources.files("dossier.words").joinpath(language, f"{name}.toml")
    if language != "en" and not file.is_file():
        return {}
    return tomli.loads(file.read_text(encoding="utf-8"))


class Catalogue:
    """The words of one language; without one named, of the language the program speaks.

    `days`: what is a day (`dates.DAYS`) is filled in as a reader of the language writes it, else as it comes.
    """

    def __init__(self, language: str = "", *, days: bool = False) -> None:
        self._days = days
        self._language = language if language in LANGUAGES or not language else "en"

    @property
    def language(self) -> str:
        return self._language or _spoken

    def say(self, key: str, /, **values: object) -> str:
        """The words at `key` ("file.table.key") with `{name}` fields filled from `values`."""
        language, found = self._find(key)
        if isinstance(found, dict):
            n = values.get("n")
            form = plural_form(language, int(str(n)))
            found = found[form] if form in found else found["other"]
        if not values:
            return str(found)
        if not self._days:
            return str(found).format(**values)
        filled = {name: written(language, name, value) for name, value in values.items()}
        return fitted(language, str(found).format(**filled))

    def rows(self, table: str, pairs: Iterable[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
        """The label that `table` has for each key, and what stands beside it; without what is empty."""
        return tuple((self.say(f"{table}.{key}"), self.day(text, key)) for key, text in pairs if text)

    def day(self, text: str, name: str = "date") -> str:
        """What stands alone, by the same rule as in a sentence."""
        return str(written(self.language, name, text)) if self._days else text

    def token(self, word: str) -> str:
        """A vocabulary word of the record ("fed or protected") in this language."""
        table = _file(self.language, "tokens")
        return str(table.get(word, word))

    def table(self, key: str) -> dict[str, Any]:
        """The whole table at `key`: for data that goes with a language, such as words to look for."""
        language, found = self._find(key)
        if not isinstance(found, dict):
            raise KeyError(f"no table {key!r} in {language}")
        return dict(found)

    def has(self, key: str) -> bool:
        try:
            self._find(key)
        except KeyError:
            return False
        return True

    def _find(self, key: str) -> tuple[str, Any]:
        """The language that has the key, and what stands there."""
        name, *path = key.split(".")
        for language in dict.fromkeys((self.language, "en")):
            found = _walk(_file(language, name), path)
            if found is not None and found != {}:
                return language, found
        raise KeyError(f"no words for {key!r} in {self.language}")


def _walk(found: Any, path: list[str]) -> Any:
    for step in path:
        if not isinstance(found, dict) or step not in found:
            return None
        found = found[step]
    return found
