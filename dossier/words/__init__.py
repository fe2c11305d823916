"""Every word the program prints, by language. One folder a language, one TOML file a room.

`Catalogue("en").say("pages.cover.received", date=...)` looks up `[cover] received` in `en/pages.toml`.
Where a table holds `one` and `other` (CLDR plural categories), `n=` chooses. A missing key is a bug and
raises KeyError; a test walks all languages for missing and surplus keys.
"""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources
from typing import Any

from dossier.words.dates import plural_form

LANGUAGES = ("en",)


@cache
def _file(language: str, name: str) -> dict[str, Any]:
    text = resources.files("dossier.words").joinpath(language, f"{name}.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


class Catalogue:
    """The words of one language."""

    def __init__(self, language: str = "en") -> None:
        self.language = language if language in LANGUAGES else "en"

    def say(self, key: str, /, **values: object) -> str:
        """The words at `key` ("file.table.key") with `{name}` fields filled from `values`."""
        found = self._find(key)
        if isinstance(found, dict):
            n = values.get("n")
            form = plural_form(self.language, int(str(n)))
            found = found[form] if form in found else found["other"]
        return str(found).format(**values) if values else str(found)

    def token(self, word: str) -> str:
        """A vocabulary word of the record ("fed or protected") in this language."""
        table = _file(self.language, "tokens")
        return str(table.get(word, word))

    def table(self, key: str) -> dict[str, Any]:
        """The whole table at `key`: for data that goes with a language, such as words to look for."""
        found = self._find(key)
        if not isinstance(found, dict):
            raise KeyError(f"no table {key!r} in {self.language}")
        return dict(found)

    def has(self, key: str) -> bool:
        try:
            self._find(key)
        except KeyError:
            return False
        return True

    def _find(self, key: str) -> Any:
        name, *path = key.split(".")
        found: Any = _file(self.language, name)
        for step in path:
            if not isinstance(found, dict) or step not in found:
                raise KeyError(f"no words for {key!r} in {self.language}")
            found = found[step]
        return found
