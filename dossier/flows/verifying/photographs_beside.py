"""Check 3 of a folder: the digests of the photographs that lie beside a dossier's PDF (FORMAT.md section 8).

Not done here: holding them against the record (`verifying.whole`, `verifying.saved_anew`). Invariants: only
what has the bytes of a photograph that is wanted is read; links in the folder are not followed.
"""

from __future__ import annotations

import stat
from collections import Counter
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from dossier import ordinary
from dossier.flows import dossier_files as files
from dossier.words import Catalogue

MOST_NAMES = 20_000
# In place of a digest: who opens it sees something that was not looked at, and may be anything.
LINK, NO_FILE = "link", "no file"


def digests(folder: Path, wanted: Mapping[str, int]) -> dict[str, str | None]:
    """Digests of the photographs in a folder, None of one that cannot be opened now.

    Where the folder itself cannot, that is so of all `wanted`. Links are not followed, a system's own files
    passed over; what has not the bytes that are `wanted` is not read (""): an empty file may have as many as
    it likes. A link, and what is no file, is never the right one (LINK, NO_FILE). Under other names as many
    are read as are missing under theirs.
    """
    if folder.is_symlink():
        return dict.fromkeys(wanted, LINK)
    if not folder.is_dir():
        return {}
    try:
        present = sorted(path.name for path in folder.iterdir())
    except OSError:
        return dict.fromkeys(wanted)
    names = [name for name in present if not _is_passed_over(folder / name)][:MOST_NAMES]
    paths, sizes = [folder / name for name in names], _sizes(folder, names, wanted)
    with ThreadPoolExecutor(max_workers=2) as pool:
        return dict(zip(names, pool.map(_digest_of, paths, sizes), strict=True))


def _is_passed_over(path: Path) -> bool:
    """Whether it is the list of hashes, which is looked at elsewhere, or a system's own file: no link.

    Where it cannot be told what it is, it is passed over by its name.
    """
    if path.name != files.MANIFEST and not files.is_system_file(path.name):
        return False
    try:
        return ordinary.kind(path) == stat.S_IFREG
    except OSError:
        return True


def _sizes(folder: Path, names: Sequence[str], wanted: Mapping[str, int]) -> list[int]:
    """How many bytes each has to have to be read; -1: none."""
    there = set(names)
    missing = Counter(size for name, size in wanted.items() if name not in there)
    left, found = missing.total(), []
    for name in names:
        size = wanted.get(name, -1)
        if size < 0 and left and missing[own := _size(folder / name)]:
            missing[own] -= 1
            left -= 1
            size = own
        found.append(size)
    return found


def _size(path: Path) -> int:
    try:
        return path.lstat().st_size
    except OSError:
        return -1


def named(name: str, found: str, words: Catalogue) -> str:
    """A photograph that is not the right one; with why, where it was not looked at."""
    keys = {LINK: "verify.a_link", NO_FILE: "verify.no_file"}
    return words.say(keys[found], name=name) if found in keys else name


def no_file(name: str, kind: int, words: Catalogue) -> str:
    """What lies in the place of a file and is none, as `ordinary.kind` says."""
    return named(name, LINK if kind == stat.S_IFLNK else NO_FILE, words)


def _digest_of(path: Path, size: int) -> str | None:
    """SHA-256 (hex) of a file of `size` bytes, "" of one with others or that is not to be read (-1), LINK and
    NO_FILE; None of one that is shut or in a cloud.
    """
    try:
        found = path.lstat()
        if size < 0:
            return ""
        if stat.S_ISLNK(found.st_mode):
            return LINK
        if not stat.S_ISREG(found.st_mode):
            return NO_FILE
        return ordinary.sha256(path) if found.st_size == size else ""
    except OSError:
        return None
