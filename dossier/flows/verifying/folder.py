"""Check 2, of a folder: the files beside a dossier's PDF are the ones inside; what else lies there is named.

Not done here: statements, cards and photographs (`verifying.lying_beside`). Invariants: links are not
followed; a file that cannot be opened says nothing of the others.
"""

from __future__ import annotations

import stat
from collections.abc import Callable, Collection, Iterator
from pathlib import Path

from dossier import ordinary
from dossier.flows import dossier_files as files
from dossier.flows.verifying import chain, checks, lying_beside, photographs_beside
from dossier.model.result import Check
from dossier.words import Catalogue

# Whether a file is the attachment of a name; None where it cannot be opened.
IsInside = Callable[[Path, str], bool | None]


def look(
    folder: Path, inside: Collection[str], is_inside: IsInside, looked_at: frozenset[str], words: Catalogue
) -> Iterator[Check]:
    """`inside`: names of the attachments. `looked_at`: names of files that other checks have looked at."""
    differ: list[str] = []
    missing: list[str] = []
    unopened: list[str] = []
    for name in files.BESIDE:
        path = folder / name
        if not (kind := ordinary.kind(path)):
            missing += [name] if name in inside or name not in files.OPTIONAL else []
        elif name not in inside:
            unopened += [] if name in files.OPTIONAL else [name]  # a time-stamp is looked at by itself
        elif kind != stat.S_IFREG:  # who opens it sees what nobody compared
            differ.append(photographs_beside.no_file(name, kind, words))
        elif (same := is_inside(path, name)) is not True:
            (unopened if same is None else differ).append(name)
    said, there = _list_of_hashes(folder / files.PHOTOGRAPHS, inside, is_inside)
    (unopened if there is None else differ).extend(said)
    if differ:
        yield checks.answer("file-beside-differs", words, differ)
    if missing:
        yield checks.answer("file-beside-missing", words, missing)
    if others := [*unopened, *(name for name in _others(folder, words) if name not in looked_at)]:
        yield checks.answer("file-beside-not-checked", words, others)


def has(folder: Path, name: str, content: bytes) -> bool:
    """Whether an ordinary file of this name lies in the folder and holds just that."""
    path = folder / name
    return not path.is_symlink() and path.is_file() and bool(holds(path, content))


def _list_of_hashes(
    photographs: Path, inside: Collection[str], is_inside: IsInside
) -> tuple[list[str], bool | None]:
    """The list that lies with the photographs, where it is not the one in the PDF; None: it is shut.

    By its name there may be something else: check 3 names it.
    """
    path = photographs / files.MANIFEST
    try:
        there = ordinary.kind(photographs) == stat.S_IFDIR and ordinary.kind(path) == stat.S_IFREG
        same = is_inside(path, files.MANIFEST) if there and files.MANIFEST in inside else True
    except OSError:  # the folder is shut
        same = None
    return [] if same else [f"{files.PHOTOGRAPHS}/{files.MANIFEST}"], same


def _others(folder: Path, words: Catalogue) -> Iterator[str]:
    """What lies in the folder that no check has looked at: the sheet, the card, and anything put there."""
    seen = {files.DOSSIER, *files.BESIDE}
    for path in sorted(path for path in folder.iterdir() if path.name not in seen):
        kind = ordinary.kind(path)
        if path.name in (files.PHOTOGRAPHS, chain.FOLDER):
            if kind == stat.S_IFLNK:
                yield photographs_beside.no_file(path.name, kind, words)
            elif kind != stat.S_IFDIR:
                yield path.name
            continue
        if lying_beside.is_for_them(path) and path.is_dir():
            continue
        if kind != stat.S_IFREG or not files.is_system_file(path.name):
            yield path.name
    if not (folder / chain.FOLDER).is_symlink():
        yield from chain.left_out(folder)


def holds(path: Path, content: bytes) -> bool | None:
    """Whether the file holds just that; None where it cannot be opened."""
    try:
        return ordinary.read(path, len(content) + 1) == content
    except OSError:
        return None
