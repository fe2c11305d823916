"""A copy of a dossier made by whoever holds it: some things left out, no key needed, the record still checks.

Everything comes from the dossier it is made of: the sealed record, the pictures on its pages, its certificate
and time-stamp. The pages are not signed, and say so; a check draws them again. Not done here: what may be
left out (`seal.copies`), drawing and writing (`compiling.writing`). The dossier it is made of is not touched.
"""

from __future__ import annotations

from pathlib import Path

import msgspec

from dossier.container.pictures import placed_pictures
from dossier.container.read import bytes_of, read_dossier
from dossier.errors import DossierError, UnreadableError, UsageError
from dossier.flows import along, bagged, dossier_near, output
from dossier.flows import dossier_files as files
from dossier.model.record import OpenRecord, Sealed, moment, shown_pictures
from dossier.model.words import CopyKind
from dossier.pages.options import PageOptions
from dossier.seal import record as seal
from dossier.seal.record import RecordCheck
from dossier.words import Catalogue

WORDS = Catalogue()
SMALL = 64 << 20  # bytes of any file that is carried over
_CARRIED = (files.RECORD, files.PAGES, files.CERTIFICATE, files.STAMP)


class Made(msgspec.Struct, frozen=True, kw_only=True):
    """What was made, for the person to see."""

    pdf: Path
    copy: CopyKind
    not_in_copy: tuple[tuple[str, int], ...]  # kind, how many
    along: tuple[str, ...] = ()  # what the workshop said later, by file


def make_copy(
    source: Path,
    target: Path,
    copy: CopyKind,
    without: frozenset[str] = frozenset(),
    *,
    replace: bool = False,
) -> Made:
    """Make the folder `target` from the dossier at `source` (its PDF or its folder).

    `without`: neutral names of photographs to leave out besides. Raises UnreadableError where the source is
    no dossier, UsageError where its record does not check or a photograph is not in it, OutputError.
    """
    source = bagged.dossier_in(source)
    pdf = source / files.DOSSIER if source.is_dir() else source
    output.check_target(target, replace=replace)
    try:
        carried = _carried(pdf)
    except UnreadableError as error:
        hint = error.hint or dossier_near.hint(source, WORDS.say("copy.not_a_dossier_hint"))
        raise UnreadableError(f"{pdf}: {error.message}", code=error.code, hint=hint) from error
    if source.is_dir() and source.resolve() in target.resolve().parents:
        raise UsageError(
            WORDS.say("copy.inside", target=target, source=source), hint=WORDS.say("copy.inside_hint")
        )
    fuller = seal.from_json(carried[files.RECORD])
    checked = _checked(fuller, pdf)
    sealed, record = seal.copy_of(fuller, checked, copy, without)
    pictures = _pictures(pdf, record)
    with output.output_folder(target, replace=replace) as aside:
        from dossier.flows.compiling import writing  # noqa: PLC0415 - reportlab, only once all is known to be in order

        options = _options(record, carried[files.PAGES], checked)
        writing.write_held(aside, writing.Held(sealed, record, options, carried), pictures)
        names = along.carry(source, aside)
    missing = tuple((one.kind, one.count) for one in record.missing)
    return Made(pdf=target / files.DOSSIER, copy=copy, not_in_copy=missing, along=names)


def _carried(pdf: Path) -> dict[str, bytes]:
    """The small files inside, and the key card that lies beside."""
    found = {a.name: a for a in read_dossier(pdf).attachments}
    missing = [name for name in _CARRIED if name not in found and name not in files.OPTIONAL]
    if missing or any(found[name].length > SMALL for name in _CARRIED if name in found):
        raise UnreadableError(WORDS.say("verify.unreadable.attachment-missing"), code="attachment-missing")
    texts = {name: bytes_of(pdf, found[name]) for name in _CARRIED if name in found}
    card = pdf.parent / files.KEY_CARD
    if card.is_file() and not card.is_symlink() and card.stat().st_size <= SMALL:
        texts[files.KEY_CARD] = card.read_bytes()
    return texts


def _checked(sealed: Sealed, pdf: Path) -> RecordCheck:
    """The record's own check: no copy is made of one that does not match, since none of it would check."""
    checked = seal.check(sealed, WORDS)
    wrong = [answer.code for answer in checked.checks if answer.verdict == "does not match"]
    if wrong or not checked.kids or checked.record is None:
        code = wrong[0] if wrong else "record-shape"
        raise UsageError(
            WORDS.say("copy.not_in_order", file=pdf, code=code), hint=WORDS.say("copy.not_in_order_hint")
        )
    return checked


def _pictures(pdf: Path, record: OpenRecord) -> dict[str, bytes]:
    """The pictures this copy shows, by the digests that the record has of them. Raises UsageError."""
    placed, shown = placed_pictures(pdf), shown_pictures(record)
    if differ := sorted(name for name, digest in shown.items() if digest not in placed):
        raise UsageError(
            WORDS.say("copy.picture_differs", file=pdf, names=", ".join(differ)),
            hint=WORDS.say("copy.not_in_order_hint"),
        )
    return {name: placed[digest] for name, digest in shown.items()}


def _options(record: OpenRecord, pages: bytes, checked: RecordCheck) -> PageOptions:
    try:
        drawn: files.Drawn = files.drawn_from(pages)
    except (DossierError, ValueError):
        raise UnreadableError(
            WORDS.say("verify.unreadable.attachment-missing"), code="attachment-missing"
        ) from None
    return PageOptions(
        paper=drawn.paper,
        language=drawn.language,
        code_text=drawn.code,
        fingerprint=checked.fingerprint,
        created=moment(record.payload.iat),
        originals="none",
        trial_key=checked.trial_key,
        by_holder=True,
    )
