"""The files of a dossier, made from a sealed copy: pages, attachments, signature, photographs as they came.

Written into a folder that is still aside; nothing here replaces anything. Not done here: reading the job,
sealing (`compile`).
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec

from dossier import durable
from dossier.container.write import Attachment, pieces, write_dossier
from dossier.durable import flush
from dossier.errors import ChangedError
from dossier.flows import dossier_files as files
from dossier.flows.compiling.clock import Clock
from dossier.model.record import OpenRecord, Sealed
from dossier.pages import card, document, how_to_check, linked_data, sheet, sheet_text
from dossier.pages.drawing import PROGRAM
from dossier.pages.options import PageOptions
from dossier.seal import keyfiles, keys, pdf
from dossier.seal import record as seal
from dossier.words import Catalogue

if TYPE_CHECKING:
    from _hashlib import HASH

WORDS = Catalogue()
_AT_ONCE = 2  # files on their way to the disk; more take the processor from what draws
# Bytes of an original that are copied at once: for each time, a thread has to get Python from what draws.
_PIECE = 8 << 20
Begin = Callable[..., None]  # of a function and its arguments


class Original(msgspec.Struct, frozen=True, kw_only=True):
    """One photograph as it came, under the neutral name it gets."""

    name: str
    path: Path
    media_type: str
    bytes: int
    sha256: str


class Signed(msgspec.Struct, frozen=True):
    """A sealed copy and what its files are made with."""

    sealed: Sealed
    record: OpenRecord
    options: PageOptions
    key: keys.Signer
    clock: Clock
    key_card: bytes = b""


def write_draft(aside: Path, record: OpenRecord, pictures: Mapping[str, bytes], options: PageOptions) -> None:
    """The pages alone, unsigned."""
    durable.write(aside / files.DRAFT, document.draw(record, pictures, options))


def originals_of(photographs: Path, record: OpenRecord) -> list[Original]:
    """The photographs of this copy as they came in the folder `photographs`, under their neutral names."""
    return [
        Original(
            name=p.name,
            path=photographs / record.photo_details[p.name].file,
            media_type=p.media_type,
            bytes=p.bytes,
            sha256=p.sha256,
        )
        for p in record.payload.photographs
        if p.name in record.photo_details
    ]


@contextmanager
def _meanwhile() -> Iterator[Begin]:
    """Begins what waits for the disk, while what waits for the processor goes on; in the end all is done.

    Raises what the first of them that failed raised.
    """
    with ThreadPoolExecutor(_AT_ONCE) as several:
        begun: list[Future[None]] = []
        try:
            yield lambda work, *arguments: begun.append(several.submit(work, *arguments))
            for one in begun:
                one.result()
        except BaseException:
            several.shutdown(cancel_futures=True)
            raise


def write_signed(aside: Path, signed: Signed, pictures: Mapping[str, bytes], photographs: Path) -> None:
    """All files of a signed dossier into the folder `aside`; the originals come from `photographs`."""
    options, record = signed.options, signed.record
    originals = originals_of(photographs, record) if options.originals != "none" else []
    texts = _texts(signed)
    with _meanwhile() as begin:
        _put_beside(begin, aside, texts, signed.key_card)
        if options.originals == "beside" and originals:
            _copy_originals(begin, aside / files.PHOTOGRAPHS, originals, texts[files.MANIFEST])
        inside = originals if options.originals == "inside" else []
        pages = document.draw(record, pictures, options)
        begin(_write_papers, begin, aside, record, pictures, options)
        write_dossier(  # not begun beside the papers: it is long, and Ctrl-C is heard here alone
            aside / files.DOSSIER,
            pages,
            _attachments(texts, inside, options.created, Catalogue(options.language)),
            lambda path, before: _sign(path, signed, before),
        )


class Held(msgspec.Struct, frozen=True):
    """What a holder makes another copy with. `carried`: files of the copy it is made of, as they are."""

    sealed: Sealed
    record: OpenRecord
    options: PageOptions
    carried: Mapping[str, bytes]


def write_held(aside: Path, held: Held, pictures: Mapping[str, bytes]) -> None:
    """All files of a copy made by a holder into the folder `aside`: no signature of pages, no originals."""
    options, record = held.options, held.record
    texts = {
        **_record_texts(held.sealed, record),
        files.PAGES: files.drawn_bytes(_drawn(record, options)),
        files.HOW_TO: how_to_check.text(record, options, stamped=files.STAMP in held.carried).encode(),
        **{name: held.carried[name] for name in (files.CERTIFICATE, files.STAMP) if name in held.carried},
    }
    attached = _attachments(texts, [], options.created, Catalogue(options.language))
    with _meanwhile() as begin:
        _put_beside(begin, aside, texts, held.carried.get(files.KEY_CARD, b""))
        pages = document.draw(record, pictures, options)
        begin(_write_papers, begin, aside, record, pictures, options)
        write_dossier(aside / files.DOSSIER, pages, attached, None)


def _put_beside(begin: Begin, aside: Path, texts: Mapping[str, bytes], key_card: bytes) -> None:
    for name in files.BESIDE:
        if name in texts:
            begin(durable.write, aside / name, texts[name])
    if key_card:
        begin(durable.write, aside / files.KEY_CARD, key_card)


def _write_papers(
    begin: Begin, aside: Path, record: OpenRecord, pictures: Mapping[str, bytes], options: PageOptions
) -> None:
    """The sheet in its three forms and the cards; none of them is signed."""
    begin(durable.write, aside / files.SHEET, sheet.draw_sheet(record, pictures, options))
    begin(durable.write, aside / files.SHEET_TEXT, sheet_text.text(record, options).encode())
    begin(durable.write, aside / files.SHEET_LINKED, linked_data.linked_data(record, options))
    begin(durable.write, aside / files.CARD, card.draw_card(record, pictures, options))


def _record_texts(sealed: Sealed, record: OpenRecord) -> dict[str, bytes]:
    """The record in its two forms, and the list of this copy's photographs."""
    return {
        files.RECORD: seal.to_json(sealed),
        files.COMPACT: seal.to_compact(sealed),
        files.MANIFEST: files.manifest(record),
    }


def _texts(signed: Signed) -> dict[str, bytes]:
    """The small files of a dossier, by name."""
    stamp = signed.clock.over_record(signed.sealed)
    return {
        **_record_texts(signed.sealed, signed.record),
        files.CERTIFICATE: keyfiles.certificate_pem(signed.key),
        files.PAGES: files.drawn_bytes(_drawn(signed.record, signed.options)),
        files.HOW_TO: how_to_check.text(signed.record, signed.options, stamped=bool(stamp)).encode(),
        **({files.STAMP: stamp} if stamp else {}),
    }


def _drawn(record: OpenRecord, options: PageOptions) -> files.Drawn:
    return files.Drawn(
        program=PROGRAM,
        copy=record.copy,
        language=options.language,
        paper=options.paper,
        originals=options.originals,
        code=options.code_text,
        time_places=options.time_places,
        by_holder=options.by_holder,
    )


def _attachments(
    texts: Mapping[str, bytes], originals: Sequence[Original], created: dt.datetime, words: Catalogue
) -> list[Attachment]:
    small = [
        Attachment(
            name=name,
            media_type=files.ATTACHED[name].media_type,
            relationship=files.ATTACHED[name].relationship,
            description=files.described(name, words),
            source=content,
            size=len(content),
            sha256=hashlib.sha256(content).hexdigest(),
            created=created,
        )
        for name, content in texts.items()
    ]
    large = [
        Attachment(
            name=o.name,
            media_type=o.media_type,
            relationship=files.PHOTOGRAPH_RELATIONSHIP,
            description=files.described(o.name, words),
            source=o.path,
            size=o.bytes,
            sha256=o.sha256,
            created=created,
        )
        for o in originals
    ]
    return [*small, *large]


def _sign(path: Path, signed: Signed, before: HASH) -> None:
    workshop = signed.record.payload.workshop
    pdf.sign_pdf(
        path,
        signed.key,
        when=signed.options.created,
        name=workshop.name,
        reason=Catalogue(signed.options.language).say("compile.reason", record=signed.record.payload.record),
        stamp=signed.clock.over_signature,
        before=before,
    )


def _copy_originals(begin: Begin, folder: Path, originals: Sequence[Original], listing: bytes) -> None:
    """The photographs byte for byte; one that has changed since it was hashed stops the run."""
    folder.mkdir()
    begin(durable.write, folder / files.MANIFEST, listing)
    for original in originals:
        begin(_copy_original, folder / original.name, original)


def _copy_original(target: Path, original: Original) -> None:
    digest = hashlib.sha256()
    with target.open("xb") as copy:
        for piece in pieces(original.path, min(_PIECE, max(original.bytes, 1))):
            digest.update(piece)
            copy.write(piece)
        flush(copy)
    if digest.hexdigest() != original.sha256:
        said = WORDS.say("compile.changed", file=original.path.name)
        raise ChangedError(said, hint=WORDS.say("compile.changed_hint"))
