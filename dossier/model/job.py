"""A job as read from its folder: the input of everything, located but not yet judged."""

from __future__ import annotations

import msgspec

from dossier.model.aids import AidKind, TargetMade
from dossier.model.finding import At
from dossier.model.rows import (
    Advice,
    Agreement,
    AgreementDetail,
    Calculation,
    Contact,
    Dates,
    EarlierRecord,
    Feature,
    Firm,
    Handover,
    HistoryClaim,
    LookedAt,
    Mark,
    Measurement,
    Note,
    Object,
    OtherPart,
    Part,
    PhotoPlace,
    PhotoRow,
    Plating,
    Protected,
    TakenIn,
    Value,
    Work,
    Worker,
)
from dossier.model.words import Done, ForWhom, RuleAnswer, Stage


class TradeRule(msgspec.Struct, frozen=True, kw_only=True):
    """What goes with what: a product or way of working on a material (rules.toml)."""

    name: str
    answer: RuleAnswer
    use: tuple[str, ...] = ()  # words looked for in product and how; none: any
    done: tuple[Done, ...] = ()  # only for this work; none: any
    on: tuple[str, ...] = ()  # words looked for in the material
    unless: tuple[str, ...] = ()  # phrases whose words do not count
    hot_from: int = 0  # only where a temperature of so many degrees Celsius or more is written; 0: any
    why: str = ""
    source: str = ""


class Workshop(msgspec.Struct, frozen=True, kw_only=True):
    """`workshop.toml`, typed once for all jobs."""

    name: str
    address: str = ""
    telephone: str = ""
    email: str = ""
    website: str = ""
    verification_page: str = ""
    language: str = "en"
    paper: str = "A4"  # "A4" or "Letter"
    time_zone: str = "UTC"  # IANA name
    key: str = ""  # path of the private key, as written, relative to workshop.toml
    certificate: str = ""
    second_key: str = ""  # of a second signature on the record
    key_card: str = ""
    time_servers: tuple[str, ...] = ()  # addresses of RFC 3161 servers, asked in this order
    time_places: int = 0  # fields in the PDF for time-stamps of later years
    colour_target: TargetMade | None = None  # when the workshop's colour target was made
    people: tuple[Worker, ...] = ()
    firms: tuple[Firm, ...] = ()
    rules: tuple[TradeRule, ...] = ()  # rules.toml beside workshop.toml


class PhotoFacts(msgspec.Struct, frozen=True, kw_only=True):
    """What a photograph file says of itself, read without decoding its pixels."""

    file: str  # name inside photos/, with "/" as separator
    bytes: int
    modified: int | None = None  # when it was last written, in nanoseconds as the system counts them
    media_type: str = ""  # "" when it is no picture this program reads
    width: int = 0  # upright, in pixels
    height: int = 0
    orientation: int = 1  # EXIF 1-8
    taken: str = ""  # ISO 8601 local time with offset and sub-seconds where given; "" when not said
    taken_zone: str = ""  # "file": offset in the file; "job": the job's zone was assumed; "": no time
    clock: str = ""  # how wrong the camera's clock was, as stated; `taken` is put right by it
    satellite: str = ""  # the time from satellites that the file has beside `taken`, ISO 8601, UTC
    camera: str = ""  # make and model
    body_digest: str = ""  # SHA-256 hex of the body serial number, "" when none
    software: str = ""
    profile: str = ""  # name of the embedded colour profile, "other" where it is no well-known one
    has_position: bool = False  # GPS position present (never published)
    preview: bool = False  # a DNG: size, profile and picture are those of the largest JPEG preview in it
    problem: str = ""  # why it cannot serve, in plain words; "" when it can
    besides: bool = False  # a film or a raw file, as a camera lays one beside a picture of the same name
    unopened: bool = False  # nobody has looked into it: what the problem is lies outside the file

    def fits(self, length: int, modified: int) -> bool:
        """Whether a file so long that was last written then is still the one that was looked at."""
        return length == self.bytes and self.modified in (None, modified)


class Aid(msgspec.Struct, frozen=True, kw_only=True):
    """Something on a photograph to measure by, or to measure (`marks.csv`); never in a record.

    `at`: parts of 1,000 of the upright picture's width and height, with decimals, x0, y0, x1, y1 ...
    `step`: the finest of them was written to so many parts of 1,000 ("12.5 %" is 1).
    """

    number: str
    kind: AidKind
    at: tuple[float, ...]
    step: float = 1.0
    lengths: tuple[float, ...] = ()  # of a scale, in mm: one for two points, two sides for four corners
    made: TargetMade | None = None  # of a target
    size: str = ""  # as written
    part: str = ""
    note: str = ""  # of a colour: the name of the place


class Job(msgspec.Struct, frozen=True, kw_only=True):
    number: str  # the workshop's job number
    language: str = "en"
    stage: Stage | None = None  # as typed; usually derived from the dates
    workshop: Workshop
    object: Object
    know_it_by: tuple[Feature, ...] = ()
    marks: tuple[Mark, ...] = ()
    owner: Contact | None = None
    brought_by: Contact | None = None
    payer: Contact | None = None
    received_by: Contact | None = None  # who took the object back
    for_whom: ForWhom = "private owner"
    dates: Dates = Dates()
    looked_at: LookedAt = LookedAt()
    condition: str = ""
    agreements: tuple[Agreement, ...] = ()
    agreement_details: tuple[AgreementDetail, ...] = ()
    advised: tuple[Advice, ...] = ()
    parts: tuple[Part, ...] = ()
    work: tuple[Work, ...] = ()
    measurements: tuple[Measurement, ...] = ()
    plating: tuple[Plating, ...] = ()
    calculations: tuple[Calculation, ...] = ()
    protected: tuple[Protected, ...] = ()
    photo_rows: tuple[PhotoRow, ...] = ()  # one per photograph, in the order they are numbered
    photo_facts: tuple[PhotoFacts, ...] = ()  # same order and length as photo_rows
    photo_places: dict[str, tuple[PhotoPlace, ...]] = msgspec.field(default_factory=dict)  # by file
    photo_aids: dict[str, tuple[Aid, ...]] = msgspec.field(default_factory=dict)  # by file
    notes: tuple[Note, ...] = ()
    values: tuple[Value, ...] = ()
    history: tuple[HistoryClaim, ...] = ()
    earlier_records: tuple[EarlierRecord, ...] = ()
    earlier_paths: tuple[str, ...] = ()  # as typed, of each of `earlier_records`
    other_parts: tuple[OtherPart, ...] = ()
    taken_in: TakenIn = TakenIn()
    handover: Handover = Handover()
    price: str = ""  # the bill as written, with its currency; private
    inputs: tuple[tuple[str, int, str], ...] = ()  # text inputs: name, bytes, SHA-256 hex
    # row key -> place: "parts/7", "work/3", "photos/IMG_1.jpg", "job/object.maker"
    where: dict[str, At] = msgspec.field(default_factory=dict)
