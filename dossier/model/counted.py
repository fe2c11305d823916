"""What the account of a record counts: what is there now of each part, and what earlier records say of it.

Rows of the payload (`record`), as FORMAT.md section 3.1 has them. Not done here: counting (`account`).
"""

from __future__ import annotations

from typing import Literal

from dossier.model.rows import Row
from dossier.model.words import CameAs, Dimension, Done, Now, Seen


class Measured(Row, frozen=True, kw_only=True):
    """How much of one line of the account is known by measure: decimal text in the unit of the dimension.

    `without`: parts of the line that have no such measure and are counted as nothing.
    """

    dimension: Dimension
    unit: Literal["dm2", "m", "g"]
    low: str
    high: str
    without: int


class Account(Row, frozen=True, kw_only=True):
    """One line of the account of parts: how many parts and pieces are now in one state, in one place.

    Counts are ranges: low = high where it is known. `parts` names the rows it is counted from.
    """

    seen: Seen
    now: Now
    parts_low: int
    parts_high: int
    pieces_low: int
    pieces_high: int
    parts: tuple[str, ...] = ()
    measured: tuple[Measured, ...] = ()  # empty where no part of the record has a measure


class PartNow(Row, frozen=True, kw_only=True):
    """What is there now of one part, derived; several rows where pieces differ (9 of 64)."""

    part: str  # number
    now: Now
    pieces_low: int
    pieces_high: int
    work: tuple[int, ...] = ()  # numbers of the work rows it is derived from
    altered: bool = False  # size, shape or function changed


class Pieces(Row, frozen=True, kw_only=True):
    """How many pieces of a part are in one state."""

    now: Now
    low: int
    high: int


class Origin(Row, frozen=True, kw_only=True):
    """How many pieces of a part count as having come so, by all that is said of it."""

    came_as: CameAs
    low: int
    high: int


class PartSaid(Row, frozen=True, kw_only=True):
    """What one earlier record, or one paper typed in, says of a part."""

    sha256: str = ""  # digest of the record; empty for a paper
    date: str = ""
    workshop: str = ""  # who says so
    part: str = ""  # its number there, where that is another
    object: str = ""  # what the record is of, where that is another object
    came_as: CameAs = "not known"
    pieces: int = 1
    now: tuple[Pieces, ...] = ()  # what was there after that work
    done: Done | Literal[""] = ""  # of a paper: what it says was done
    of: int = 0  # of a paper that speaks of some pieces: of how many
    reason: str = ""  # why it reads the part otherwise than the records before it
    altered: bool = False  # it says that size, shape or function was changed


class PartHistory(Row, frozen=True, kw_only=True):
    """What earlier records say of a part, oldest first; parts of which the same is said share one."""

    parts: tuple[str, ...]
    counted_as: tuple[Origin, ...]  # what the account starts from
    said: tuple[PartSaid, ...]
    was: str = ""  # its number in those records, where it was split off since
    differs: bool = False  # this record, or one before it, reads the part otherwise than another
