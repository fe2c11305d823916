"""A step of the main flow: the photographs' digests, what is shown of them, pairs laid over each other.

Each original is read once. Memory stays flat: the pixels of a picture are kept only until the others of its
pair have come, and pairs are read one after another.
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec

from dossier.errors import JobError, PictureError
from dossier.model.job import Job, PhotoFacts
from dossier.model.picture import Shown
from dossier.model.record import Laid
from dossier.pictures.derive import Derived, Task, derive_all
from dossier.pictures.plan import laid_over, plan
from dossier.pictures.side_by_side import Progress
from dossier.words import Catalogue

if TYPE_CHECKING:
    from dossier.pictures.decode import Pixels

WORDS = Catalogue()
PHOTOS = "photos"


class Pictures(msgspec.Struct, frozen=True, kw_only=True):
    """`shown`: one row a photograph; `jpegs`: by file; `laid`: by file and the file it lies over."""

    shown: tuple[Shown, ...]
    jpegs: dict[str, bytes]
    laid: dict[tuple[str, str], bytes]


def derive_pictures(folder: Path, job: Job, progress: Progress) -> tuple[Job, Pictures]:
    """The pictures, and the job, which now knows which photographs cannot be read.

    A photograph whose pixels cannot be read stays in the record, with the reason and without a picture.
    """
    over = laid_over(job)
    facts = {f.file: f for f in job.photo_facts}
    shown: dict[str, Shown] = {}
    jpegs: dict[str, bytes] = {}
    pairs = _Pairs(over)
    tasks = _tasks(folder, job, facts, over)
    for (path, fact, size), derived in zip(tasks, derive_all(tasks, progress=progress), strict=True):
        if isinstance(derived, PictureError):
            facts[fact.file] = msgspec.structs.replace(fact, problem=derived.message)
            shown[fact.file] = Shown(file=fact.file, sha256=_sha256(path), bytes=fact.bytes)
            continue
        jpegs[fact.file] = derived.jpeg
        shown[fact.file] = _shown(derived)
        pairs.take(derived, size.quality)
    rows = tuple(
        msgspec.structs.replace(shown[row.file], laid=tuple(pairs.found[row.file])) for row in job.photo_rows
    )
    job = msgspec.structs.replace(job, photo_facts=tuple(facts.values()))
    return job, Pictures(shown=rows, jpegs=jpegs, laid=pairs.jpegs)


class _Pairs:
    """Lays each photograph over the one it belongs to as soon as both have come."""

    def __init__(self, over: dict[str, str]) -> None:
        self.over = over
        self.waited_for: defaultdict[str, set[str]] = defaultdict(set)
        for after, before in over.items():
            self.waited_for[before].add(after)
        self.found: defaultdict[str, list[Laid]] = defaultdict(list)
        self.jpegs: dict[tuple[str, str], bytes] = {}
        self._pixels: dict[str, tuple[Pixels, int]] = {}

    def take(self, derived: Derived, quality: int) -> None:
        if derived.file not in self.over and not self.waited_for[derived.file]:
            return
        self._pixels[derived.file] = derived.pixels, quality
        for after, before in self._ready(derived.file):
            self._lay(after, before)
            self.waited_for[before].discard(after)
            del self._pixels[after]
            if not self.waited_for[before]:
                del self._pixels[before]

    def _ready(self, file: str) -> Iterator[tuple[str, str]]:
        for after in [file, *self.waited_for[file]]:
            before = self.over.get(after, "")
            if after in self._pixels and before in self._pixels:
                yield after, before

    def _lay(self, after: str, before: str) -> None:
        from dossier.pictures.lay import lay  # noqa: PLC0415 - start-up: only where there are pairs

        (pixels, quality), (under, _) = self._pixels[after], self._pixels[before]
        picture = lay(under, pixels, before, quality)
        self.found[after].append(picture.laid)
        if picture.jpeg:
            self.jpegs[after, before] = picture.jpeg


def _tasks(folder: Path, job: Job, facts: dict[str, PhotoFacts], over: dict[str, str]) -> list[Task]:
    """Each photograph with its size, those that are laid over each other next to one another."""
    sizes = plan(job)
    order = {row.file: place for place, row in enumerate(job.photo_rows)}

    def beside(file: str) -> tuple[int, int]:
        return order[over[file]] if file in over else order[file], order[file]

    files = sorted(order, key=beside)
    return [(folder / PHOTOS / file, facts[file], sizes[file]) for file in files]


def _shown(derived: Derived) -> Shown:
    return Shown(
        file=derived.file,
        sha256=derived.original_sha256,
        bytes=derived.original_bytes,
        shown_sha256=derived.sha256,
        shown_width=derived.width,
        shown_height=derived.height,
    )


def _sha256(path: Path) -> str:
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as error:
        raise JobError(WORDS.say("compile.unreadable", file=path.name, why=error.strerror)) from error
