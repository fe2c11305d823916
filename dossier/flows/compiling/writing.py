"""The files of a dossier, made from a sealed copy: pages, attachments, signature, photographs as they came.

Written into a folder that is still aside; nothing here replaces anything. Not done here: reading the job,
sealing (`compile`).
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec

from dossier import durable
from dossier.container.write import Attachment, write_dossier
from dossier.durable import flush
from dossier.errors import OutputError
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
_AT_ONCE = 4  # originals that are copied, each of which waits for the disk in the end


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


def write_signed(aside: Path, signed: Signed, pictures: Mapping[str, bytes], photographs: Path) -> None:
    """All files of a signed dossier into the folder `aside`; the originals come from `photographs`."""
    options, record = signed.options, signed.record
    originals = originals_of(photographs, record) if options.originals != "none" else []
    texts = _texts(signed)
    for name in files.BESIDE:
        if name in texts:
            durable.write(aside / name, texts[name])
    if signed.key_card:
        durable.write(aside / files.KEY_CARD, signed.key_card)
    # Copying waits for the disk, drawing for the processor.
    with ThreadPoolExecutor(1) as meanwhile:
        copying = None
        if options.originals == "beside" and originals:
            folder = aside / files.PHOTOGRAPHS
            copying = meanwhile.submit(_copy_originals, folder, originals, texts[files.MANIFEST])
        _write_papers(aside, record, pictures, options)
        inside = originals if options.originals == "inside" else []
        write_dossier(
            aside / files.DOSSIER,
            document.draw(record, pictures, options),
            _attachments(texts, inside, options.created, Catalogue(options.language)),
            lambda path, before: _sign(path, signed, before),
        )
        if copying:
            copying.result()


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
    for name in files.BESIDE:
        if name in texts:
            durable.write(aside / name, texts[name])
    if files.KEY_CARD in held.carried:
        durable.write(aside / files.KEY_CARD, held.carried[files.KEY_CARD])
    _write_papers(aside, record, pictures, options)
    attached = _attachments(texts, [], options.created, Catalogue(options.language))
    write_dossier(aside / files.DOSSIER, document.draw(record, pictures, options), attached, None)


def _write_papers(
    aside: Path, record: OpenRecord, pictures: Mapping[str, bytes], options: PageOptions
) -> None:
    """The sheet in its three forms and the cards; none of them is signed."""
    durable.write(aside / files.SHEET, sheet.draw_sheet(record, pictures, options))
    durable.write(aside / files.SHEET_TEXT, sheet_text.text(record, options).encode())
    durable.write(aside / files.SHEET_LINKED, linked_data.linked_data(record, options))
    durable.write(aside / files.CARD, card.draw_card(record, pictures, options))


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


def _copy_originals(folder: Path, originals: Sequence[Original], listing: bytes) -> None:
    """The photographs byte for byte; one that has changed since it was hashed stops the run."""
    folder.mkdir()
    with ThreadPoolExecutor(_AT_ONCE) as several:
        copies = [several.submit(_copy_original, folder, original) for original in originals]
        try:
            for copy in copies:
                copy.result()
        except BaseException:
            several.shutdown(cancel_futures=True)
            raise
    durable.write(folder / files.MANIFEST, listing)


def _copy_original(folder: Path, original: Original) -> None:
    digest = hashlib.sha256()
    with original.path.open("rb") as source, (folder / original.name).open("xb") as target:
        while chunk := source.read(1 << 20):
            digest.update(chunk)
            target.write(chunk)
        flush(target)
    if digest.hexdigest() != original.sha256:
        raise OutputError(WORDS.say("compile.changed", file=original.path.name))
