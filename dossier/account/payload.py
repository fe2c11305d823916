"""A job as the record before sealing: what every copy says, and apart what a copy may leave out.

Not here: digests, salts, signatures (the seal), reading files. Invariants: no word of `apart` or of a
photograph's details stands in the payload by our doing; photographs appear there under neutral names only.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple, TypeVar

import msgspec

from dossier.account.annotations import web_annotations
from dossier.account.cautions import cautions
from dossier.account.findings import gaps_of
from dossier.account.history import Story, with_history
from dossier.account.joint import joints
from dossier.account.lines import account_of
from dossier.account.measured_on import with_neutral_names
from dossier.account.parts import parts_now
from dossier.account.phrases import sentence
from dossier.account.sentences import disclosure
from dossier.model.counted import Account, PartHistory, PartNow
from dossier.model.earlier import EarlierOpened
from dossier.model.job import Job, PhotoFacts
from dossier.model.picture import Shown
from dossier.model.record import (
    FORMAT_VERSION,
    Caution,
    Gap,
    Input,
    OpenApart,
    Payload,
    PhotoDetails,
    Photograph,
    Price,
    Reckoning,
    Sentence,
    Unsealed,
    WorkshopId,
    moment,
)
from dossier.model.rows import Contact, Feature, Firm, Mark, Measurement, PhotoRow, Worker
from dossier.trade.reckon import reckonings
from dossier.trade.values import with_changes
from dossier.words import Catalogue
from dossier.words.marks import marks_of

EXTENSIONS = {
    "image/jpeg": "jpg",
    "image/png": "png",
    "image/tiff": "tif",
    "image/heic": "heic",
    "image/heif": "heif",
    "image/x-adobe-dng": "dng",
}
WITHOUT_PICTURE = "photographs-not-in-record"
R = TypeVar("R", Mark, Feature)


class Numbered(NamedTuple):
    """A photograph of the record: its row, its facts, its bytes, and its neutral name."""

    name: str
    row: PhotoRow
    facts: PhotoFacts
    shown: Shown


class Told(NamedTuple):
    """What the record says of a job that no picture changes."""

    parts_now: tuple[PartNow, ...]
    account: tuple[Account, ...]
    part_history: tuple[PartHistory, ...]
    disclosure: tuple[Sentence, ...]
    cautions: tuple[Caution, ...]
    gaps: tuple[Gap, ...]
    reckonings: tuple[Reckoning, ...]


def tell(job: Job, words: Catalogue, *, iat: int, earlier: Sequence[EarlierOpened] = ()) -> Told:
    """Works it out; what `iat` and `earlier` are stands at `build`."""
    story = with_history(job, earlier)
    now = parts_now(story.job.parts, job.work, story.origins)
    return Told(
        parts_now=now,
        account=_account(story, now, words),
        part_history=story.histories,
        disclosure=disclosure(story.job, now, words, story.histories, job.parts),
        cautions=cautions(job, words),
        gaps=gaps_of(job, words, story, today=moment(iat).date().isoformat()),
        reckonings=reckonings(job, words),
    )


def build(
    job: Job,
    words: Catalogue,
    *,
    workshop: WorkshopId,
    pictures: Sequence[Shown],
    iat: int,
    record_id: str,
    earlier: Sequence[EarlierOpened] = (),
    told: Told | None = None,
) -> Unsealed:
    """The unsealed record of `job`. `iat` is in seconds since 1970 (UTC), `record_id` a urn:uuid.

    `earlier`: the earlier records it names, opened. A photograph without its `Shown` is not in the record,
    and a gap says how many there are. `told`: what `tell` gave of the same, where it was called before.
    """
    numbered = number(job, pictures)
    names = {n.row.file: n.name for n in numbered}
    told = told or tell(job, words, iat=iat, earlier=earlier)
    payload = Payload(
        format=FORMAT_VERSION,
        sd_alg="sha-256",
        iat=iat,
        record=record_id,
        job=job.number,
        language=words.language,
        workshop=workshop,
        people=_people(job),
        firms=_firms(job),
        object=job.object,
        know_it_by=tuple(_neutral(feature, names) for feature in job.know_it_by),
        marks=tuple(_neutral(mark, names) for mark in job.marks if not mark.private),
        for_whom=job.for_whom,
        dates=job.dates,
        looked_at=job.looked_at,
        condition=job.condition,
        agreements=job.agreements,
        advised=job.advised,
        parts=job.parts,
        work=job.work,
        parts_now=told.parts_now,
        account=told.account,
        part_history=told.part_history,
        disclosure=told.disclosure,
        cautions=told.cautions,
        gaps=(*told.gaps, *_without_picture(len(job.photo_rows) - len(numbered), words)),
        measurements=_measurements(job, names, words),
        plating=job.plating,
        calculations=job.calculations,
        protected=job.protected,
        reckonings=told.reckonings,
        photographs=tuple(_photograph(n) for n in numbered),
        notes=tuple(note for note in job.notes if not note.private),
        history=job.history,
        earlier_records=job.earlier_records,
        handover=job.handover,
    )
    details = tuple(_details(n, job, names) for n in numbered)
    return Unsealed(payload=payload, apart=_apart(job, names), photo_details=details)


def _measurements(job: Job, names: dict[str, str], words: Catalogue) -> tuple[Measurement, ...]:
    return with_neutral_names(job.measurements, [row.file for row in job.photo_rows], names, words)


def _account(story: Story, now: Sequence[PartNow], words: Catalogue) -> tuple[Account, ...]:
    parts = story.job.parts
    together = joints(parts, story.job.work, story.families, story.joint, story.origins)
    return account_of(parts, now, together, words.language)


def number(job: Job, pictures: Sequence[Shown]) -> list[Numbered]:
    """The photographs of the record, from photo-001 on: in the job's order, the private ones behind them.

    The job's order is that of times and own names. Those of private ones no copy for others has, so the
    digest gives their place: their numbers then say nothing of either.
    """
    shown = {picture.file: picture for picture in pictures}
    facts = {f.file: f for f in job.photo_facts}
    rows = [row for row in job.photo_rows if row.file in shown and row.file in facts]
    rows.sort(key=lambda row: shown[row.file].sha256 if row.private else "")
    return [
        Numbered(_name(place, facts[row.file].media_type), row, facts[row.file], shown[row.file])
        for place, row in enumerate(rows, 1)
    ]


def _name(place: int, media_type: str) -> str:
    return f"photo-{place:03d}.{EXTENSIONS.get(media_type, 'bin')}"


def _photograph(n: Numbered) -> Photograph:
    return Photograph(
        name=n.name,
        bytes=n.shown.bytes,
        sha256=n.shown.sha256,
        media_type=n.facts.media_type,
        stage=n.row.stage,
        side=n.row.side,
        parts=n.row.parts,
        pair=n.row.pair,
    )


def _details(n: Numbered, job: Job, names: dict[str, str]) -> PhotoDetails:
    facts, shown, places = n.facts, n.shown, job.photo_places.get(n.row.file, ())
    return PhotoDetails(
        name=n.name,
        file=n.row.file,
        caption=n.row.caption,
        taken=facts.taken,
        taken_zone=facts.taken_zone,
        clock=facts.clock,
        camera=facts.camera,
        body_digest=facts.body_digest,
        software=facts.software,
        profile=facts.profile,
        width=facts.width,
        height=facts.height,
        orientation=facts.orientation,
        cover=n.row.cover,
        private=n.row.private,
        places=places,
        annotations=web_annotations(places, facts, n.name, {p.number: p for p in job.parts}, job.language),
        shown_sha256=shown.shown_sha256,
        shown_width=shown.shown_width,
        shown_height=shown.shown_height,
        laid=tuple(msgspec.structs.replace(one, over=names[one.over]) for one in shown.laid),
        problem=facts.problem,
    )


def _neutral(row: R, names: dict[str, str]) -> R:
    """The row with its photograph under the neutral name; "" where that is not in the record."""
    return msgspec.structs.replace(row, photograph=names.get(row.photograph, ""))


def _apart(job: Job, names: dict[str, str]) -> OpenApart:
    return OpenApart(
        owner=_one(job.owner),
        brought_by=_one(job.brought_by),
        payer=_one(job.payer),
        received_by=_one(job.received_by),
        agreement_details=job.agreement_details,
        prices=(Price(amount=job.price),) if job.price else (),
        values=with_changes(job.values, _own_names(job)),
        private_marks=tuple(_neutral(mark, names) for mark in job.marks if mark.private),
        private_notes=tuple(note for note in job.notes if note.private),
        inputs=tuple(Input(file=file, bytes=size, sha256=digest) for file, size, digest in job.inputs),
    )


def _own_names(job: Job) -> dict[str, str]:
    """The names of the workshop and its people, by mark and name: whose opinion of worth is its own."""
    people = {who.name or who.mark: who.name or who.mark for who in job.workshop.people}
    marks = {who.mark: who.name or who.mark for who in job.workshop.people}
    return people | marks | {job.workshop.name: job.workshop.name}


def _one(contact: Contact | None) -> tuple[Contact, ...]:
    return (contact,) if contact else ()


def _named(job: Job) -> set[str]:
    """Marks of those who did any of the work, looked at the object or made a part."""
    platers = (row.by for row in job.plating)
    free = (job.looked_at.by, *(part.made_by for part in job.parts))
    marks = {person.mark for person in job.workshop.people} | {firm.mark for firm in job.workshop.firms}
    spoken_of = (mark for text in free for mark in marks_of(text, marks))
    return {*spoken_of, *(row.who for row in job.work), *platers}


def _people(job: Job) -> tuple[Worker, ...]:
    return tuple(person for person in job.workshop.people if person.mark in _named(job))


def _firms(job: Job) -> tuple[Firm, ...]:
    return tuple(firm for firm in job.workshop.firms if firm.mark in _named(job))


def _without_picture(count: int, words: Catalogue) -> tuple[Gap, ...]:
    if not count:
        return ()
    text = words.say(f"findings.{WITHOUT_PICTURE}.gap", n=count)
    return (Gap(code=WITHOUT_PICTURE, text=sentence(text, words)),)
