"""Writes a dossier's PDF once more with a time-stamp of today behind it (`time_revisions`).

Not done here: asking for the time-stamp, replacing the file. Invariant: the new file begins with all bytes of
the old one.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO

from dossier.container import time_revisions
from dossier.container.hashing import CHUNK
from dossier.container.read import DEFAULT_LIMITS, objects_of, revision_end
from dossier.container.said import WORDS
from dossier.container.time_revisions import Kept, Revision, State
from dossier.container.window import opened
from dossier.durable import flush
from dossier.errors import OutputError


def fields_left(path: Path) -> int:
    """How many time-stamps may still be put into the PDF at `path`. Raises UnreadableError."""
    return len(_state(path).fields)


def put_time(source: Path, target: Path, kept: Kept, stamp: Callable[[bytes], bytes]) -> None:
    """A new file `target`: the dossier at `source`, and a time-stamp over all of it.

    `stamp` gives a token (DER) for the SHA-256 digest of what it is to be over. Raises UnreadableError,
    OutputError where no field is left, what is kept is too much for a check or the token does not fit,
    FileExistsError, OSError.
    """
    state = _state(source)
    revision = time_revisions.added(state, kept)
    if not time_revisions.is_read_back(revision, state, DEFAULT_LIMITS):
        hint = WORDS.say("container.write.too_much_hint")
        raise OutputError(WORDS.say("container.write.too_much", file=source), hint=hint)
    with target.open("xb") as out:
        covered = _written(source, out, revision, state)
        token = stamp(covered)
        out.seek(state.size)
        out.write(revision.filled(token, state.size))
        out.seek(0, os.SEEK_END)
        flush(out)


def _state(path: Path) -> State:
    """The file as far as it is a dossier's, which must be all of it."""
    with opened(path, DEFAULT_LIMITS) as window:
        objects = objects_of(window, DEFAULT_LIMITS)
        first = time_revisions.state_of(objects, revision_end(objects))
        _, state = time_revisions.read(window, DEFAULT_LIMITS, first)
        if state.size != window.size:
            raise OutputError("something else stands behind the dossier")
    return state


def _written(source: Path, out: BinaryIO, revision: Revision, state: State) -> bytes:
    """Write the file and the blank revision; the SHA-256 of what the time-stamp is to be over."""
    digest = hashlib.sha256()
    with source.open("rb") as file:
        while chunk := file.read(CHUNK):
            digest.update(chunk)
            out.write(chunk)
    if out.tell() != state.size:
        raise OutputError(WORDS.say("container.write.meanwhile", file=source))
    out.write(revision.content)
    _, start, behind, _ = revision.byte_range
    digest.update(revision.content[: start - state.size])
    digest.update(revision.content[behind - state.size :])
    return digest.digest()
