"""The rows people type, shared by the job (what was read) and the record (what is signed).

Every field a row does not state is the empty value, and the empty value means "not said", never "no".
Dates are ISO 8601 calendar dates as text ("2026-03-14"; a year or year-month where only that is known).
"""

from __future__ import annotations

from typing import Literal

import msgspec

from dossier.model.words import (
    SIDE_OF_STAGE,
    Answer,
    CameAs,
    Checked,
    Covered,
    CutKind,
    Done,
    KnownFrom,
    MayBeShown,
    PlaceKind,
    Seen,
    Side,
    Stage,
    StitchHoles,
    ThicknessIs,
    YesNo,
)


class Row(msgspec.Struct, frozen=True, kw_only=True):
    """Base of every value of the record: immutable; `model.plain` writes it."""


class Claim(Row, frozen=True, kw_only=True):
    """Something said of the object, with what it is known from (Object ID: maker, date, place)."""

    what: str = ""
    known_from: KnownFrom = "not known"


class Object(Row, frozen=True, kw_only=True):
    """The object, in Object ID's categories (Object ID 1.1-1.11)."""

    type: str
    title: str = ""
    description: str = ""
    subject: str = ""
    maker: Claim = Claim()
    made: Claim = Claim()  # date or period
    place: Claim = Claim()  # place of origin
    materials: tuple[str, ...] = ()
    inventory_number: str = ""
    related_papers: tuple[str, ...] = ()
    related_objects: tuple[str, ...] = ()


class Feature(Row, frozen=True, kw_only=True):
    """Something no other object has, and where to look for it."""

    what: str
    where: str = ""
    photograph: str = ""  # in a job: the file's own name; in a record: the neutral name
    places: tuple[str, ...] = ()  # numbers of the places on that photograph that show it


class Mark(Row, frozen=True, kw_only=True):
    """An inscription, stamp, number or label. A private one stands only in a disclosure."""

    text: str
    kind: str = ""
    where: str = ""
    known_from: KnownFrom = "seen"
    photograph: str = ""
    private: bool = False


class Contact(Row, frozen=True, kw_only=True):
    """A private person or firm around the job (owner, bringer, payer, receiver)."""

    name: str
    address: str = ""
    telephone: str = ""
    email: str = ""


class Worker(Row, frozen=True, kw_only=True):
    """Somebody of the workshop. A staff mark may stand for a name on every copy."""

    mark: str
    name: str = ""
    role: str = ""


class Firm(Row, frozen=True, kw_only=True):
    """An outside firm that did some of the work."""

    mark: str
    name: str = ""
    place: str = ""
    does: str = ""


class Dates(Row, frozen=True, kw_only=True):
    asked: str = ""
    received: str = ""
    looked_at: str = ""
    agreed: str = ""
    opened: str = ""
    begun: str = ""
    done: str = ""
    returned: str = ""


class LookedAt(Row, frozen=True, kw_only=True):
    """How the object was examined (EN 16095: conditions of inspection)."""

    by: str = ""
    how: tuple[str, ...] = ()
    light: str = ""
    reason: str = ""
    could_not_see: tuple[str, ...] = ()
    found_inside: tuple[str, ...] = ()


class Agreement(Row, frozen=True, kw_only=True):
    """One thing asked and answered. The clear part; the details are a disclosure of their own."""

    number: str
    asked: str = ""
    answered: str = ""
    answer: Answer = "no answer yet"


class AgreementDetail(Row, frozen=True, kw_only=True):
    number: str
    what: str = ""
    how: str = ""  # by letter, on the telephone, ...
    by: str = ""  # who answered
    price: str = ""  # as written, with its currency


class Advice(Row, frozen=True, kw_only=True):
    """Work advised and left undone."""

    what: str
    why_not: str = ""
    parts: tuple[str, ...] = ()


class Part(Row, frozen=True, kw_only=True):
    """One row of `parts.csv`."""

    number: str
    part: str
    part_of: str = ""  # number of the part that contains this one
    pieces: int = 1
    seen: Seen = "outside"
    came_as: CameAs = "not known"
    known_from: KnownFrom = "not known"
    material: str = ""
    condition: str = ""
    measure: str = ""  # as written, e.g. "12.5 dm2"
    # For what is new now:
    new_material: str = ""
    made_by: str = ""
    why: str = ""
    difference: str = ""
    told_by: str = ""  # how the new can be told from the old
    undone_by: str = ""  # how it can be undone
    old_piece: str = ""  # where the old piece is now
    kept_why: str = ""  # why a worn part was kept
    why_otherwise: str = ""  # what shows that an earlier record reads this part wrongly


class Work(Row, frozen=True, kw_only=True):
    """One row of `work.csv`: the only place where what was done is typed."""

    number: int  # counted from 1 in the order of the file
    date: str = ""
    who: str = ""  # staff mark or firm mark
    parts: tuple[str, ...] = ()  # part numbers, "all others" already resolved
    pieces: int = 0  # 0: all pieces of each part; else that many of the one part named
    done: Done
    how: str = ""
    product: str = ""
    batch: str = ""
    agreed_on: str = ""  # agreement number
    covered: Covered = "not said"
    test: str = ""  # test spot and its result
    stitch_holes: StitchHoles = ""  # whether the old stitch holes were used
    holes_before: int | None = None  # counted
    holes_after: int | None = None


class Measurement(Row, frozen=True, kw_only=True):
    what: str
    value: str  # as written
    unit: str = ""
    part: str = ""
    how: str = ""
    plus_minus: str = ""
    date: str = ""


class Plating(Row, frozen=True, kw_only=True):
    """What the plater states of one plating. Figures are kept as written."""

    parts: tuple[str, ...] = ()
    by: str = ""  # mark of the firm or person
    date: str = ""
    metal: str = ""
    karat: str = ""  # "14 kt", "585"
    base: str = ""  # what is under it
    thickness: str = ""
    thickness_is: ThicknessIs = ""
    known_from: KnownFrom = "not known"
    stripped: YesNo = ""  # the old plating taken off first
    polished: YesNo = ""  # polished first
    stamps: str = ""  # what became of stamps and edges
    density: str = ""  # of the alloy
    current: str = ""
    time: str = ""
    area: str = ""
    efficiency: str = ""
    valence: str = ""  # charge of the metal in the bath: 1 for Au(I), 3 for Au(III)


class Calculation(Row, frozen=True, kw_only=True):
    """The sizes that a cut was worked out from, as written; the result is a `Reckoning` of the record."""

    what: str
    kind: CutKind
    parts: tuple[str, ...] = ()
    cavity_length: str = ""
    cavity_width: str = ""
    leather: str = ""  # thickness after skiving
    board: str = ""  # thickness
    turn_in: str = ""
    seam: str = ""  # margin outside the seam


class Protected(Row, frozen=True, kw_only=True):
    """A part that is or may be of a listed species: what a permit asks for, as far as it is known."""

    species: str  # scientific name, as far as known
    what: str = ""  # skin, veneer, inlay
    parts: tuple[str, ...] = ()
    quantity: str = ""
    acquired: str = ""  # when the material was acquired or taken from the wild, or about when
    origin: str = ""  # country of origin
    source: str = ""  # wild, bred, before the species was listed
    known_from: KnownFrom = "not known"
    permit: str = ""  # number of a permit or certificate


class PhotoPlace(Row, frozen=True, kw_only=True):
    """A numbered place on a photograph (`marks.csv`).

    `at` holds per-mille of the upright picture's width and height, x0, y0, x1, y1 ...: one pair for a
    point, two opposite corners for a box, three pairs or more for an outline.
    """

    number: str
    kind: PlaceKind
    at: tuple[int, ...]
    part: str = ""
    note: str = ""


class PhotoRow(Row, frozen=True, kw_only=True):
    """One row of `photos.csv`."""

    file: str
    stage: Stage | None = None
    parts: tuple[str, ...] = ()
    pair: str = ""
    caption: str = ""
    cover: bool = False
    private: bool = False  # leave this photograph out of the copies for others
    clock: str = ""  # how wrong the camera's clock was, as "1 h 2 min fast"

    @property
    def side(self) -> Side | None:
        """Before, during or after the work; None where its stage is not known."""
        return SIDE_OF_STAGE[self.stage] if self.stage else None


class Note(Row, frozen=True, kw_only=True):
    title: str
    text: str  # Markdown as written
    private: bool = False


class Value(Row, frozen=True, kw_only=True):
    """An opinion of worth, always a range with its date and basis. Private."""

    when: str = ""  # "before" or "after"
    low: str
    high: str
    currency: str
    date: str = ""
    by: str = ""
    basis: str = ""
    own: bool = False  # the workshop's own opinion; else that of the one named in `by`
    # After less before by the same one, least and most by interval arithmetic; "" where it does not follow.
    change_low: str = ""
    change_high: str = ""


class HistoryClaim(Row, frozen=True, kw_only=True):
    """Something known of the object before this job, with its basis."""

    what: str
    date: str = ""
    by: str = ""
    known_from: KnownFrom = "not known"
    parts: tuple[str, ...] = ()
    done: Done | Literal[""] = ""  # what was done to the parts, where a paper says so
    pieces: int = 0  # 0: all pieces of each part


class EarlierRecord(Row, frozen=True, kw_only=True):
    """An earlier sealed record, tied in by digest. `checked`: what the workshop saw when it read the file."""

    record: str  # urn:uuid
    sha256: str  # of its payload, hex
    job: str = ""
    workshop: str = ""
    date: str = ""
    checked: Checked = ""
    object: str = ""  # what it is of, where that is another object than this one


class OtherPart(Row, frozen=True, kw_only=True):
    """A part that came from another object which has a record: its number here and there."""

    part: str
    record: str  # in a job: the path as typed; in a record: urn:uuid of one of `earlier_records`
    number: str


class TakenIn(Row, frozen=True, kw_only=True):
    """What was said when the object came in: for the receipt alone, never in a record."""

    with_it: tuple[str, ...] = ()  # what came with the object
    asked: tuple[str, ...] = ()
    leave: tuple[str, ...] = ()  # to be left as it is
    spend_at_most: str = ""  # without asking; as written, with its currency
    wanted_back: str = ""
    may_be_shown: MayBeShown = ""


class Handover(Row, frozen=True, kw_only=True):
    """What goes to the owner with the object (who received it is private)."""

    date: str = ""
    with_it: tuple[str, ...] = ()
    care: tuple[str, ...] = ()
    guarantee: str = ""
    next_look: str = ""
