"""A step of the main flow: the photographs' digests, what is shown of them, pairs laid over each other.

Each original is read once, but where the pictures of a large job turn out larger, or can be larger, than
those of other jobs. Memory stays flat: the pixels of a picture are kept only until its pair is laid, pairs
are read one after another and a few laid at a time; of a few that were tried, until their turn comes. What
is made by when does not hang on how fast it goes, so that the same job gives the same pictures.
"""

from __future__ import annotations

import hashlib
import os
import stat
from collections import defaultdict, deque
from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import msgspec

from dossier.errors import JobError, PictureError
from dossier.model.job import Job, PhotoFacts
from dossier.model.picture import Pictures, Shown
from dossier.model.record import Laid
from dossier.pictures import plan
from dossier.pictures.derive import Derived, Task, derive_all
from dossier.pictures.side_by_side import WORKERS, Progress, Tell, at_work, unheard
from dossier.words import Catalogue

if TYPE_CHECKING:
    from dossier.pictures.decode import Pixels
    from dossier.pictures.lay import Picture

WORDS = Catalogue()
_ROOM = 1.2  # what the pictures that were not tried may take more than those that were


class Started(msgspec.Struct, frozen=True, kw_only=True):
    """The rung to start on, and the pictures that were made on it in finding out, by file."""

    rung: int
    ready: dict[str, Derived] = msgspec.field(default_factory=dict)


def derive_pictures(home: Path, job: Job, progress: Progress, tell: Tell = unheard) -> tuple[Job, Pictures]:
    """The pictures, and the job, which now knows which photographs cannot be read.

    `home`: the folder that the photographs of the job lie in.

    A photograph whose pixels cannot be read stays in the record, with the reason and without a picture. All
    pictures together take no more than `plan.BUDGET`, unless there is no smaller rung.
    """
    started = start(home, job, tell)
    rung, ready = started.rung, started.ready
    made = _Made(job, rung, tell)
    while not made.fill(home, progress, ready):
        rung, ready = plan.fitting(job, plan.shares(job, rung, made.sizes), above=rung), {}
        made = _Made(job, rung, tell)
    return made.whole()


def start(home: Path, job: Job, tell: Tell = unheard) -> Started:
    """Where to start: by the estimate, and where that is cautious, by what some of the pictures take."""
    if plan.step(job) == 0:
        return Started(rung=0)
    at = plan.likely(job)
    tried = _tried(home, job, at, tell)
    shares = plan.shares(job, at, [(file, len(derived.jpeg)) for file, derived in tried.items()])
    rung = plan.fitting(job, {use: share * _ROOM for use, share in shares.items()})
    return Started(rung=rung, ready=tried if rung == at else {})


def _tried(home: Path, job: Job, at: int, tell: Tell) -> dict[str, Derived]:
    wanted = set(plan.samples(job))
    tried = {}
    tasks = [task for task in _tasks(home, job, at) if task[1].file in wanted]
    with closing(derive_all(tasks, tell=tell)) as coming:
        for derived in coming:
            if not isinstance(derived, PictureError):
                tried[derived.file] = derived
    return tried


class _Made:
    """The pictures of one rung, as far as they are made."""

    def __init__(self, job: Job, rung: int, tell: Tell) -> None:
        self.job, self.rung, self.tell = job, rung, tell
        self.facts = {f.file: f for f in job.photo_facts}
        self.shown: dict[str, Shown] = {}
        self.jpegs: dict[str, bytes] = {}
        self.sizes: list[tuple[str, int]] = []  # of what was made, one laid over another by the other's name
        self.pairs = _Pairs(plan.laid_over(job), tell)

    def fill(self, home: Path, progress: Progress, ready: dict[str, Derived]) -> bool:
        """Whether all were made within the budget; where they are too large, it ends early."""
        tasks = _tasks(home, self.job, self.rung)
        spent = 0
        with ThreadPoolExecutor(WORKERS) as pool:
            made = derive_all(
                tasks, progress=progress, ready=ready, finer=self.pairs.over, pool=pool, tell=self.tell
            )
            with closing(made) as coming:
                for (path, fact, size), derived in zip(tasks, coming, strict=True):
                    spent += self._take(path, fact, size.quality, derived, pool)
                    if self._too_many(spent):
                        return False
            return not self._too_many(spent + self._note(self.pairs.rest()))

    def _too_many(self, spent: int) -> bool:
        return spent > plan.BUDGET and not plan.is_last(self.rung)

    def _take(
        self,
        path: Path,
        fact: PhotoFacts,
        quality: int,
        derived: Derived | PictureError,
        pool: ThreadPoolExecutor,
    ) -> int:
        """The bytes that came to be."""
        file = fact.file
        if isinstance(derived, PictureError):
            self.facts[file] = msgspec.structs.replace(fact, problem=derived.message)
            self.shown[file] = Shown(file=file, sha256=_sha256(path, fact), bytes=fact.bytes)
            return 0
        self.jpegs[file] = derived.jpeg
        self.shown[file] = _shown(derived)
        return self._note([(file, len(derived.jpeg)), *self.pairs.take(derived, quality, pool)])

    def _note(self, made: list[tuple[str, int]]) -> int:
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


class _Waiting(NamedTuple):
    """What is kept of a photograph until its pair is laid; `finer` as in `Derived`."""

    pixels: Pixels
    finer: Pixels | None
    quality: int


class _Pairs:
    """Lays each photograph over the one it belongs to as soon as both have come, a few at a time."""

    def __init__(self, over: dict[str, str], tell: Tell) -> None:
        self.over, self.tell = over, tell
        self.waited_for: defaultdict[str, set[str]] = defaultdict(set)
        for after, before in over.items():
            self.waited_for[before].add(after)
        self.found: defaultdict[str, list[Laid]] = defaultdict(list)
        self.jpegs: dict[tuple[str, str], bytes] = {}
        self._waiting: dict[str, _Waiting] = {}
        self._under_way: deque[tuple[str, str, Future[Picture]]] = deque()

    def take(self, derived: Derived, quality: int, pool: ThreadPoolExecutor) -> list[tuple[str, int]]:
        """What was laid meanwhile: the file before, whose frame it has, and the bytes of the picture.

        Laid on the threads of `pool`, which the pictures are made on too: so many are worked on at once, and
        what they take of memory is taken so many times.
        """
        if derived.file not in self.over and not self.waited_for[derived.file]:
            return []
        self._waiting[derived.file] = _Waiting(derived.pixels, derived.finer, quality)
        for after, before in self._ready(derived.file):
            self._begin(after, before, pool)
            self.waited_for[before].discard(after)
            del self._waiting[after]
            if not self.waited_for[before]:
                del self._waiting[before]
        return self._laid(WORKERS)

    def rest(self) -> list[tuple[str, int]]:
        """What is still under way, once it is laid."""
        return self._laid(0)

    def _ready(self, file: str) -> Iterator[tuple[str, str]]:
        for after in [file, *self.waited_for[file]]:
            before = self.over.get(after, "")
            if after in self._waiting and before in self._waiting:
                yield after, before

    def _begin(self, after: str, before: str, pool: ThreadPoolExecutor) -> None:
        from dossier.pictures.lay import lay  # noqa: PLC0415 - start-up: only where there are pairs

        over, under = self._waiting[after], self._waiting[before].pixels

        def laid() -> Picture:
            with at_work(f"{before}, {after}", self.tell):
                return lay(under, over.pixels, before, over.quality, over.finer)

        coming = pool.submit(laid)
        self._under_way.append((after, before, coming))

    def _laid(self, left: int) -> list[tuple[str, int]]:
        """The oldest are waited for until no more than `left` are under way."""
        made: list[tuple[str, int]] = []
        while len(self._under_way) > left:
            after, before, coming = self._under_way.popleft()
            picture = coming.result()
            self.found[after].append(picture.laid)
            if picture.jpeg:
                self.jpegs[after, before] = picture.jpeg
                made.append((before, len(picture.jpeg)))
        return made


def _tasks(home: Path, job: Job, rung: int) -> list[Task]:
    """Each photograph with its size, those that are laid over each other next to one another."""
    sizes, over = plan.plan(job, rung), plan.laid_over(job)
    facts = {f.file: f for f in job.photo_facts}
    order = {row.file: place for place, row in enumerate(job.photo_rows)}

    def beside(file: str) -> tuple[int, int]:
        return order[over[file]] if file in over else order[file], order[file]

    files = sorted(order, key=beside)
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


def _sha256(path: Path, fact: PhotoFacts) -> str:
    """Of a file that is as it was when it was first looked at; else it is not what was judged."""
    hint = WORDS.say("compile.changed_hint")
    try:
        if stat.S_ISREG(path.stat().st_mode):  # of a pipe no end might come
            with path.open("rb") as file:
                digest = hashlib.file_digest(file, "sha256").hexdigest()
                found = os.fstat(file.fileno())
                if fact.fits(found.st_size, found.st_mtime_ns):
                    return digest
        raise JobError(WORDS.say("compile.changed", file=path.name), hint=hint)
    except OSError as error:  # it could be read when it was first looked at
        said = WORDS.say("compile.unreadable", file=path.name, why=error.strerror)
        raise JobError(said, hint=hint) from error
