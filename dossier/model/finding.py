"""What a look at a job finds: data with stable codes, located where a person can mend it."""

from __future__ import annotations

from typing import Literal

import msgspec

# error: cannot compile. gap: can compile, the dossier will say so. private: a private word stands where no
# copy can leave it out. note: nothing to mend, not in the record. now: what to record or
# photograph at this stage.
Level = Literal["error", "gap", "private", "note", "now"]
LEVELS: tuple[Level, ...] = ("error", "gap", "private", "note", "now")


class At(msgspec.Struct, frozen=True):
    """A place in a job folder: file, line and column from 1 (0: the whole file), or sheet and cell."""

    file: str = ""
    line: int = 0
    column: int = 0
    sheet: str = ""
    cell: str = ""

    @property
    def table(self) -> str:
        """The sheet or file it is in, as tables are named: "work" of work.csv."""
        return (self.sheet or self.file.rpartition("/")[2].rsplit(".", 1)[0]).casefold()

    @property
    def within(self) -> str:
        """The file, and its sheet where it has any."""
        return f"{self.file}, sheet {self.sheet}" if self.sheet else self.file

    def __str__(self) -> str:
        if self.cell:
            return f"{self.within}, cell {self.cell}"
        return ":".join([self.file, *(str(n) for n in (self.line, self.column) if n)])


class Finding(msgspec.Struct, frozen=True, kw_only=True):
    code: str
    level: Level
    message: str  # lower case, says what is wrong
    hint: str = ""  # what to write instead
    at: At = At()
    parts: tuple[str, ...] = ()
