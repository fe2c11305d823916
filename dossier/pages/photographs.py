"""The photographs of one copy: which can be shown, how they are numbered, and where each one stands.

Every photograph of the record keeps its number in every copy, also where the photograph itself is not in
the copy. No drawing here; the sections place the pictures.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Mapping
from functools import cached_property

import msgspec

from dossier.errors import PictureError
from dossier.model.covering import shows_work
from dossier.model.record import OpenRecord, PhotoDetails, Photograph, laid_name
from dossier.model.rows import Part, PhotoPlace, Work
from dossier.model.words import SIDE_OF_STAGE, Side
from dossier.pages.tagging.jpeg import read_jpeg

SIDES: tuple[Side, ...] = ("before", "during", "after")
_LEADING = re.compile(r"[0-9]{1,9}")
_NO_DETAILS = PhotoDetails(name="", file="")


class Shot(msgspec.Struct, frozen=True, dict=True):
    """One photograph: what every copy says of it, its own words where this copy has them, its picture."""

    number: int
    photograph: Photograph
    details: PhotoDetails
    in_copy: bool
    jpeg: bytes
    laid: Mapping[str, bytes]  # its picture in the frame of another one: by that one's name

    @property
    def name(self) -> str:
        return self.photograph.name

    @property
    def shown(self) -> bool:
        return bool(self.jpeg)

    @property
    def side(self) -> Side | None:
        stage = self.photograph.stage
        return self.photograph.side or (SIDE_OF_STAGE[stage] if stage else None)

    @property
    def places(self) -> tuple[PhotoPlace, ...]:
        """In the order of their numbers, as they are read aloud; what is no number comes last."""
        return tuple(sorted(self.details.places, key=_by_number))

    @cached_property
    def size(self) -> tuple[int, int]:
        """Pixels of the picture shown, from its own bytes (what is drawn is never stretched)."""
        try:
            picture = read_jpeg(self.jpeg)
        except PictureError:
            raise PictureError(f"{self.name}: this is not a JPEG that a page can show") from None
        return picture.width, picture.height


class Pair(msgspec.Struct, frozen=True):
    """Photographs of one view at different times, in the order of the work."""

    name: str
    shots: tuple[Shot, ...]

    @property
    def shown(self) -> tuple[Shot, ...]:
        return tuple(shot for shot in self.shots if shot.shown)

    def frame(self, shot: Shot) -> Shot | None:
        """The photograph of the pair in whose frame this one is shown beside it."""
        return next((other for other in self.shown if other.name in shot.laid), None)


class Shots:
    """All photographs of a record as one copy has them."""

    def __init__(self, record: OpenRecord, pictures: Mapping[str, bytes]) -> None:
        self.record = record
        self.all = tuple(
            _shot(record, pictures, photograph, place)
            for place, photograph in enumerate(record.payload.photographs, 1)
        )
        self.by_name = {shot.name: shot for shot in self.all}

    @cached_property
    def shown(self) -> tuple[Shot, ...]:
        return tuple(shot for shot in self.all if shot.shown)

    @cached_property
    def not_in_copy(self) -> tuple[Shot, ...]:
        return tuple(shot for shot in self.all if not shot.in_copy)

    @cached_property
    def by_part(self) -> dict[str, tuple[Shot, ...]]:
        found: dict[str, list[Shot]] = {}
        for shot in self.all:
            for part in shot.photograph.parts:
                found.setdefault(part, []).append(shot)
        return {part: tuple(shots) for part, shots in found.items()}

    def of_part(self, part: Part, now: Collection[str]) -> tuple[Shot, ...]:
        """Those that name a part, or show it with what it stands under that is only counted by its parts.

        Of such a whole none shows a part before the work that was missing, or after it one taken away.
        """
        not_on = {
            side for side, so in (("before", part.came_as == "missing"), ("after", "taken away" in now)) if so
        }
        by_whole = {
            shot.name
            for number in self.with_headings(part.number)[1:]
            for shot in self.by_part.get(number, ())
            if shot.side not in not_on
        }
        own = {shot.name for shot in self.by_part.get(part.number, ())}
        return tuple(shot for shot in self.all if shot.name in own | by_whole)

    @cached_property
    def cover(self) -> Shot | None:
        """The one chosen for the cover, else the first taken after the work, else the first there is."""
        rules: tuple[Callable[[Shot], bool], ...] = (
            lambda shot: shot.details.cover,
            lambda shot: shot.side == "after" and not shot.places,
            lambda shot: True,
        )
        return next((shot for rule in rules for shot in self.shown if rule(shot)), None)

    @cached_property
    def pairs(self) -> tuple[Pair, ...]:
        """Pairs in the order of their first photograph; those with one photograph alone are none."""
        groups: dict[str, list[Shot]] = {}
        for shot in self.all:
            if shot.photograph.pair:
                groups.setdefault(shot.photograph.pair, []).append(shot)
        return tuple(Pair(name, _in_order(shots)) for name, shots in groups.items() if len(shots) > 1)

    @cached_property
    def mapped(self) -> tuple[Shot, ...]:
        return tuple(shot for shot in self.shown if shot.places)

    @cached_property
    def known_by(self) -> tuple[Shot, ...]:
        """Photographs of the features that set the object apart."""
        return self.named(row.photograph for row in self.record.payload.know_it_by)

    @cached_property
    def covered(self) -> tuple[Shot, ...]:
        """Photographs of work that was covered afterwards, taken while it could be seen."""
        rows = [work for work in self.record.payload.work if work.covered == "yes"]
        showing = {shot.name for work in rows for shot in self.of_covered(work)}
        return tuple(shot for shot in self.shown if shot.name in showing)

    def of_covered(self, work: Work) -> tuple[Shot, ...]:
        """Those that show the parts of a row of work that was covered afterwards, as it left them."""
        parts = {name for number in work.parts for name in self.with_headings(number)}
        return tuple(
            shot
            for shot in self.shown
            if shows_work(work, shot.photograph.stage, shot.details.taken)
            and parts.intersection((*shot.photograph.parts, *(place.part for place in shot.places)))
        )

    def with_headings(self, number: str) -> list[str]:
        """A part, and what it stands under that is only counted by its parts: a photograph of it shows it."""
        met = [number]
        while (above := self._above.get(met[-1], "")) and above not in met and above not in self._counted:
            met.append(above)
        return met

    @cached_property
    def _above(self) -> dict[str, str]:
        return {part.number: part.part_of for part in self.record.payload.parts}

    @cached_property
    def _counted(self) -> frozenset[str]:
        return frozenset(row.part for row in self.record.payload.parts_now)

    @cached_property
    def others(self) -> tuple[Shot, ...]:
        """What no section shows by a rule of its own: the grid, so that every photograph is on a page."""
        # One that is shown in another's frame is shown as it was taken, too.
        pairs = (pair for pair in self.pairs if len(pair.shown) > 1)
        placed = {shot.name for pair in pairs for shot in pair.shown if not pair.frame(shot)}
        for shots in (self.mapped, self.covered, (self.cover,)):  # with their captions, as `known_by` has not
            placed.update(shot.name for shot in shots if shot)
        return tuple(shot for shot in self.shown if shot.name not in placed)

    def named(self, names: Iterable[str]) -> tuple[Shot, ...]:
        """The photographs of these names that can be shown, each once."""
        found = (self.by_name.get(name) for name in dict.fromkeys(names))
        return tuple(shot for shot in found if shot and shot.shown)


def _by_number(place: PhotoPlace) -> tuple[bool, int, str]:
    """ "2" before "10", "10" before "10a", all of them before "A"."""
    digits = _LEADING.match(place.number)
    return digits is None, int(digits[0]) if digits else 0, place.number


def _in_order(shots: list[Shot]) -> tuple[Shot, ...]:
    return tuple(sorted(shots, key=lambda shot: SIDES.index(shot.side) if shot.side else len(SIDES)))


def _shot(record: OpenRecord, pictures: Mapping[str, bytes], photograph: Photograph, place: int) -> Shot:
    details = record.photo_details.get(photograph.name)
    return Shot(
        number=_number(photograph.name, place),
        photograph=photograph,
        details=details or _NO_DETAILS,
        in_copy=details is not None,
        # A picture whose words are not in this copy is not shown, even if somebody hands it in.
        jpeg=pictures.get(photograph.name, b"") if details else b"",
        laid=_laid(details, pictures) if details else {},
    )


def _laid(details: PhotoDetails, pictures: Mapping[str, bytes]) -> dict[str, bytes]:
    found = ((one.over, pictures.get(laid_name(details.name, one.over), b"")) for one in details.laid)
    return {over: jpeg for over, jpeg in found if jpeg}


def _number(name: str, place: int) -> int:
    digits = name.rpartition(".")[0].rpartition("-")[2]
    return int(digits) if digits.isascii() and digits.isdigit() and len(digits) < 7 else place
