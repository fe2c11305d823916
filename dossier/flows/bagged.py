"""What lies in a bag of an archive (RFC 8493): it is read like any other, and nothing is put in or beside it.

Not done here: making bags and what is said later of a job in one (`put_away`, `put_later`).
"""

from __future__ import annotations

import os
from pathlib import Path

from dossier.archive.bags import BAGS
from dossier.errors import OutputError
from dossier.flows import dossier_files as files
from dossier.words import Catalogue

WORDS = Catalogue()
_MARK = "bagit.txt"
_ANY = Path("ARCHIVE")  # as the help calls it


def dossier_in(path: Path) -> Path:
    """The dossier in a bag, where the bag's folder was named; else `path`, which may be shut."""
    inside = path / "data" / "dossier"
    bare = not os.path.exists(path / files.DOSSIER) and os.path.isfile(path / _MARK)  # noqa: PTH110, PTH113 - False where not allowed
    return inside if bare and os.path.isfile(inside / files.DOSSIER) else path  # noqa: PTH113 - the same


def _is_bag(folder: Path) -> bool:
    """Whether all three parts are there that a bag cannot be without (section 2.1): a stray file is none."""
    try:
        whole = (folder / _MARK).is_file() and (folder / "data").is_dir()
    except OSError:  # a folder that cannot be looked into
        return False
    return whole and any(folder.glob("manifest-*.txt"))


def archive_around(path: Path) -> Path | None:
    """The archive in whose bags `path` is, or would be; None where there is none.

    Of a bag that was taken out of its archive: a word for any.
    """
    real = Path(os.path.realpath(path))  # links that lead in a circle are for whoever writes there to say
    for above in (real, *real.parents):
        if _is_bag(above):
            return above.parent.parent if above.parent.name == BAGS else _ANY
        if above.name == BAGS and any(map(_is_bag, above.glob("*"))):
            return above.parent
    return None


def refuse(target: Path) -> None:
    """Raises OutputError for what would be written into an archive's bags or among them."""
    if archive := archive_around(target):
        hint = WORDS.say("output.in_bag_hint", archive=archive)
        raise OutputError(WORDS.say("output.in_bag", target=target), hint=hint)
