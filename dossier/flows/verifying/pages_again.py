"""Draws a dossier's pages again from its record and says where the file's pages differ.

Everything comes from the record, from the pictures in the file (known by the digests the record holds) and
from `pages.json`. Not done here: judging what a difference means.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import msgspec

from dossier.container.compare import compare_pages
from dossier.container.layout import date_string
from dossier.container.pictures import placed_pictures
from dossier.errors import PictureError
from dossier.flows.dossier_files import HOW_TO, STAMP, Drawn, described
from dossier.model.container import AttachmentFound
from dossier.model.record import OpenRecord, moment, shown_pictures
from dossier.pages import document, how_to_check
from dossier.pages.drawing import PROGRAM
from dossier.pages.fonts import missing_glyphs
from dossier.pages.options import PageOptions
from dossier.pages.script_fonts import has_extra
from dossier.pages.tagging.effort import within
from dossier.seal.record import RecordCheck
from dossier.words import Catalogue


class Differences(msgspec.Struct, frozen=True, kw_only=True):
    """Where the pages differ: pictures by their photograph, pages by number, other parts by name."""

    pictures: tuple[str, ...] = ()
    pages: tuple[int, ...] = ()
    others: tuple[str, ...] = ()
    same_program: bool = True
    how_to: bool = False  # whether the text on how to check is another one, by the same program


def differences(
    path: Path,
    record: OpenRecord,
    drawn: Drawn,
    checked: RecordCheck,
    how_to: bytes,
    attached: Sequence[AttachmentFound],
    most: int | None = None,
) -> Differences:
    """Compare the pages at `path` with the pages drawn again, and what comes with them.

    `how_to`: the text on how to check. `attached`: the attachments, whose words and days a viewer shows.
    `most`: how much drawing may take (`pages.tagging.effort`), where it is bounded.

    Raises TooMuchError, UnreadableError, or ValueError where the fonts to draw them with are not all here.
    """
    _have_fonts(record)
    placed = placed_pictures(path)
    wanted = shown_pictures(record)
    pictures = {name: placed[digest] for name, digest in wanted.items() if digest in placed}
    missing = tuple(sorted(set(wanted) - set(pictures)))
    options = options_of(record, drawn, checked)
    strange = [placed[digest] for digest in placed.keys() - set(wanted.values())]
    # One alone can be told. Drawn without it, what follows would move, and pages be named that are right.
    instead = {missing[0]: strange[0]} if len(missing) == len(strange) == 1 else {}
    with within(most):
        again = _draw(record, pictures, instead, options)
    found = compare_pages(path, again)
    counts = (f"{found.counts[0]} pages, {found.counts[1]} drawn",) if found.counts else ()
    same = drawn.program == PROGRAM
    stamped = any(one.name == STAMP for one in attached)
    said_otherwise = how_to != how_to_check.text(record, options, stamped=stamped).encode()
    beside = described_otherwise(attached, options)
    return Differences(
        pictures=missing,
        pages=found.pages,
        others=(
            *counts,
            *found.others,
            *beside,
            *(["language"] if drawn.language != record.payload.language else []),
            *([HOW_TO] if said_otherwise and not same else []),
        ),
        same_program=same,
        how_to=said_otherwise and same,
    )


def _draw(
    record: OpenRecord, pictures: Mapping[str, bytes], instead: Mapping[str, bytes], options: PageOptions
) -> bytes:
    """The pages, with what stands `instead` of a recorded picture in its place where a page can show that."""
    try:
        return document.draw(record, {**pictures, **instead}, options)
    except PictureError:
        if not instead:
            raise
    return document.draw(record, pictures, options)


def described_otherwise(attached: Sequence[AttachmentFound], options: PageOptions) -> list[str]:
    """Attachments beside which a viewer shows other words, or another day, than the ones put there."""
    words, day = Catalogue(options.language), date_string(options.created)
    return [
        f"words beside {one.name}"
        for one in attached
        if (one.description, one.modified) != (described(one.name, words), day)
    ]


def _have_fonts(record: OpenRecord) -> None:
    """Pages whose fonts (of the extra) are missing here cannot be drawn; that says nothing of them."""
    if has_extra():
        return
    text = msgspec.json.encode(record).decode("utf-8")
    if missing := missing_glyphs("".join(dict.fromkeys(text))):
        raise ValueError(f"no font here has {missing!r}")


def options_of(record: OpenRecord, drawn: Drawn, checked: RecordCheck) -> PageOptions:
    """How the pages were drawn, as far as it is not the record that says it."""
    return PageOptions(
        paper=drawn.paper,
        language=drawn.language,
        code_text=drawn.code,
        fingerprint=checked.fingerprint,
        created=moment(record.payload.iat),
        originals=drawn.originals,
        time_places=drawn.time_places,
        trial_key=checked.trial_key,
        by_holder=drawn.by_holder,
    )
