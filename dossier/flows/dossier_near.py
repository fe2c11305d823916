"""Where the dossier lies that was probably meant, of a folder that holds none. Looks at names, reads no file.

Bounded: so many names of a folder. Not done here: checking anything.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from pathlib import Path

from dossier.archive.bags import BAGS
from dossier.flows.dossier_files import DOSSIER, DRAFT
from dossier.flows.output import default_output
from dossier.words import Catalogue

WORDS = Catalogue()
MOST_LOOKED_AT = 1_000
MOST_NAMED = 8


def dossiers_near(folder: Path) -> tuple[str, ...]:
    """The dossier that the folder is part of (its photographs); what was made of a job folder (that lies
    beside, and so do copies of it); else the dossiers inside, of an archive its bags.
    """
    if _holds(around := folder.resolve().parent, DOSSIER):
        return (str(around),)
    made = default_output(folder)
    beside = (one for one in _folders(made.parent) if one.name.startswith(made.name))
    found = [one for one in beside if _holds(one, DOSSIER)]
    found = found or [one for one in _folders(folder) if _holds(one, DOSSIER)]
    found = found or [one for one in _folders(folder / BAGS) if _holds(one / "data" / "dossier", DOSSIER)]
    return tuple(str(one) for one in found[:MOST_NAMED])


def hint(given: Path, otherwise: str) -> str:
    """What to name instead of a folder that holds no dossier: what lies near, else what is said anyway."""
    if not given.is_dir() or _holds(given, DOSSIER):
        return otherwise
    near = dossiers_near(given)
    return WORDS.say("archive.earlier.made_hint", made=", ".join(near)) if near else otherwise


def is_draft(folder: Path) -> bool:
    return _holds(folder, DRAFT)


def pdfs_in(folder: Path) -> tuple[str, ...]:
    """The names of the PDFs in a folder."""
    try:
        names = sorted(one.name for one in islice(folder.iterdir(), MOST_LOOKED_AT))
    except OSError:
        return ()
    found = [name for name in names if name.casefold().endswith(".pdf") and not name.startswith(".")]
    return tuple(found[:MOST_NAMED])


def _holds(folder: Path, name: str) -> bool:
    try:
        return (folder / name).is_file()
    except OSError:
        return False


def _folders(folder: Path) -> Iterator[Path]:
    try:
        names = sorted(islice(folder.iterdir(), MOST_LOOKED_AT))
    except OSError:
        return iter(())
    return (one for one in names if not one.name.startswith("."))
