"""The flow of `dossier photographs`: look at each photograph once, say what was found, propose pairs.

Not done here: writing the proposal (`looking.writing`). Invariants: nothing in the job folder is written or
changed; what is found is a hint with its figures and never a reason not to compile; of each photograph only
small things are kept, its landmarks in a file, so that memory grows by some 150 kB a photograph.
"""

from __future__ import annotations

import hashlib
from collections.abc import Container, Iterator, Mapping, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path
from unicodedata import normalize

import msgspec
import numpy as np

from dossier.account.slip import Slip, Taken, slip_of, sort_by_slips
from dossier.errors import PictureError
from dossier.flows import as_sheets
from dossier.flows.shell import quoted
from dossier.intake import camera_clock, photo_software
from dossier.intake.codes import NOT_SHOWN
from dossier.intake.folder import read_job
from dossier.intake.near import job_error
from dossier.intake.photolist import PHOTOS_FOLDER, photos_of
from dossier.intake.stages import known_days, side_without_stage, stage_in_a_pair
from dossier.model.finding import At, Finding
from dossier.model.job import Job, PhotoFacts
from dossier.model.rows import Dates, PhotoRow
from dossier.model.words import Side, Stage
from dossier.pictures import (
    align,
    codes,
    contact,
    decode,
    derive,
    likeness,
    pairing,
    quality,
    strangers,
)
from dossier.pictures.agreement import NOTHING, Agreed
from dossier.pictures.shelf import Shelf
from dossier.pictures.side_by_side import Progress, in_order
from dossier.words import Catalogue

# Longer to shorter side: cameras and phones give 4:3 or 3:2 (1.5), screens 16:10 and more.
_SCREEN_RATIO = 1.55
_SCREENS = ("image/png",)
# A camera may write the time of an earlier fix beside a photograph: a few minutes say nothing.
_APART = timedelta(minutes=20)
_TOGETHER = 300  # s: photographs whose two times are apart by as much within this are of one clock


class Photo(msgspec.Struct, frozen=True, kw_only=True):
    """One photograph as looked at; `row` is how the job has it."""

    row: PhotoRow
    facts: PhotoFacts
    seen: quality.Seen
    taken: likeness.Print
    view: pairing.View
    small: bytes
    slips: tuple[Slip, ...] = ()  # different job slips that are on it
    is_open: bool = False  # whether its stage is only proposed

    @property
    def slip(self) -> Slip | None:
        """The one that is on it; two that differ leave open which sitting begins."""
        return self.slips[0] if len(self.slips) == 1 else None


class Pair(msgspec.Struct, frozen=True, kw_only=True):
    name: str  # as it stands in the column "pair"
    before: Photo
    after: Photo
    proposal: pairing.Proposal


class Looked(msgspec.Struct, frozen=True, kw_only=True):
    """`photos` are in the order of the job; those that could not be opened are among the findings."""

    job: Job
    photos: tuple[Photo, ...]
    findings: tuple[Finding, ...]
    sorted: int = 0  # photographs that slips gave their stage
    near: strangers.Pairs = msgspec.field(default_factory=dict)  # of `photos`, as `pairing.neighbours` has it
    copies: Mapping[int, int] = msgspec.field(default_factory=dict)  # of `photos`, lesser to better
    shared: pairing.Shared | None = None  # of `photos`, as `pairing.sharing` has it


def look(folder: Path, words: Catalogue, progress: Progress | None = None) -> Looked:
    """Look at every photograph of the job in `folder`. Raises JobError, UsageError where there is no job."""
    job, read = read_job(folder)
    if job is None:
        raise job_error(read)(
            words.say("evidence.flow.no_job", folder=folder),
            hint=words.say("evidence.flow.no_job_hint", folder=quoted(folder)),
        )
    photos: list[Photo] = []
    findings = [one for one in read if _concerns(one)]
    tasks = list(zip(job.photo_rows, job.photo_facts, strict=True))
    home = photos_of(folder)
    shelf = Shelf()
    seen = in_order(lambda task: _look_at(home, *task, shelf), tasks, progress=progress)
    for (_, facts), one in zip(tasks, seen, strict=True):
        if isinstance(one, PictureError):
            findings.append(_finding("photo-unreadable", facts.file, words, why=one.message))
        else:
            photos.append(one)
    views = [photo.view for photo in photos]
    shared = pairing.sharing(views, views)
    near = pairing.neighbours(views, shared)
    copies = _copies(photos, words)
    findings += [*_each(photos, words), *_clocks(photos, words), *_twice(photos, copies, words)]
    looked = _by_slips(Looked(job=job, photos=tuple(photos), findings=tuple(findings)), words)
    alone = _strangers(looked, near, words)
    said = as_sheets.said_of(job, [*looked.findings, *alone], words)
    return msgspec.structs.replace(looked, findings=tuple(said), near=near, shared=shared, copies=copies)


def _concerns(finding: Finding) -> bool:
    """Whether it says that a photograph, or what stands of photographs, could not be read as it is meant.

    A line that is no line may have held a date of the job, or the clocks' time zone.
    """
    listed = finding.at.file == "photos.csv" or finding.at.sheet == "photos"
    return finding.code in NOT_SHOWN or finding.code == "toml-syntax" or (listed and finding.level == "error")


def _strangers(looked: Looked, near: strangers.Pairs, words: Catalogue) -> Iterator[Finding]:
    """Those that by time and look may be of another job; a photograph of a slip is of the job it names."""
    photos, shots = looked.photos, []
    for photo in photos:
        side = photo.row.side or side_without_stage(photo.facts.taken, looked.job.dates)
        side = None if side == "during" or photo.slip else side
        shots.append(strangers.Shot(taken=_instant(photo.facts), side=side))
    for sitting in strangers.find(shots, near):
        first, last = photos[sitting[0]].facts, photos[sitting[-1]].facts
        yield _finding("photo-unlike-the-rest", first.file, words, n=len(sitting), last=last.file)


def _by_slips(looked: Looked, words: Catalogue) -> Looked:
    """With the stages that photographed slips give, where nobody typed one; a stage from dates gives way."""
    job = looked.job
    # As instants: cameras of one job need not keep one zone.
    timed = sorted((when, p.row.file, p) for p in looked.photos if (when := _instant(p.facts)))
    taken = [Taken(p.row.file, p.facts.taken[:10], p.slips) for _, _, p in timed]
    found = sort_by_slips(taken, job.number, known_days(job.dates))
    typed = {row.file for row in job.photo_rows if f"photos/{row.file}.stage" in job.where}
    stages = {file: stage for file, stage in found.stages.items() if file not in typed}
    slips = {p.row.file for p in looked.photos if p.slip and p.slip.job == job.number}

    def placed(row: PhotoRow) -> PhotoRow:
        caption = row.caption or (words.say("evidence.slip.caption") if row.file in slips else "")
        return msgspec.structs.replace(row, stage=stages.get(row.file, row.stage), caption=caption)

    return msgspec.structs.replace(
        looked,
        job=msgspec.structs.replace(job, photo_rows=tuple(map(placed, job.photo_rows))),
        photos=tuple(msgspec.structs.replace(p, row=placed(p.row)) for p in looked.photos),
        findings=(*looked.findings, *_of_others(found.others, words), *_unsorted(found.over, typed, words)),
        sorted=len(stages),
    )


def _of_others(others: dict[str, str], words: Catalogue) -> Iterator[Finding]:
    for file, number in others.items():
        yield _finding("photo-of-another-job", file, words, job=number)


def _unsorted(
    over: Mapping[str, tuple[Stage, Stage, str]], typed: Container[str], words: Catalogue
) -> Iterator[Finding]:
    """One for each slip and stage; of whose stage somebody typed nothing is to be said."""
    files: dict[tuple[Stage, Stage, str], list[str]] = {}
    for file, why in over.items():
        if file not in typed:
            files.setdefault(why, []).append(file)
    for (slip, come, day), some in files.items():
        fields = {"slip": slip, "come": come, "day": day, "n": len(some), "more": len(some) - 1}
        yield _finding("photo-slip-forgotten", some[0], words, **fields)


def _look_at(folder: Path, row: PhotoRow, facts: PhotoFacts, shelf: Shelf) -> Photo:
    try:
        data = derive.read_original(folder / facts.file, facts)
        pixels = decode.decode(data, facts.orientation, quality.WORKING)
    except PictureError as error:
        raise PictureError(f"{facts.file}: {error.message}", hint=error.hint) from error
    except OSError as error:
        raise PictureError(f"{facts.file}: {error.strerror}") from error
    return Photo(
        row=row,
        facts=facts,
        seen=quality.measure(pixels),
        taken=likeness.take(pixels, hashlib.sha256(data).hexdigest()),
        view=pairing.view(align.working(pixels), shelf.lay),
        small=contact.small_picture(pixels),
        slips=tuple(dict.fromkeys(filter(None, map(slip_of, codes.codes_in(pixels))))),
    )


def _each(photos: Sequence[Photo], words: Catalogue) -> Iterator[Finding]:
    for photo in photos:
        facts = photo.facts
        # A slip that could be read did what it is for.
        for weak in () if photo.slips else quality.weaknesses(photo.seen, facts.width, facts.height):
            yield _finding(weak.code, facts.file, words, **weak.figures)
        if len(photo.slips) > 1:
            slips = ", ".join(f"{slip.job} ({slip.stage})" for slip in photo.slips)
            yield _finding("photo-two-slips", facts.file, words, slips=slips)
        if facts.preview:
            size = f"{facts.width} x {facts.height}"
            yield _finding("photo-preview", facts.file, words, size=size)
        if why := _screen(facts, words):
            yield _finding("photo-screen", facts.file, words, why=why)
        elif _by_a_program(facts, words):
            why = words.say("evidence.why.photo-edited", software=facts.software)
            yield _finding("photo-edited", facts.file, words, why=why)


def _instant(facts: PhotoFacts) -> datetime | None:
    when = datetime.fromisoformat(facts.taken) if facts.taken else None
    return when.replace(tzinfo=when.tzinfo or UTC) if when else None


def _clocks(photos: Sequence[Photo], words: Catalogue) -> Iterator[Finding]:
    """One finding for each clock that is apart from the satellites' by as much, with what may be written."""
    cameras: dict[str, list[tuple[int, str]]] = {}
    for photo in photos:
        if seconds := _ahead(photo.facts):
            camera = photo.facts.body_digest or photo.facts.camera
            cameras.setdefault(camera, []).append((seconds, photo.facts.file))
    for some in (clock for shots in cameras.values() for clock in _alike(shots)):
        seconds, file = some[0]
        minutes = 60 * round(seconds / 60)
        fields = {"apart": camera_clock.spoken(abs(minutes)), "clock": camera_clock.stated(minutes)}
        yield _finding("photo-clock", file, words, n=len(some), more=len(some) - 1, **fields)


def _ahead(facts: PhotoFacts) -> int:
    """By how many seconds the camera's clock is ahead of the satellites'; 0 where that says nothing."""
    when = _instant(facts)
    if when is None or not facts.satellite:
        return 0
    ahead = when - datetime.fromisoformat(facts.satellite)
    return round(ahead.total_seconds()) if abs(ahead) > _APART else 0


def _alike(shots: list[tuple[int, str]]) -> Iterator[list[tuple[int, str]]]:
    """Seconds and file of each, those together that are within `_TOGETHER` of the least of them."""
    group: list[tuple[int, str]] = []
    for shot in sorted(shots):
        if group and shot[0] - group[0][0] > _TOGETHER:
            yield group
            group = []
        group.append(shot)
    if group:
        yield group


def _screen(facts: PhotoFacts, words: Catalogue) -> str:
    """Why it may be a picture of a screen; "" where nothing says so."""
    look_for = words.table("evidence.look_for")["screen"]
    if _holds(facts.software, look_for):
        return words.say("evidence.why.photo-screen-software", software=facts.software)
    if _holds(facts.file, look_for):
        return words.say("evidence.why.photo-screen-name")
    longer, shorter = max(facts.width, facts.height), max(1, min(facts.width, facts.height))
    if facts.media_type in _SCREENS and not facts.camera and longer / shorter >= _SCREEN_RATIO:
        return words.say("evidence.why.photo-screen-shape")
    return ""


def _by_a_program(facts: PhotoFacts, words: Catalogue) -> bool:
    look_for = words.table("evidence.look_for")
    return photo_software.is_program(
        facts.software, facts.camera, look_for["camera_words"], look_for["camera_says"]
    )


def _holds(text: str, some: Sequence[str]) -> bool:
    plain = normalize("NFC", text).casefold()
    return any(word in plain for word in some)


def _copies(photos: Sequence[Photo], words: Catalogue) -> dict[int, int]:
    """Of each two that show the same photograph the lesser, and which is the better one.

    Of ten shots of one moment nine, each by the first it is like, not one for each two.
    """
    prints = [photo.taken for photo in photos]
    found = {index: group[0] for group in likeness.same(prints) for index in group[1:]}
    for pair in likeness.nearly_same(prints):
        better, lesser = sorted(pair, key=lambda n: (*_rank(photos[n], words), n))
        found.setdefault(lesser, better)
    return found


def _rank(photo: Photo, words: Catalogue) -> tuple[bool, bool, int, float]:
    """Lowest for what a camera took, whole and sharp; saved again it may seem sharper by a hundredth."""
    facts = photo.facts
    pixels = facts.width * facts.height
    return _by_a_program(facts, words), not facts.camera, -pixels, round(photo.seen.blur, 1)


def _twice(photos: Sequence[Photo], copies: Mapping[int, int], words: Catalogue) -> Iterator[Finding]:
    for lesser, better in copies.items():
        same = photos[lesser].taken.sha256 == photos[better].taken.sha256
        code = "photo-same-file" if same else "photo-nearly-same"
        yield _finding(code, photos[lesser].facts.file, words, other=photos[better].facts.file)


def _finding(code: str, file: str, words: Catalogue, **fields: object) -> Finding:
    return Finding(
        code=code,
        level="now",
        message=words.say(f"evidence.finding.{code}", file=file, **fields),
        hint=words.say(f"evidence.hint.{code}", **fields),
        at=At(file=f"{PHOTOS_FOLDER}/{file}"),
    )


def propose(looked: Looked) -> tuple[Pair, ...]:
    """Pairs of a photograph before and one after the work, among those that stand in no pair yet.

    Of two from one side that show the same the better one alone. Where the dates leave open whether one is
    from during the work it may stand in a pair, but gives way to one of which they tell, and is never sure;
    its stage is proposed too.
    """
    photos = [_staged(photo, looked.job.dates) for photo in looked.photos]
    lesser = {one for one, better in looked.copies.items() if photos[one].row.side == photos[better].row.side}
    before, after = (
        [n for n, one in enumerate(photos) if one.row.side == side and not one.row.pair and n not in lesser]
        for side in ("before", "after")
    )
    known = {**pairing.across(looked.near, before, after), **_papers(photos, before, after)}
    shared = None if looked.shared is None else looked.shared[np.ix_(before, after)]
    views = [photos[n].view for n in before], [photos[n].view for n in after]
    is_open = [{place for place, n in enumerate(some) if photos[n].is_open} for some in (before, after)]
    found = pairing.propose(*views, known, shared, (is_open[0], is_open[1]))
    names = _free_names(looked, len(found))
    return tuple(
        Pair(name=name, before=photos[before[p.before]], after=photos[after[p.after]], proposal=p)
        for name, p in zip(names, found, strict=True)
    )


def sides(looked: Looked) -> set[Side | None]:
    """Of which sides of the work there are photographs, those counted of which the dates leave it open."""
    return {_staged(photo, looked.job.dates).row.side for photo in looked.photos}


def outside(looked: Looked) -> dict[str, str]:
    """Of those without a stage the ones dated outside the days of the job: file and day."""
    return {
        photo.facts.file: photo.facts.taken[:10]
        for photo in looked.photos
        if not photo.row.stage and side_without_stage(photo.facts.taken, looked.job.dates)
    }


def _staged(photo: Photo, dates: Dates) -> Photo:
    """With the stage that it has if it stands in a pair."""
    if photo.row.stage or not (stage := stage_in_a_pair(photo.facts.taken, dates)):
        return photo
    return msgspec.structs.replace(photo, row=msgspec.structs.replace(photo.row, stage=stage), is_open=True)


def _papers(
    photos: Sequence[Photo], before: Sequence[int], after: Sequence[int]
) -> dict[tuple[int, int], Agreed]:
    """Two job slips look alike and are no pair of anything."""
    return {
        (b, a): NOTHING
        for b, one in enumerate(before)
        for a, other in enumerate(after)
        if photos[one].slips and photos[other].slips
    }


def _free_names(looked: Looked, count: int) -> list[str]:
    """The first numbers that no pair has yet."""
    used = {row.pair.casefold() for row in looked.job.photo_rows}
    return [name for name in map(str, range(1, count + len(used) + 1)) if name not in used][:count]
