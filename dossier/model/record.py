"""The payload of the sealed record, version 1 (schemas/FORMAT.md, schemas/record.schema.json).

`Payload` is what is signed. What a copy may leave out stands in it only as a digest, in arrays under the
fixed keys of `Apart` and under `Photograph.details`; `OpenRecord` is a payload with the disclosures of one
copy opened. Pages are drawn from an `OpenRecord` and nothing else.
"""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from dossier.model.annotation import Annotation
from dossier.model.counted import Account, PartHistory, PartNow
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
    Part,
    PhotoPlace,
    Plating,
    Protected,
    Row,
    Value,
    Work,
    Worker,
)
from dossier.model.words import CopyKind, ForWhom, Side, Stage

FORMAT_VERSION = "1.0"
TYP_RECORD = "restoration-record+sd-jwt"
TYP_CODE = "application/restoration-code+cose"
# What some text members look like (ECMA-262 syntax common to Python, matched whole).
FORMAT_PATTERN = r"1\.(0|[1-9][0-9]{0,3})"
RECORD_PATTERN = r"urn:uuid:[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}"
NAME_PATTERN = r"photo-[0-9]{3,6}\.[a-z0-9]{1,5}"
DAY_PATTERN = r"[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])"
LAST_SECOND = 253402300799  # 9999-12-31T23:59:59Z
_FIRST_SECOND = dt.datetime(1970, 1, 1, tzinfo=dt.UTC)

Sha256Hex = Annotated[str, Meta(pattern="^[0-9a-f]{64}$")]
Digest64 = Annotated[str, Meta(pattern="^[A-Za-z0-9_-]{43}$")]


class Digest(Row, frozen=True, kw_only=True, rename={"digest": "..."}, forbid_unknown_fields=True):
    """An array element left to a disclosure (RFC 9901 section 4.2.4.2)."""

    digest: Digest64


Slot = tuple[Digest, ...]


class WorkshopId(Row, frozen=True, kw_only=True):
    """The workshop as it names itself, with its public keys (RFC 7517 members; kid is RFC 7638)."""

    name: str
    address: str = ""
    telephone: str = ""
    email: str = ""
    website: str = ""
    verification_page: str = ""
    keys: tuple[dict[str, str], ...] = ()  # public JWKs
    signatures: tuple[str, ...] = ()  # algorithms that must be there; can only add to the workshop's card


Group = Literal[
    "kept", "worked_on", "part_renewed", "new", "earlier", "not_known", "changed", "undone", "gone", "hidden"
]


class Sentence(Row, frozen=True, kw_only=True):
    """One sentence of the disclosure, as it was said, traceable to its rows ("parts/7", "work/3")."""

    group: Group
    text: str
    rows: tuple[str, ...] = ()


class Caution(Row, frozen=True, kw_only=True):
    """A caution for whoever handles or works on the object next, with where it comes from."""

    code: str
    text: str
    source: str = ""
    rows: tuple[str, ...] = ()


class Reckoning(Row, frozen=True, kw_only=True):
    """A figure worked out from what a row says: a conversion, a plating, a cut. The row stays as written."""

    code: str
    given: str = ""  # as written
    text: str
    formula: str = ""
    source: str = ""
    rows: tuple[str, ...] = ()


class Gap(Row, frozen=True, kw_only=True):
    """Something this record does not say and should; said openly."""

    code: str
    text: str
    rows: tuple[str, ...] = ()


class Photograph(Row, frozen=True, kw_only=True):
    """One photograph: what stands in every copy under a neutral name; the rest is one disclosure."""

    name: str  # photo-001.jpg
    bytes: int
    sha256: Sha256Hex
    media_type: str
    stage: Stage | None = None
    side: Side | None = None
    parts: tuple[str, ...] = ()
    pair: str = ""
    details: Slot = ()  # exactly one


class Laid(Row, frozen=True, kw_only=True):
    """This photograph laid over the one it is shown beside, or why it was not.

    `homography`: nine decimals, row by row, in parts of 1,000 of each picture's longer side from its upper
    left corner: a place (x, y) of the photograph `over` is at (u/w, v/w) of this one, with (u, v, w) =
    homography (x, y, 1). `residual`: median misfit in those parts; `inliers` of the `measured` places lie
    within 1. The picture shown has the frame of the photograph `over`, white where this one shows nothing.
    """

    over: str  # neutral name
    homography: tuple[str, ...] = ()
    residual: str = ""
    inliers: int = 0
    measured: int = 0
    shown_sha256: str = ""  # of the JPEG placed on the page, hex
    shown_width: int = 0
    shown_height: int = 0
    refused: str = ""  # word of the catalogue, with `figures`
    figures: dict[str, str] = msgspec.field(default_factory=dict)


class PhotoDetails(Row, frozen=True, kw_only=True):
    """The one disclosure of a photograph: its own name, words, and everything computed from it."""

    name: str  # of the photograph it belongs to
    file: str
    caption: str = ""
    taken: str = ""
    taken_zone: str = ""
    clock: str = ""  # how wrong the workshop says the camera's clock was ("1 h fast"); put right in `taken`
    camera: str = ""
    body_digest: str = ""
    software: str = ""
    profile: str = ""
    width: int = 0
    height: int = 0
    orientation: int = 1
    cover: bool = False
    private: bool = False  # copies for others are made without it
    places: tuple[PhotoPlace, ...] = ()
    annotations: tuple[Annotation, ...] = ()  # the same places, as W3C Web Annotations
    shown_sha256: str = ""  # of the JPEG placed on the page, hex
    shown_width: int = 0
    shown_height: int = 0
    laid: tuple[Laid, ...] = ()
    problem: str = ""


def laid_name(name: str, over: str) -> str:
    """What the picture of a photograph laid over another goes by among the pictures of a copy."""
    return f"{name} over {over}"


class Apart(Row, frozen=True, kw_only=True):
    """What a copy may leave out besides photographs. Each key is an array of digests, in clear sight."""

    owner: Slot = ()
    brought_by: Slot = ()
    payer: Slot = ()
    received_by: Slot = ()
    agreement_details: Slot = ()
    prices: Slot = ()
    values: Slot = ()
    private_marks: Slot = ()
    private_notes: Slot = ()
    inputs: Slot = ()


class Payload(Row, frozen=True, kw_only=True):
    """What the workshop signs."""

    format: str  # FORMAT_VERSION
    sd_alg: str = msgspec.field(name="_sd_alg")  # "sha-256"
    iat: int  # seconds since 1970-01-01T00:00:00Z
    record: str  # urn:uuid:...
    job: str
    language: str
    workshop: WorkshopId
    people: tuple[Worker, ...] = ()
    firms: tuple[Firm, ...] = ()
    object: Object
    know_it_by: tuple[Feature, ...] = ()
    marks: tuple[Mark, ...] = ()
    for_whom: ForWhom
    dates: Dates = Dates()
    looked_at: LookedAt = LookedAt()
    condition: str = ""
    agreements: tuple[Agreement, ...] = ()
    advised: tuple[Advice, ...] = ()
    parts: tuple[Part, ...] = ()
    work: tuple[Work, ...] = ()
    parts_now: tuple[PartNow, ...] = ()
    account: tuple[Account, ...] = ()
    part_history: tuple[PartHistory, ...] = ()
    disclosure: tuple[Sentence, ...] = ()
    cautions: tuple[Caution, ...] = ()
    gaps: tuple[Gap, ...] = ()
    measurements: tuple[Measurement, ...] = ()
    plating: tuple[Plating, ...] = ()
    calculations: tuple[Calculation, ...] = ()
    protected: tuple[Protected, ...] = ()
    reckonings: tuple[Reckoning, ...] = ()
    photographs: tuple[Photograph, ...] = ()
    notes: tuple[Note, ...] = ()
    history: tuple[HistoryClaim, ...] = ()
    earlier_records: tuple[EarlierRecord, ...] = ()
    handover: Handover = Handover()
    apart: Apart = Apart()


class Price(Row, frozen=True, kw_only=True):
    """What the work cost, as written."""

    amount: str


class Input(Row, frozen=True, kw_only=True):
    """A text file the record was made from. Its digest could let a price be guessed, so it stands apart."""

    file: str
    bytes: int
    sha256: Sha256Hex


class OpenApart(Row, frozen=True, kw_only=True):
    """The opened disclosures of one copy; empty where there was nothing or where it was left out."""

    owner: tuple[Contact, ...] = ()
    brought_by: tuple[Contact, ...] = ()
    payer: tuple[Contact, ...] = ()
    received_by: tuple[Contact, ...] = ()
    agreement_details: tuple[AgreementDetail, ...] = ()
    prices: tuple[Price, ...] = ()
    values: tuple[Value, ...] = ()
    private_marks: tuple[Mark, ...] = ()
    private_notes: tuple[Note, ...] = ()
    inputs: tuple[Input, ...] = ()


class Missing(Row, frozen=True, kw_only=True):
    """What is not in this copy: the kind and how many."""

    kind: str  # a word of model.words.LeftOut
    count: int


class Unsealed(Row, frozen=True, kw_only=True):
    """A record before sealing: the payload with empty slots, and what will stand apart."""

    payload: Payload
    apart: OpenApart
    photo_details: tuple[PhotoDetails, ...] = ()  # same order and length as payload.photographs


class Signature(Row, frozen=True, kw_only=True):
    """One JWS signature (RFC 7515): base64url protected header and base64url signature."""

    protected: str
    signature: str


class Sealed(Row, frozen=True, kw_only=True):
    """The sealed record as it stands in a file: payload bytes, signatures, disclosures in fixed order."""

    payload: bytes
    signatures: tuple[Signature, ...]
    disclosures: tuple[str, ...] = ()  # base64url, RFC 9901 section 4.2


class OpenRecord(Row, frozen=True, kw_only=True):
    """A payload with one copy's disclosures opened: what pages are drawn from."""

    payload: Payload
    digest: Sha256Hex  # SHA-256 of the payload's bytes
    apart: OpenApart = OpenApart()
    photo_details: dict[str, PhotoDetails] = msgspec.field(default_factory=dict)  # by neutral name
    missing: tuple[Missing, ...] = ()
    copy: CopyKind = "workshop"


def shown_pictures(record: OpenRecord) -> dict[str, str]:
    """The digest of every picture that the pages of this copy show, by its name (`laid_name`)."""
    details = record.photo_details
    shown = {d.name: d.shown_sha256 for d in details.values() if d.shown_sha256}
    for d in details.values():
        for laid in d.laid:
            if laid.shown_sha256 and laid.over in details:
                shown[laid_name(d.name, laid.over)] = laid.shown_sha256
    return shown


def moment(iat: int) -> dt.datetime:
    """When it was signed, by `iat`. Reckoned, since Windows knows no day after the year 3000 (gmtime_s)."""
    return _FIRST_SECOND + dt.timedelta(seconds=iat)
