"""A step of the main flow: a job and its pictures become a sealed record, and the files of the dossier.

What this needs takes half a second to come in, so `compile` imports it while the photographs are read.
Not done here: reading the job, keys, pictures, the output folder.
"""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Callable, Sequence
from pathlib import Path

import msgspec

from dossier.account.payload import Told, build, tell
from dossier.flows import ask_time
from dossier.flows.compiling import writing
from dossier.flows.compiling.clock import Clock
from dossier.flows.compiling.keys import Opened
from dossier.flows.compiling.options import Options
from dossier.intake.photolist import photos_of
from dossier.model.earlier import EarlierOpened
from dossier.model.job import Job, Workshop
from dossier.model.picture import Pictures
from dossier.model.record import OpenRecord, Sealed, Unsealed, WorkshopId, laid_name, moment
from dossier.pages import ready
from dossier.pages.options import PageOptions
from dossier.seal import code, keys, trial
from dossier.seal import record as seal
from dossier.words import Catalogue

SALT_BYTES = 16
Fetch = ask_time.Fetch


class Whole(msgspec.Struct, frozen=True, kw_only=True):
    """A job read, judged and looked at; `opened`: its keys, none for a draft."""

    job: Job
    pictures: Pictures
    told: Told
    opened: Opened | None


class Sealing(msgspec.Struct, frozen=True, kw_only=True):
    """A sealed copy, opened as its reader opens it, and how its pages are drawn."""

    sealed: Sealed
    record: OpenRecord
    pages: PageOptions


def make_ready(job: Job, earlier: Sequence[EarlierOpened], now: dt.datetime) -> Told:
    """Looks up what the first page and the signature need, and what no picture changes in the record.

    All that can be done while the photographs are read. `earlier`: the earlier records it names, opened.
    """
    from dossier.seal import cms  # noqa: F401, PLC0415 - brought in now, so that the signature need not wait

    ready.make_ready(job.language, notes=bool(job.notes))
    return tell(job, Catalogue(job.language), iat=int(now.timestamp()), earlier=earlier)


def seal_job(
    whole: Whole, options: Options, now: dt.datetime, random: Callable[[int], bytes]
) -> list[Sealing]:
    """The record of a job, sealed once, and left out to each copy."""
    # A draft is sealed by a key that nobody keeps: it must pass the same check. No record of it is written.
    workshop = whole.job.workshop
    signers: Sequence[keys.Signer] = (
        whole.opened.signers if whole.opened else [keys.new_key(workshop.name or "draft", now=now)]
    )
    sealed = seal.seal(_build(whole, signers, now), signers, lambda: random(SALT_BYTES))
    return [_left_out(sealed, whole, one) for one in options.each()]


def _left_out(sealed: Sealed, whole: Whole, options: Options) -> Sealing:
    sealed = seal.leave_out(sealed, options.copy)
    record = seal.open_record(sealed, options.copy)
    key = whole.opened.key if whole.opened else None
    pages = _page_options(whole.job.workshop, record, key, options)
    return Sealing(sealed=sealed, record=record, pages=pages)


def clock_of(
    workshop: Workshop, now: dt.datetime, random: Callable[[int], bytes], fetch: Fetch | None
) -> Clock:
    """Who is asked for the time: the servers of the workshop, through `fetch` (default: the network)."""
    return Clock(ask_time.Asking(workshop.time_servers, now, random, fetch or ask_time.fetch))


def write_files(aside: Path, folder: Path, whole: Whole, sealing: Sealing, clock: Clock) -> None:
    """The files of a dossier, or of a draft, into the folder `aside`."""
    on_pages = _on_pages(sealing.record, whole.pictures)
    if whole.opened is None:
        writing.write_draft(aside, sealing.record, on_pages, sealing.pages)
        return
    signed = writing.Signed(
        sealing.sealed, sealing.record, sealing.pages, whole.opened.key, clock, whole.opened.card
    )
    writing.write_signed(aside, signed, on_pages, photos_of(folder))


def _on_pages(record: OpenRecord, pictures: Pictures) -> dict[str, bytes]:
    """The pictures of this copy by neutral name; one laid over another under both names (`laid_name`)."""
    details = record.photo_details
    found = {d.name: pictures.jpegs[d.file] for d in details.values() if d.file in pictures.jpegs}
    for d in details.values():
        for laid in d.laid:
            if laid.shown_sha256 and laid.over in details:
                over = details[laid.over].file
                found[laid_name(d.name, laid.over)] = pictures.laid[d.file, over]
    return found


def _build(whole: Whole, signers: Sequence[keys.Signer], now: dt.datetime) -> Unsealed:
    job = whole.job
    workshop = keys.workshop_id(job.workshop, signers)
    return build(
        job,
        Catalogue(job.language),
        workshop=workshop,
        pictures=whole.pictures.shown,
        iat=int(now.timestamp()),
        record_id=_record_id(job, workshop),
        told=whole.told,
    )


def _record_id(job: Job, workshop: WorkshopId) -> str:
    """One record number for one job of one key, however often it is made (RFC 9562 section 5.5)."""
    kid = workshop.keys[0]["kid"]
    return uuid.uuid5(uuid.NAMESPACE_OID, f"restoration-record:{kid}:{job.number}").urn


def _page_options(
    workshop: Workshop, record: OpenRecord, key: keys.Signer | None, options: Options
) -> PageOptions:
    payload = record.payload
    page = payload.workshop.verification_page
    return PageOptions(
        paper=options.paper or ("Letter" if workshop.paper == "Letter" else "A4"),
        language=payload.language,
        draft=key is None,
        code_text=code.make(payload, record.digest, key, page) if key and key.alg == "ES256" else "",
        fingerprint=keys.fingerprint_words(key.kid) if key else "",
        created=moment(payload.iat),
        originals=options.where,
        time_places=workshop.time_places,
        trial_key=key is not None and trial.is_trial(key.kid),
    )
