"""Collects findings and puts them into words.

Not done here: deciding what is wrong. Invariants: every code is in `codes.CODES` and has its words in the
catalogue; what people typed is shown shortened and on one line; no file fills the list without end.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections import Counter
from collections.abc import Collection, Iterable, Iterator

import msgspec

from dossier.intake.codes import CODES, NOT_SEEN, NOT_WHOLE
from dossier.intake.schema import TABLES, plain_word
from dossier.model.finding import At, Finding
from dossier.words import Catalogue

MOST_PER_FILE = 500
MOST_SHOWN = 60  # characters of what was typed
MOST_LISTED = 2_000
MOST_COMPARISONS = 200_000  # of words, in looking for the one that was meant; about two seconds
_NAMES = frozenset({"unknown-key", "unknown-heading", "unknown-sheet", "unknown-file"})
_ONE_OF_MANY = _NAMES - {"unknown-sheet", "unknown-file"}  # of dozens that are known, the near one is enough
ANY = "*"  # of what could not be read no word is known
_BEGINNING = 3  # letters that say which word was begun
_NEAR = 0.75  # of 1: below it other work is proposed, whose letters are like ("mended": cleaned, 0.62)


class Report:
    """The findings of one reading, in the order they were met."""

    def __init__(self, words: Catalogue | None = None) -> None:
        self.words = words or Catalogue()
        self.findings: list[Finding] = []
        self.misspelt: dict[
            str, At
        ] = {}  # names of fields and tables that were meant, and where: see `meant`
        self.hidden: set[At] = set()  # cells that merged ones leave blank
        self._unread: dict[str, frozenset[str]] = {}  # by list, words of what could not be read of it
        self._per_file: Counter[tuple[str, str]] = Counter()
        self._comparisons = MOST_COMPARISONS
        self._meant: dict[str, str] = self.words.table("intake.meant")
        self._in_doubt: dict[str, dict[str, tuple[str, ...]]] = {}

    def say(
        self,
        code: str,
        at: At,
        *,
        nearest: str = "",
        before: str = "",
        parts: tuple[str, ...] = (),
        **values: object,
    ) -> None:
        """Add finding `code` at `at`. `nearest` is the word that was probably meant; `before` comes first."""
        self._per_file[at.file, at.sheet] += 1
        if nearest and code in _NAMES:
            self.meant(nearest.replace(" ", "_"), at)
        if self._per_file[at.file, at.sheet] > MOST_PER_FILE:
            self._say_more(at)
            return
        finding = self._finding(code, at, nearest, parts, values)
        if before:
            finding = msgspec.structs.replace(finding, hint=f"{before} {_sentence(finding.hint)}")
        self.findings.append(finding)

    def meant(self, name: str, at: At) -> None:
        """What stands at `at` was meant as field or table `name` ("work.date", where it is in a table)."""
        self.misspelt.setdefault(f"{at.table}.{name}" if at.table in TABLES else name, at)

    def in_doubt(self, file: str, read_as: str, words: tuple[str, ...]) -> None:
        """Of a file that does not say what its letters are; said once of all that one program has saved."""
        self._in_doubt.setdefault(read_as, {})[file] = words

    def nearest(self, word: str, known: Collection[str]) -> str:
        """The known word that `word` was probably meant to be; "" when none is near or too many asked."""
        self._comparisons -= len(known)
        if self._comparisons < 0:
            return ""
        typed = word[:80].strip().casefold()
        for meant in self._meant.get(typed, "").split("/"):
            if meant in known:
                return meant
        if begun := _begun(typed, known):
            return begun
        found = difflib.get_close_matches(typed, known, n=1, cutoff=_NEAR)
        return found[0] if found else ""

    def not_all(self, kind: str, words: Iterable[str] = (ANY,)) -> None:
        """Something of the list `kind` could not be read, which is said there: `words` may mean it."""
        self._unread[kind] = self._unread.get(kind, frozenset()) | frozenset(words)

    def perhaps(self, kind: str, typed: str) -> bool:
        """Whether `typed` may mean one of `kind` that could not be read, so that nothing is said of it."""
        words = self._unread.get(kind, frozenset())
        return ANY in words or plain_word(typed) in words

    def all_read(self, kind: str) -> bool:
        return kind not in self._unread

    def whole(self, table: str) -> bool:
        """Whether the table `table` was read to its end, be it a file or a sheet."""
        return not any(finding.code in NOT_WHOLE and finding.at.table == table for finding in self.findings)

    def whole_folder(self, name: str) -> bool:
        """Whether all that is in the folder `name` could be seen."""
        return not any(
            finding.code in NOT_SEEN and finding.at.file.rstrip("/") == name for finding in self.findings
        )

    def sorted(self) -> list[Finding]:
        """All findings: by file, sheet, line and column; equal places in the order they were met."""
        return sorted([*self.findings, *self._doubts()], key=lambda finding: _order(finding.at))

    def _doubts(self) -> Iterator[Finding]:
        for read_as, files in self._in_doubt.items():
            told = (f"{shown(file)}: {', '.join(map(shown, words))}" for file, words in files.items())
            values: dict[str, object] = {"read_as": read_as, "words": Long("; ".join(told)[:MOST_LISTED])}
            yield self._finding("letters-in-doubt", At(file=min(files)), "", (), values)

    def _finding(
        self, code: str, at: At, nearest: str, parts: tuple[str, ...], values: dict[str, object]
    ) -> Finding:
        fields = {name: shown(value) if isinstance(value, str) else value for name, value in values.items()}
        message = self.words.say(f"intake.finding.{code}.message", **fields)
        hint = self.words.say(f"intake.finding.{code}.hint", **fields)
        if nearest:
            asked = self.words.say("intake.nearest", word=shown(nearest))
            hint = asked if code in _ONE_OF_MANY else f"{asked} {hint}".strip()
        return Finding(code=code, level=CODES[code], message=message, hint=hint, at=at, parts=parts)

    def _say_more(self, at: At) -> None:
        if self._per_file[at.file, at.sheet] == MOST_PER_FILE + 1:
            place = At(file=at.file, sheet=at.sheet)
            self.findings.append(self._finding("more-problems", place, "", (), {"most": MOST_PER_FILE}))


def _begun(typed: str, known: Collection[str]) -> str:
    """The one known word that `typed` is the beginning of ("orig."), or that it begins with; before these one
    of the same letters in another order ("lwo", "material new").
    """
    start = typed.rstrip(" .")
    if len(start) < _BEGINNING:
        return ""
    letters = sorted(start)
    found = [one for one in known if sorted(one) == letters] or [
        one for one in known if one.startswith(start) or start.startswith(f"{one} ")
    ]
    return found[0] if len(found) == 1 else ""


def _order(at: At) -> tuple[object, ...]:
    """By file, sheet, line and column; a cell counts as its row and column."""
    match = re.fullmatch(r"([A-Z]+)(\d+)", at.cell)
    cell = (int(match[2]), len(match[1]), match[1]) if match else (0, 0, "")
    return at.file, at.sheet, at.line, at.column, cell


def _sentence(hint: str) -> str:
    return hint[:1].upper() + hint[1:]


class Long(str):
    """A value of our own (a list of the words a column takes) that is shown whole."""

    __slots__ = ()


def listed(words: Iterable[str]) -> Long:
    """Words in a row, shown whole up to a few hundred characters."""
    text = ", ".join(words)
    return Long(text if len(text) <= MOST_LISTED else f"{text[:MOST_LISTED]} …")


def shown(text: str) -> str:
    """What somebody typed, on one line and not too long."""
    if isinstance(text, Long):
        return text
    flat = "".join(
        " " if unicodedata.category(c) in ("Cc", "Cf", "Zl", "Zp", "Cs") else c for c in text[:200]
    )
    flat = " ".join(flat.split())
    return flat if len(flat) <= MOST_SHOWN else f"{flat[: MOST_SHOWN - 1]}…"
