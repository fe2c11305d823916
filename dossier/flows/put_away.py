"""The archive flow: a finished dossier is checked, put into a bag with the job it came from, and catalogued.

Nothing in a bag is ever written again; what a bag of the record holds already, file by file, is not put away
again. Not here: what bags look like (`archive.bags`), how words are found (`archive.catalogue`).
"""

from __future__ import annotations

import datetime as dt
import hashlib
import os
from collections.abc import Iterator, Sequence
from pathlib import Path

import msgspec

from dossier import ordinary
from dossier.archive import bag_check, bags
from dossier.archive.catalogue import Catalogue, Entry
from dossier.errors import ArchiveError, DossierError, UsageError
from dossier.flows import put_later
from dossier.flows.dossier_files import DRAFT, MAX_RECORD, RECORD, is_system_file
from dossier.flows.output import default_output
from dossier.flows.shell import quoted
from dossier.flows.verify import Asked, verify
from dossier.intake.near import holds_job, job_around
from dossier.model.plain import to_plain
from dossier.model.record import OpenRecord
from dossier.seal import record as sealed_record
from dossier.words import Catalogue as Words

WORDS = Words("en")
SHARED = "workshop.toml"
KEY_LINE = b"PRIVATE KEY-----"  # RFC 7468, of every kind of private key
KEY_BYTES = 65_536  # a key's file is far smaller


class PutAway(msgspec.Struct, frozen=True, kw_only=True):
    """What was done with one job: the bag it is in, and what to tell the person."""

    bag: str
    message: str
    new: bool
    notes: tuple[str, ...] = ()


def put_away(
    folder: Path, archive: Path, *, now: dt.datetime, with_job: bool = True, job: Path | None = None
) -> PutAway:
    """Put one finished job away. `folder` is the dossier folder, or the job folder it was compiled from.

    `job` says where the job folder is when it does not lie beside the dossier under its usual name.
    """
    dossier, beside = _both_folders(folder)
    job = job or beside
    record, notes = _finished(dossier, now.date())
    _refuse_inside(archive, [one for one in (dossier, job) if one])
    of_record = bags.bag_name(record.payload.job, record.digest)
    kept = [bag for bag in bags.of_record(archive, record.digest) if not bag_check.check_bag(bag).problems]
    later = said_later(dossier)
    sources = [one for one in _files(dossier, "dossier") if one.content not in later]
    if with_job and not any((bag / "data" / "job").is_dir() for bag in kept):
        job_files, left_out = _of_job(job, folder, record)
        sources += job_files
        notes += left_out
    taken = (archive / bags.BAGS / of_record).exists()
    digests = _digests(sources) if kept or taken else set()
    if there := next((bag.name for bag in kept if digests <= bags.digests(bag)), ""):
        return PutAway(bag=there, new=False, message=_said("already", record, there))
    name = _name_of_more(record, digests) if taken else of_record
    if record.missing:
        notes.insert(0, WORDS.say("archive.put_away.not_all", folder=dossier))
    bags.write_readme(archive)
    readme = {put_later.README: WORDS.say("archive.bag_readme", job=record.payload.job, bag=of_record)}
    bags.make_bag(archive, name, sources, _bag_info(record, of_record, now), tags=readme)
    _catalogue(archive)
    return PutAway(bag=name, new=True, message=_said("done", record, name), notes=tuple(notes))


def said_later(folder: Path) -> list[Path]:
    """The statements and receipts that lie in the dossier: each is to be put away as what came later is.

    `folder` as in `put_away`. In a bag with the rest they would be unknown to the one that was there before.
    """
    dossier = folder if (folder / RECORD).is_file() else default_output(folder)
    return sorted(filter(put_later.is_one, dossier.iterdir())) if (dossier / RECORD).is_file() else []


def find(archive: Path, words: Sequence[str], *, rebuild: bool = False) -> list[Entry]:
    """Entries of the archive that hold every word."""
    require(archive)
    return _catalogue(archive, rebuild=rebuild).find(words)


def audit(archive: Path) -> Iterator[bag_check.BagReport]:
    """Re-hash every bag, one report each; and one for each that the catalogue knows of and that is gone.

    Links among the bags are named and not followed.
    """
    require(archive)
    folders, links = list(bags.bag_folders(archive)), bags.links(archive)
    for name in links:
        yield bag_check.BagReport(bag=name, problems=(WORDS.say("archive.audit.linked_bag"),))
    for name in Catalogue(archive).gone([*(folder.name for folder in folders), *links]):
        yield bag_check.BagReport(bag=name, problems=(WORDS.say("archive.audit.bag_gone"),))
    names = {folder.name for folder in folders}
    for folder in folders:
        report = bag_check.check_bag(folder)
        about = put_later.about_bag(folder)
        if about and about not in names:
            gone = WORDS.say("archive.later.alone", bag=about)
            report = msgspec.structs.replace(report, problems=(*report.problems, gone))
        if not _can_be_written_down(folder.name):
            no_text = WORDS.say("archive.audit.name")
            report = msgspec.structs.replace(report, problems=(*report.problems, no_text))
        yield report


def _both_folders(folder: Path) -> tuple[Path, Path | None]:
    """The dossier folder and, where it can be found, the job folder."""
    if (folder / RECORD).is_file():
        beside = folder.parent / folder.name.removesuffix("-dossier")
        return folder, beside if beside != folder and holds_job(beside) else None
    output = default_output(folder)
    if (output / RECORD).is_file() and not folder.is_file():
        return output, folder
    raise _not_finished(folder)


def _not_finished(given: Path) -> UsageError:
    """What was given instead of a finished dossier's folder, and what to give."""
    beside = next((f for f in (given, default_output(given)) if (f / DRAFT).is_file()), None)
    what, hint, made = "not_finished", "not_finished_hint", ""
    if not given.exists():
        what = "not_there"
    elif given.is_file():
        what, found = "file_given", _finished_near(given)
        hint, made = ("file_given_hint", quoted(found)) if found else (hint, "")
    elif beside:
        what, hint, made = "draft", "draft_hint", str(beside)
    elif holds_job(given):
        hint = "not_compiled_hint"
    message, said = (
        WORDS.say(f"archive.error.{key}", folder=given, made=made, job=quoted(given)) for key in (what, hint)
    )
    return UsageError(message, hint=said)


def _finished_near(file: Path) -> Path | None:
    """The finished dossier that a file lies in, or that was made of the job it lies in."""
    if (file.parent / RECORD).is_file():
        return file.parent
    job = job_around(file)
    return default_output(job) if job and (default_output(job) / RECORD).is_file() else None


def _refuse_inside(archive: Path, folders: Sequence[Path]) -> None:
    """An archive in what it is to hold would be put into itself, and lost with it."""
    home = archive.resolve()
    for folder in folders:
        if folder.resolve() in (home, *home.parents):
            raise UsageError(
                WORDS.say("archive.error.inside", archive=archive, folder=folder),
                hint=WORDS.say("archive.error.inside_hint"),
            )


def _finished(dossier: Path, today: dt.date) -> tuple[OpenRecord, list[str]]:
    """The record of a dossier folder that checks, and what to tell of it; a damaged one is not put away as if
    it were whole.
    """
    result = verify(dossier, Asked(today=today))
    if result.overall in ("altered", "unreadable"):
        why = next((c.text for c in result.checks if c.verdict == "does not match"), result.checks[0].text)
        raise UsageError(WORDS.say("archive.error.does_not_check", folder=dossier, why=why))
    trial = any(check.code == "key-trial" for check in result.checks)
    return _read(dossier / RECORD), [WORDS.say("archive.put_away.trial", folder=dossier)] if trial else []


def _read(path: Path) -> OpenRecord:
    sealed = sealed_record.from_json(ordinary.whole(path, MAX_RECORD))
    return sealed_record.open_record(sealed, "workshop")


def _of_job(job: Path | None, given: Path, record: OpenRecord) -> tuple[list[bags.Source], list[str]]:
    """The files of the job folder, and what to tell of those that are left out."""
    if not job:  # a bag is never added to: without its job it would stay so
        raise UsageError(
            WORDS.say("archive.error.no_job_folder", folder=given),
            hint=WORDS.say("archive.error.no_job_folder_hint"),
        )
    if not holds_job(job):
        raise UsageError(
            WORDS.say("archive.error.not_job_folder", folder=job),
            hint=WORDS.say("archive.error.no_job_folder_hint"),
        )
    _check_job_unchanged(job, record)
    kept, keys = _without_keys(_job_files(job))
    return kept, [WORDS.say("archive.put_away.key_left_out", file=key) for key in keys]


def _digests(sources: Sequence[bags.Source]) -> set[str]:
    """Of every file but those that a computer's own programs leave in folders."""
    paths = [one.content for one in sources if isinstance(one.content, Path)]
    return {_sha256(path) for path in paths if not is_system_file(path.name)}


def _name_of_more(record: OpenRecord, digests: set[str]) -> str:
    """Of a bag beside the record's own: another copy (they share a digest), or one that holds more."""
    own = hashlib.sha256("".join(sorted(digests)).encode()).hexdigest()
    return bags.bag_name(f"{record.payload.job}-copy-{own[:8]}", record.digest)


def _check_job_unchanged(job: Path, record: OpenRecord) -> None:
    """The job folder must still be the one the dossier was compiled from, as far as the record says."""
    for entry in record.apart.inputs:
        path = _input(job, entry.file)
        if path is None or _sha256(path) != entry.sha256:
            raise UsageError(
                WORDS.say("archive.error.changed_job", folder=job, file=entry.file),
                hint=WORDS.say("archive.error.changed_job_hint"),
            )


def _sha256(path: Path) -> str:
    try:
        return ordinary.sha256(path)
    except OSError as error:
        raise ArchiveError(WORDS.say("archive.error.unreadable", file=path, why=error.strerror)) from error


def _input(job: Path, name: str) -> Path | None:
    """A text the record was made from: in the job folder or, as workshop.toml may be, above it."""
    home = job.resolve()
    folders = (home, *home.parents) if name == SHARED else (home,)
    return next((folder / name for folder in folders if (folder / name).is_file()), None)


def _job_files(job: Path) -> list[bags.Source]:
    """The job folder, and the workshop's own file where it lies above."""
    sources = list(_files(job, "job"))
    shared = _input(job, SHARED)
    if shared is not None and shared.parent != job.resolve():
        sources.append(bags.Source(f"job/{SHARED}", shared))
    return sources


def _files(folder: Path, under: str) -> Iterator[bags.Source]:
    """All ordinary files below `folder`. Links are not followed: a bag holds what is there, not elsewhere."""
    for home, folders, names in os.walk(folder):
        folders[:] = sorted(f for f in folders if not (Path(home) / f).is_symlink())
        for name in sorted(names):
            path = Path(home) / name
            if path.is_symlink() or not path.is_file():
                raise UsageError(
                    WORDS.say("archive.error.not_a_file", file=path),
                    hint=WORDS.say("archive.error.not_a_file_hint"),
                )
            if not _can_be_written_down(path.relative_to(folder).as_posix()):
                raise UsageError(
                    WORDS.say("archive.error.unsafe_name", file=_shown(path)),
                    hint=WORDS.say("archive.error.unsafe_name_hint"),
                )
            yield bags.Source(f"{under}/{path.relative_to(folder).as_posix()}", path)


def _can_be_written_down(name: str) -> bool:
    """Whether a name is text; a disk may hold names that are none (PEP 383), and a manifest is UTF-8."""
    try:
        name.encode()
    except UnicodeEncodeError:
        return False
    return True


def _shown(path: Path) -> str:
    return str(path).encode(errors="replace").decode()


def _without_keys(sources: Sequence[bags.Source]) -> tuple[list[bags.Source], list[Path]]:
    """The sources without private keys, and the files of the keys: a reader of the archive must not sign."""
    keys = [s.content for s in sources if isinstance(s.content, Path) and _holds_key(s.content)]
    return [s for s in sources if s.content not in keys], keys


def _holds_key(path: Path) -> bool:
    try:
        if path.stat().st_size > KEY_BYTES:
            return False
        return KEY_LINE in path.read_bytes()
    except OSError as error:
        raise ArchiveError(WORDS.say("archive.error.unreadable", file=path, why=error.strerror)) from error


def _bag_info(record: OpenRecord, name: str, now: dt.datetime) -> dict[str, str]:
    payload = record.payload
    return {
        "Source-Organization": payload.workshop.name,
        "External-Description": WORDS.say("archive.info.description", object=payload.object.type),
        "External-Identifier": payload.record,
        "Internal-Sender-Identifier": payload.job,
        "Internal-Sender-Description": WORDS.say("archive.info.sender", digest=record.digest),
        "Bag-Group-Identifier": name,
        "Bagging-Date": now.date().isoformat(),
    }


def _catalogue(archive: Path, *, rebuild: bool = False) -> Catalogue:
    catalogue = Catalogue(archive)
    # The others are named by the audit.
    names = [one.name for one in bags.bag_folders(archive) if _can_be_written_down(one.name)]

    def read(name: str) -> Entry:
        return _entry(archive / bags.BAGS / name)

    if rebuild:
        catalogue.rebuild(names, read)
    else:
        catalogue.refresh(names, read)
    return catalogue


def _entry(bag: Path) -> Entry:
    """A bag as the catalogue lists it; one that cannot be read is still listed, by its name."""
    if (later := put_later.entry_of(bag)) is not None:
        return later
    try:
        record = _read(bag / "data" / "dossier" / RECORD)
    except (DossierError, OSError):
        said = (bags.info(bag, name) for name in ("Internal-Sender-Identifier", "External-Description"))
        return Entry(bag=bag.name, text="\n".join([bag.name, *said]))
    payload = record.payload
    owners = ", ".join(contact.name for contact in record.apart.owner)
    return Entry(
        bag=bag.name,
        record=payload.record,
        digest=record.digest,
        job=payload.job,
        object=payload.object.title or payload.object.type,
        maker=payload.object.maker.what,
        owner=owners,
        received=payload.dates.received,
        returned=payload.dates.returned,
        put_away=bags.info(bag, "Bagging-Date"),
        bytes=bags.size(bag),
        left_out=", ".join(WORDS.say(f"pages.left_out.{one.kind}", n=one.count) for one in record.missing),
        text="\n".join(_strings(to_plain(record))),
    )


def _strings(value: object) -> Iterator[str]:
    """Every text of a record, whatever it stands under."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for member in value.values():
            yield from _strings(member)
    elif isinstance(value, list):
        for member in value:
            yield from _strings(member)


def _said(key: str, record: OpenRecord, name: str) -> str:
    return WORDS.say(f"archive.put_away.{key}", job=record.payload.job, bag=name)


def require(archive: Path) -> None:
    """Raises UsageError where there is no archive."""
    if not (archive / bags.BAGS).is_dir():
        raise UsageError(
            WORDS.say("archive.error.not_archive", archive=archive),
            hint=WORDS.say("archive.error.not_archive_hint"),
        )
