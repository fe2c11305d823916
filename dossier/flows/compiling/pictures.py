"""A step of the main flow: the photographs' digests, what is shown of them, pairs laid over each other.

Each original is read once, but where the pictures of a large job turn out larger, or can be larger, than such
pictures usually are. Memory stays flat: the pixels of a picture are kept only until the others of its pair
have come, and pairs are read one after another.
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec

from dossier.errors import JobError, PictureError
from dossier.intake.photolist import photos_of
from dossier.model.job import Job, PhotoFacts
from dossier.model.picture import Shown
from dossier.model.record import Laid
from dossier.pictures import plan
from dossier.pictures.derive import Derived, Task, derive_all
from dossier.pictures.side_by_side import Progress
from dossier.words import Catalogue

if TYPE_CHECKING:
    from dossier.pictures.decode import Pixels

WORDS = Catalogue()
_ROOM = 1.2  # what the pictures that were not tried may take more than those that were


class Pictures(msgspec.Struct, frozen=True, kw_only=True):
    """`shown`: one row a photograph; `jpegs`: by file; `laid`: by file and the file it lies over.

    `rung`: of the ladder of `pictures.plan`.
    """

    shown: tuple[Shown, ...]
    jpegs: dict[str, bytes]
    laid: dict[tuple[str, str], bytes]
    rung: int = 0


def _always() -> None:
    """Nobody stops it."""


def derive_pictures(
    folder: Path, job: Job, progress: Progress, go_on: Callable[[], None] = _always
) -> tuple[Job, Pictures]:
    """The pictures, and the job, which now knows which photographs cannot be read.

    `go_on` is called before each picture is taken; what it raises ends the work.

    A photograph whose pixels cannot be read stays in the record, with the reason and without a picture. All
    pictures together take no more than `plan.BUDGET`, unless there is no smaller rung.
    """
    rung = first_rung(folder, job, go_on)
    made = _Made(job, rung)
    while not made.fill(folder, progress, go_on):
        rung = plan.fitting(job, plan.shares(job, rung, made.sizes), above=rung)
        made = _Made(job, rung)
    return made.whole()


def first_rung(folder: Path, job: Job, go_on: Callable[[], None] = _always) -> int:
    """Where to start: by the estimate, and where that is cautious, by what some of the pictures take."""
    rung = plan.step(job)
    if rung == 0:
        return rung
    wanted = set(plan.samples(job))
    tasks = [task for task in _tasks(folder, job, rung) if task[1].file in wanted]
    made = []
    with closing(derive_all(tasks)) as coming:
        for derived in coming:
            go_on()
            if not isinstance(derived, PictureError):
                made.append((derived.file, len(derived.jpeg)))
    shares = {use: share * _ROOM for use, share in plan.shares(job, rung, made).items()}
    return plan.fitting(job, shares)


class _Made:
    """The pictures of one rung, as far as they are made."""

    def __init__(self, job: Job, rung: int) -> None:
        self.job, self.rung = job, rung
        self.facts = {f.file: f for f in job.photo_facts}
        self.shown: dict[str, Shown] = {}
        self.jpegs: dict[str, bytes] = {}
        self.sizes: list[tuple[str, int]] = []  # of what was made, one laid over another by the other's name
        self.pairs = _Pairs(plan.laid_over(job))

    def fill(self, folder: Path, progress: Progress, go_on: Callable[[], None]) -> bool:
        """Whether all were made within the budget; where they are too large, it ends early."""
        tasks = _tasks(folder, self.job, self.rung)
        spent = 0
        with closing(derive_all(tasks, progress=progress)) as coming:
            for (path, fact, size), derived in zip(tasks, coming, strict=True):
                go_on()
                spent += self._take(path, fact, size.quality, derived)
                if spent > plan.BUDGET and not plan.is_last(self.rung):
                    return False
        return True

    def _take(self, path: Path, fact: PhotoFacts, quality: int, derived: Derived | PictureError) -> int:
        """The bytes that came to be."""
        file = fact.file
        if isinstance(derived, PictureError):
            self.facts[file] = msgspec.structs.replace(fact, problem=derived.message)
            self.shown[file] = Shown(file=file, sha256=_sha256(path), bytes=fact.bytes)
            return 0
        self.jpegs[file] = derived.jpeg
        self.shown[file] = _shown(derived)
        made = [(file, len(derived.jpeg)), *self.pairs.take(derived, quality)]
        self.sizes += made
        return sum(size for _, size in made)

    def whole(self) -> tuple[Job, Pictures]:
        job = self.job
        rows = tuple(
            msgspec.structs.replace(self.shown[row.file], laid=tuple(self.pairs.found[row.file]))
            for row in job.photo_rows
        )
        job = msgspec.structs.replace(job, photo_facts=tuple(self.facts.values()))
        return job, Pictures(shown=rows, jpegs=self.jpegs, laid=self.pairs.jpegs, rung=self.rung)


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

    def take(self, derived: Derived, quality: int) -> list[tuple[str, int]]:
        """What could be laid now: the file before, whose frame it has, and the bytes of the picture."""
        if derived.file not in self.over and not self.waited_for[derived.file]:
            return []
        self._pixels[derived.file] = derived.pixels, quality
        made: list[tuple[str, int]] = []
        for after, before in self._ready(derived.file):
            if size := self._lay(after, before):
                made.append((before, size))
            self.waited_for[before].discard(after)
            del self._pixels[after]
            if not self.waited_for[before]:
                del self._pixels[before]
        return made

    def _ready(self, file: str) -> Iterator[tuple[str, str]]:
        for after in [file, *self.waited_for[file]]:
            before = self.over.get(after, "")
            if after in self._pixels and before in self._pixels:
                yield after, before

    def _lay(self, after: str, before: str) -> int:
        from dossier.pictures.lay import lay  # noqa: PLC0415 - start-up: only where there are pairs

        (pixels, quality), (under, _) = self._pixels[after], self._pixels[before]
        picture = lay(under, pixels, before, quality)
        self.found[after].append(picture.laid)
        if picture.jpeg:
            self.jpegs[after, before] = picture.jpeg
        return len(picture.jpeg)


def _tasks(folder: Path, job: Job, rung: int) -> list[Task]:
    """Each photograph with its size, those that are laid over each other next to one another."""
    sizes, over = plan.plan(job, rung), plan.laid_over(job)
    facts = {f.file: f for f in job.photo_facts}
    order = {row.file: place for place, row in enumerate(job.photo_rows)}

    def beside(file: str) -> tuple[int, int]:
        return order[over[file]] if file in over else order[file], order[file]

    files = sorted(order, key=beside)
    home = photos_of(folder)
    return [(home / file, facts[file], sizes[file]) for file in files]


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
