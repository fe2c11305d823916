"""What `dossier photographs` writes: a proposal of `photos.csv`, and a contact sheet to look at.

Invariants: nothing is ever written over, where the disk knows links not even by two runs at once; the sheet
lies outside the job folder; the proposal has every row the job has, with what is written there.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

import msgspec

from dossier import durable
from dossier.errors import OutputError, UsageError
from dossier.flows import bagged
from dossier.flows.output import lies_in
from dossier.flows.photographs import Looked, Pair, Photo
from dossier.intake.schema import TABLES
from dossier.intake.template_plain import table_csv
from dossier.model.rows import PhotoRow
from dossier.pictures.contact import Cell, Strip, draw
from dossier.words import Catalogue

PLAIN, PROPOSED = "photos.csv", "photos.proposed.csv"
_WORKBOOK = "job.xlsx"
_SHEET_KINDS = (".jpg", ".jpeg")


def proposal_name(folder: Path) -> str:
    """`photos.csv`; where the job has that or a workbook already, `photos.proposed.csv`."""
    taken = {path.name.casefold() for path in folder.iterdir()}
    return PROPOSED if taken & {PLAIN, _WORKBOOK} else PLAIN


def how_it_is_read(folder: Path, path: Path) -> str:
    """What is still to be done, as a word of the catalogue; "" where the proposal is read as it stands."""
    if path.name == PLAIN:
        return ""
    return "into_workbook" if (folder / _WORKBOOK).exists() else "rename"


def write_proposal(folder: Path, looked: Looked, pairs: Sequence[Pair], words: Catalogue) -> Path:
    """The proposal in the job folder. Raises OutputError where it is there already or cannot be written."""
    path = folder / proposal_name(folder)
    write_new(path, table_csv(TABLES["photos"], [_values(row) for row in _rows(looked, pairs)]), words)
    return path


def _rows(looked: Looked, pairs: Sequence[Pair]) -> list[PhotoRow]:
    paired = {
        photo.row.file: (pair.name, photo.row.stage) for pair in pairs for photo in (pair.before, pair.after)
    }
    nothing = ("", None)
    return [
        msgspec.structs.replace(
            row,
            pair=row.pair or paired.get(row.file, nothing)[0],
            stage=row.stage or paired.get(row.file, nothing)[1],
        )
        for row in looked.job.photo_rows
    ]


def _values(row: PhotoRow) -> dict[str, object]:
    values = {name: getattr(row, name) for name in row.__struct_fields__}
    for name, value in values.items():
        if isinstance(value, tuple):
            values[name] = "; ".join(value)
        elif value is None or value is False:
            values[name] = ""
    return values


def write_new(path: Path, content: bytes, words: Catalogue) -> None:
    """Flushed under another name and closed, then given its own, which must be free."""
    bagged.refuse(path)
    try:
        durable.put(path, content)
    except FileExistsError as error:
        raise OutputError(
            words.say("evidence.flow.exists", file=path), hint=words.say("evidence.flow.exists_hint")
        ) from error
    except OSError as error:
        why = error.strerror or type(error).__name__
        raise OutputError(words.say("evidence.flow.not_written", file=path, why=why)) from error


def check_sheet(folder: Path, sheet: Path, words: Catalogue) -> None:
    """Refuses early a sheet that could not be written at the end. Raises UsageError, OutputError."""
    if sheet.suffix.casefold() not in _SHEET_KINDS:
        raise UsageError(
            words.say("evidence.flow.sheet_kind", file=sheet),
            hint=words.say("evidence.flow.sheet_kind_hint"),
        )
    if lies_in(sheet, folder):
        raise UsageError(words.say("evidence.flow.inside"), hint=words.say("evidence.flow.inside_hint"))
    bagged.refuse(sheet)
    _check_free((sheet, _further(sheet, 2)), words)


def _check_free(paths: Iterable[Path], words: Catalogue) -> None:
    if there := next((path for path in paths if path.exists()), None):
        raise OutputError(
            words.say("evidence.flow.exists", file=there), hint=words.say("evidence.flow.exists_hint")
        )


def write_sheet(
    folder: Path, sheet: Path, looked: Looked, pairs: Sequence[Pair], words: Catalogue
) -> list[Path]:
    """Proposed pairs, the weakest first, then those written in the job, then the rest; where written."""
    from dossier.pages.fonts import pieces  # noqa: PLC0415 - start-up: only a sheet needs the pages' fonts

    check_sheet(folder, sheet, words)
    strips = [*_proposed(pairs, words), *_given(looked, words), *_alone(looked, pairs, words)]
    sheets = {_further(sheet, number): drawn for number, drawn in enumerate(draw(strips, pieces), 1)}
    _check_free(sheets, words)
    for path, drawn in sheets.items():
        write_new(path, drawn, words)
    return list(sheets)


def _further(sheet: Path, number: int) -> Path:
    """Many photographs take several: sheet.jpg, sheet-2.jpg."""
    return sheet if number == 1 else sheet.with_stem(f"{sheet.stem}-{number}")


def _proposed(pairs: Sequence[Pair], words: Catalogue) -> list[Strip]:
    weakest_first = sorted(pairs, key=lambda pair: pair.proposal.matches)
    return [Strip(head=_head(pair, words), cells=_cells((pair.before, pair.after))) for pair in weakest_first]


def _head(pair: Pair, words: Catalogue) -> str:
    confidence = words.say(f"evidence.sheet.{pair.proposal.confidence}")
    return words.say("evidence.sheet.pair", pair=pair.name, confidence=confidence, n=pair.proposal.matches)


def _given(looked: Looked, words: Catalogue) -> list[Strip]:
    groups: dict[str, list[Photo]] = {}
    for photo in looked.photos:
        if photo.row.pair:
            groups.setdefault(photo.row.pair, []).append(photo)
    return [
        Strip(head=words.say("evidence.sheet.given", pair=name), cells=_cells(some))
        for name, some in groups.items()
    ]


def _alone(looked: Looked, pairs: Sequence[Pair], words: Catalogue) -> list[Strip]:
    paired = {photo.row.file for pair in pairs for photo in (pair.before, pair.after)}
    rest = [photo for photo in looked.photos if not photo.row.pair and photo.row.file not in paired]
    return [Strip(head=words.say("evidence.sheet.alone"), cells=_cells(rest))] if rest else []


def _cells(photos: Sequence[Photo]) -> tuple[Cell, ...]:
    return tuple(Cell(small=photo.small, words=photo.row.file) for photo in photos)
