"""What can be said, before anything is signed, of the key that workshop.toml names, and of the code on pages.

Reads the certificate alone, never a private key. Not done here: whether the key fits it, or the workshop's
card allows it (`compiling/keys.py`, which opens them).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from dossier.errors import KeyFileError, UsageError
from dossier.flows.shell import quoted
from dossier.intake.workshop import workshop_folder
from dossier.model.earlier import EarlierOpened
from dossier.model.finding import At, Finding, Level
from dossier.model.job import Job, Workshop
from dossier.model.record import WorkshopId
from dossier.words import Catalogue

CODES: dict[str, Level] = {
    "code-too-long": "error",
    "workshop-not-named": "gap",
    "no-key": "note",
    "key-not-there": "note",
    "certificate-other-name": "gap",
}
_FILES = ("key", "certificate", "second_key", "key_card")
_SHORT = 60  # letters of page and job number that any code has room for
_ANY = "urn:uuid:00000000-0000-4000-8000-000000000000"
_TOKEN = "pkcs11:"  # RFC 7512


def look(folder: Path, job: Job, words: Catalogue) -> list[Finding]:
    """The findings about the key, at the file that names it; none without a workshop.toml."""
    at = job.where.get("workshop")
    if at is None:
        return []
    if job.workshop.name == words.table("template.example.workshop")["name"]:
        return [_finding("workshop-not-named", At(file=at.file), words, name=job.workshop.name)]
    if not job.workshop.key:
        name = job.workshop.name or words.say("signing.your_name")
        return [_finding("no-key", At(file=at.file), words, name=quoted(name))]
    home = workshop_folder(folder)
    missing = [*_missing(job.workshop, home, at, words)]
    return missing or [*_other_name(job.workshop, home, at, words)]


def look_at_code(job: Job, words: Catalogue, earlier: Sequence[EarlierOpened] = ()) -> list[Finding]:
    """That the code has no room for the workshop's page and the job's number: nothing could be compiled."""
    page = job.workshop.verification_page
    if page.isascii() and len(page) + len(job.number.encode("utf-8")) <= _SHORT:
        return []
    from dossier.account.payload import build  # noqa: PLC0415 - start-up: only for a long one
    from dossier.seal import code  # noqa: PLC0415 - see above

    workshop = WorkshopId(name=job.workshop.name)
    unsealed = build(job, words, workshop=workshop, pictures=(), iat=0, record_id=_ANY, earlier=earlier)
    try:
        code.has_room(unsealed.payload, page)
    except UsageError as error:
        at = At(file=job.where["workshop"].file) if "workshop" in job.where else At()
        return [Finding(code="code-too-long", level="error", message=error.message, hint=error.hint, at=at)]
    return []


def _missing(workshop: Workshop, home: Path, at: At, words: Catalogue) -> Iterator[Finding]:
    for kind in _FILES:
        named = getattr(workshop, kind)
        if named and not named.startswith(_TOKEN) and not (home / named).is_file():
            yield _finding("key-not-there", At(file=at.file), words, **{"file": named, "as": kind})


def _other_name(workshop: Workshop, home: Path, at: At, words: Catalogue) -> Iterator[Finding]:
    if not workshop.certificate:
        return
    from dossier.seal import chains, keyfiles, names, trial  # noqa: PLC0415 - start-up: signatures, only with a key

    try:
        certificate = keyfiles.load_certificate(home / workshop.certificate)
    except KeyFileError:
        return  # said when it is opened, with what to give instead
    other = names.other_name(certificate, workshop.name)
    if other and not trial.is_trial(chains.kid_of(certificate)):
        values = {"other": other, "workshop": workshop.name, "name": quoted(workshop.name)}
        yield _finding("certificate-other-name", At(file=at.file), words, **values)


def _finding(code: str, at: At, words: Catalogue, **values: str) -> Finding:
    message, hint = (words.say(f"signing.{code}.{part}", **values) for part in ("message", "hint"))
    return Finding(code=code, level=CODES[code], message=message, hint=hint, at=at)
