# ruff: noqa: E501 - rows of invented data are long
"""A rich invented job for the page tests: a travelling writing slope, with fourteen made-up pictures.

Nothing here is of a real object, person or firm.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import io
from typing import Any

import numpy as np
from PIL import Image, ImageDraw, ImageFilter

from dossier.account.lines import account_of
from dossier.account.parts import parts_now
from dossier.model.record import (
    Apart,
    Caution,
    Digest,
    Gap,
    OpenApart,
    Payload,
    PhotoDetails,
    Photograph,
    Price,
    Sentence,
    WorkshopId,
)
from dossier.model.rows import (
    Advice,
    Agreement,
    AgreementDetail,
    Claim,
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
    Value,
    Work,
    Worker,
)

CREATED = dt.datetime(2026, 9, 21, 10, 30, tzinfo=dt.UTC)
_SLOT = (Digest(digest="A" * 43),)

PARTS = (
    Part(number="1", part="Carcase", seen="outside", came_as="original", known_from="seen", material="walnut, veneered on pine", condition="veneer lifting at two corners; one shrinkage crack, 140 mm, in the base"),
    Part(number="2", part="Brass corners", pieces=8, seen="outside", came_as="original", known_from="seen", material="cast brass", condition="dull; two loose"),
    Part(number="3", part="Brass pins of the corners", pieces=64, part_of="2", seen="outside", came_as="original", known_from="our opinion", material="brass", condition="nine missing or broken", new_material="brass", made_by="workshop", why="nine were missing", difference="none that can be seen", told_by="the new pins have no file marks under the head", undone_by="can be drawn with the old ones", old_piece="two broken shanks in a bag, given back"),
    Part(number="4", part="Writing surface", seen="inside", came_as="earlier replacement", known_from="seen", material="paper-backed leather cloth", condition="torn, ink stained, stuck with a rubber glue", new_material="goatskin, vegetable tanned, 0.7 mm", made_by="Jt and HB, by hand", why="the earlier covering was torn through and could not be made safe", difference="plain border; the first tooling is not known", told_by="dated in pencil on the board underneath", undone_by="wheat starch paste: lifts with moisture", old_piece="with the owner"),
    Part(number="5", part="Lock", seen="outside", came_as="from another object", known_from="our opinion", material="steel and brass", condition="two older screw holes filled beside it; works"),
    Part(number="6", part="Key", seen="outside", came_as="missing", known_from="owner says", new_material="steel", made_by="Kessler locksmiths", why="lost before the object came", difference="plain bow", told_by="stamped 2026 under the bow", undone_by="can be put aside", old_piece=""),
    Part(number="7", part="Inkwell, left", seen="inside", came_as="original", known_from="seen", material="pressed glass, brass cap", condition="sound", kept_why="the worn cap carries the owner’s initials"),
    Part(number="8", part="Inkwell, right", seen="inside", came_as="missing", known_from="seen"),
    Part(number="9", part="Pen tray", seen="inside", came_as="original", known_from="seen", material="walnut", condition="ink stains"),
    Part(number="10", part="Secret drawer", seen="hidden", came_as="original", known_from="seen", material="mahogany", condition="jammed"),
    Part(number="11", part="Spring of the secret drawer", seen="hidden", part_of="10", came_as="not known", known_from="not known", material="steel", condition="rusted"),
    Part(number="12", part="Hinges", pieces=2, seen="inside", came_as="original", known_from="seen", material="brass", condition="one knuckle cracked"),
    Part(number="13", part="Boards under the writing surface", pieces=2, seen="hidden", came_as="original", known_from="seen", material="pine", condition="woodworm holes, old; glue residue"),
    Part(number="14", part="Baize of the underside", seen="outside", came_as="later addition", known_from="our opinion", material="wool baize, green", condition="moth holes"),
)  # fmt: skip

WORK = (
    Work(number=1, date="2026-03-16", who="HB", parts=("1", "2", "3", "5", "7", "9", "12"), done="cleaned", how="dry brush, then swabs", product="deionised water", covered="no", test="two spots under the base: no colour lifted"),
    Work(number=2, date="2026-03-18", who="HB", parts=("10",), done="repaired", how="freed; runner glued", product="hide glue", batch="HG-26-02", agreed_on="A2", covered="yes"),
    Work(number=3, date="2026-03-18", who="HB", parts=("11",), done="not examined", how="cannot be reached without taking the carcase apart", covered="yes"),
    Work(number=4, date="2026-03-24", who="Jt", parts=("1",), done="part renewed", how="veneer at two corners, 18 x 25 mm in all, old walnut", product="hide glue", batch="HG-26-02", agreed_on="A1", covered="no"),
    Work(number=5, date="2026-03-30", who="Jt", parts=("3",), pieces=9, done="replaced", how="turned and fitted in the old holes", agreed_on="A1", covered="no"),
    Work(number=6, date="2026-04-02", who="HB", parts=("4",), done="replaced", how="pared, pasted, edges tooled blind", product="wheat starch paste", batch="WSP-11", agreed_on="A1", covered="no"),
    Work(number=7, date="2026-04-02", who="HB", parts=("13",), done="cleaned", how="rubber glue taken off dry", covered="yes"),
    Work(number=8, date="2026-04-10", who="KL", parts=("6",), done="added", how="filed to the lock", agreed_on="A3", covered="no"),
    Work(number=9, date="2026-04-14", who="Jt", parts=("12",), done="secured", how="cracked knuckle pinned", agreed_on="A1", covered="not said"),
    Work(number=10, date="2026-04-16", who="HB", parts=("1",), done="fed or protected", how="two thin coats, rubbed", product="beeswax polish", batch="BW-4", covered="no", test="one coat on the base, a day before"),
    Work(number=11, date="2026-04-16", who="HB", parts=("14",), done="left as found", how="advised against by nobody, kept for its age", covered="no"),
)  # fmt: skip

SENTENCES = (
    Sentence(group="kept", text="Left as found: the baize of the underside, a later addition, kept for its age.", rows=("parts/14",)),
    Sentence(group="worked_on", text="Cleaned: carcase, brass corners and their pins, lock, left inkwell, pen tray and hinges.", rows=("work/1",)),
    Sentence(group="worked_on", text="One hinge was secured: a cracked knuckle was pinned.", rows=("work/9",)),
    Sentence(group="worked_on", text="The carcase was waxed.", rows=("work/10",)),
    Sentence(group="part_renewed", text="The veneer of the carcase was renewed at two corners, 18 x 25 mm in all, with old walnut.", rows=("work/4",)),
    Sentence(group="new", text="Nine of the 64 brass pins are new, made by the workshop, because nine were missing.", rows=("work/5",)),
    Sentence(group="new", text="The writing surface is new: goatskin, made by the workshop, because the earlier covering was torn through. The earlier covering is with the owner.", rows=("work/6",)),
    Sentence(group="new", text="The key is new, made by Kessler locksmiths; the old key was lost before the object came.", rows=("work/8",)),
    Sentence(group="earlier", text="The lock is from another object (our opinion). The writing surface had been replaced before.", rows=("parts/5",)),
    Sentence(group="not_known", text="The spring of the secret drawer could not be examined; it is not known whether it is original.", rows=("parts/11",)),
    Sentence(group="hidden", text="The boards under the writing surface were cleaned and are now covered.", rows=("work/7",)),
    Sentence(group="undone", text="A second inkwell was advised and not made, because the owner prefers the gap.", rows=("advised/1",)),
)  # fmt: skip

# name suffix, stage, parts, pair, caption, day
PHOTOS: tuple[tuple[str, Any, tuple[str, ...], str, str, str], ...] = (
    ("front", "returned", ("1",), "", "The slope closed, from the front, in daylight", "2026-04-20"),
    (
        "closed",
        "received",
        ("1", "2"),
        "whole",
        "Closed, from the front left: veneer lifting at the corners",
        "2026-03-03",
    ),
    ("closed", "done", ("1", "2"), "whole", "Closed, from the front left, after waxing", "2026-04-17"),
    ("surface", "received", ("4",), "surface", "The writing surface: torn, with ink stains", "2026-03-03"),
    (
        "surface",
        "done",
        ("4",),
        "surface",
        "The writing surface: new goatskin, blind tooled border",
        "2026-04-17",
    ),
    ("corner", "received", ("2", "3"), "corner", "Front right corner, pins missing", "2026-03-03"),
    ("corner", "working", ("2", "3"), "corner", "The same corner, old holes cleaned out", "2026-03-29"),
    ("corner", "done", ("2", "3"), "corner", "The same corner, nine new pins in all", "2026-04-17"),
    ("drawer", "opened", ("10",), "", "The secret drawer, jammed on its runner", "2026-03-12"),
    (
        "boards",
        "working",
        ("13",),
        "",
        "Boards under the writing surface: old worm holes, rubber glue taken off",
        "2026-04-02",
    ),
    ("initials", "looked at", ("7",), "", "Cap of the left inkwell: initials and wear", "2026-03-05"),
    ("knot", "looked at", ("1",), "", "Knot in the veneer of the lid, in the shape of a comma", "2026-03-05"),
    ("label", "looked at", ("9",), "", "", "2026-03-05"),
    ("tall", "working", ("1",), "", "Veneer under the weight while the glue sets", "2026-03-24"),
)

PLACES = {
    2: (
        PhotoPlace(
            number="1",
            kind="outline",
            at=(250, 300, 700, 250, 760, 700, 260, 760),
            part="1",
            note="whole of the carcase",
        ),
        PhotoPlace(number="2", kind="point", at=(730, 690), part="2", note="loose when it came"),
        PhotoPlace(number="3", kind="point", at=(742, 702), part="3", note="four of the nine"),
        PhotoPlace(number="5", kind="box", at=(455, 480, 530, 560), part="5"),
    ),
    11: (PhotoPlace(number="7", kind="point", at=(500, 500), part="7", note="initials"),),
}


def picture(kind: str, seed: int, size: tuple[int, int] = (480, 360)) -> bytes:
    """A JPEG of a soft-lit box on a ground: enough to look at a page by."""
    rng = np.random.default_rng(seed)
    width, height = (size[1], size[0]) if kind == "tall" else size
    y, x = np.mgrid[0:height, 0:width]
    ground = 214 - 60 * ((x - width * 0.45) ** 2 + (y - height * 0.5) ** 2) / (width**2 / 3)
    image = Image.fromarray(
        np.clip(np.dstack([ground, ground * 0.985, ground * 0.96]), 0, 255).astype(np.uint8)
    )
    draw = ImageDraw.Draw(image)
    box = [
        (width * 0.24, height * 0.33),
        (width * 0.72, height * 0.28),
        (width * 0.78, height * 0.72),
        (width * 0.25, height * 0.78),
    ]
    wood = (int(rng.integers(84, 120)), int(rng.integers(54, 70)), int(rng.integers(30, 44)))
    draw.polygon([(px + width * 0.015, py + height * 0.03) for px, py in box], fill=(120, 118, 112))
    draw.polygon(box, fill=wood)
    for line in range(60):
        ly = height * (0.3 + 0.0078 * line)
        tone = int(rng.integers(-14, 14))
        draw.line(
            [(width * 0.25, ly + height * 0.015), (width * 0.75, ly)],
            fill=tuple(c + tone for c in wood),
            width=max(width // 400, 1),
        )
    r = width // 46
    for px, py in box:
        draw.ellipse([px - r, py - r, px + r, py + r], fill=(186, 152, 82), outline=(120, 96, 50), width=4)
    draw.rectangle([width * 0.46, height * 0.48, width * 0.53, height * 0.56], fill=(176, 148, 84))
    image = image.filter(ImageFilter.GaussianBlur(1.6))
    noise = rng.normal(0, 4, (height, width, 1))
    shown = Image.fromarray(np.clip(np.asarray(image, float) + noise, 0, 255).astype(np.uint8))
    out = io.BytesIO()
    shown.save(out, "JPEG", quality=82)
    return out.getvalue()


def photographs(pictures: dict[str, bytes]) -> tuple[Photograph, ...]:
    return tuple(
        Photograph(
            name=name,
            bytes=4_000_000 + n,
            sha256=hashlib.sha256(name.encode()).hexdigest(),
            media_type="image/jpeg",
            stage=row[1],
            parts=row[2],
            pair=row[3],
            details=_SLOT,
        )
        for n, (name, row) in enumerate(zip(pictures, PHOTOS, strict=True), 1)
    )


def details(pictures: dict[str, bytes]) -> dict[str, PhotoDetails]:
    found = {}
    for n, (name, row) in enumerate(zip(pictures, PHOTOS, strict=True), 1):
        width, height = (900, 1200) if row[0] == "tall" else (1200, 900)
        found[name] = PhotoDetails(
            name=name, file=f"IMG_{n:04}.JPG", caption=row[4], taken=f"{row[5]}T10:{n:02}:00+01:00", taken_zone="file",
            camera="Example Phone 5", width=4000, height=3000, cover=n == 1, places=PLACES.get(n, ()),
            shown_sha256=hashlib.sha256(pictures[name]).hexdigest(), shown_width=width, shown_height=height,
        )  # fmt: skip
    return found


def payload(pictures: dict[str, bytes]) -> Payload:
    now = parts_now(PARTS, WORK)
    return Payload(
        format="1.0",
        sd_alg="sha-256",
        iat=int(CREATED.timestamp()),
        record="urn:uuid:5f0c9a52-0d5e-4c3a-9a6e-3c1f5d2b7e10",
        job="2026-014",
        language="en",
        workshop=WorkshopId(
            name="Birkner & Thal, restorers",
            address="3 Mill Lane, Lower Exbury",
            telephone="+44 1632 960014",
            email="shop@birkner-thal.example",
            verification_page="https://check.example/r",
            keys=({"kty": "EC", "crv": "P-256", "x": "x", "y": "y"},),
        ),
        people=(
            Worker(mark="HB", name="Hanna Birkner", role="bookbinder"),
            Worker(mark="Jt", name="Jo Thal", role="cabinet maker"),
        ),
        firms=(Firm(mark="KL", name="Kessler locksmiths", place="Exbury", does="keys and locks"),),
        object=Object(
            type="writing slope",
            title="Travelling writing slope with secret drawer",
            description="A folding desk in the shape of a box; it opens to a sloping writing surface. One secret drawer behind a sprung panel in the pen compartment.",
            subject="",
            maker=Claim(what="J. Pell, cabinet maker", known_from="paper"),
            made=Claim(what="about 1860", known_from="our opinion"),
            place=Claim(what="", known_from="not known"),
            materials=("walnut veneer on pine", "brass", "goatskin", "glass"),
            inventory_number="",
            related_papers=("a letter of 1911 that names the object",),
        ),
        know_it_by=(
            Feature(
                what="A knot in the shape of a comma in the veneer of the lid",
                where="lid, 62 mm from the left edge, 40 mm from the front",
                photograph="photo-012.jpg",
            ),
            Feature(
                what="Initials on the cap of the left inkwell, the second letter struck twice",
                where="left inkwell, on top of the cap",
                photograph="photo-011.jpg",
            ),
            Feature(what="Two filled screw holes beside the lock", where="front edge, inside"),
        ),
        marks=(
            Mark(text="J PELL", kind="stamp", where="underside of the pen tray", photograph="photo-013.jpg"),
            Mark(text="No. 418", kind="pencil", where="back of the drawer", known_from="seen"),
        ),
        for_whom="private owner",
        dates=Dates(
            asked="2026-02-20",
            received="2026-03-03",
            looked_at="2026-03-05",
            agreed="2026-03-11",
            opened="2026-03-12",
            begun="2026-03-16",
            done="2026-04-17",
            returned="2026-04-20",
        ),
        looked_at=LookedAt(
            by="HB",
            how=("with the naked eye", "hand lens 10x", "ultraviolet lamp"),
            light="daylight from the north window",
            reason="before restoration, asked for by the owner",
            could_not_see=(
                "behind the sprung panel, without taking the carcase apart",
                "under the baize of the underside",
            ),
            found_inside=("a pressed flower, given back", "three steel nibs, given back"),
        ),
        condition="The slope was complete but for the key and the right inkwell. The veneer was lifting at two corners and the base had one shrinkage crack of 140 mm, old and stable.\n\nThe writing surface had been replaced before; the replacement was torn through along the fold.",
        agreements=(
            Agreement(number="A1", asked="2026-03-06", answered="2026-03-11", answer="agreed"),
            Agreement(number="A2", asked="2026-03-12", answered="2026-03-13", answer="agreed"),
            Agreement(number="A3", asked="2026-03-30", answered="2026-04-01", answer="agreed"),
            Agreement(number="A4", asked="2026-03-30", answered="2026-04-01", answer="refused"),
        ),
        advised=(
            Advice(
                what="A second inkwell, made to the pattern of the first",
                why_not="the owner prefers the gap",
                parts=("8",),
            ),
        ),
        parts=PARTS,
        work=WORK,
        parts_now=now,
        account=account_of(PARTS, now),
        disclosure=SENTENCES,
        cautions=(
            Caution(
                code="old-worm",
                text="Old woodworm holes in the boards: look for fresh dust once a year.",
                source="common practice, no source",
            ),
            Caution(
                code="moisture",
                text="The writing surface is held with starch paste: keep wet cleaning off it.",
                source="work/6",
            ),
        ),
        gaps=(
            Gap(
                code="no-picture-before",
                text="There is no photograph of the hinges from before they were worked on.",
            ),
        ),
        measurements=(
            Measurement(
                what="Width, closed",
                value="355",
                unit="mm",
                how="steel rule",
                plus_minus="1",
                date="2026-03-05",
            ),
            Measurement(
                what="Depth, closed",
                value="236",
                unit="mm",
                how="steel rule",
                plus_minus="1",
                date="2026-03-05",
            ),
            Measurement(
                what="Height, closed",
                value="148",
                unit="mm",
                how="steel rule",
                plus_minus="1",
                date="2026-03-05",
            ),
            Measurement(what="Weight", value="3.42", unit="kg", how="scales", date="2026-03-05"),
            Measurement(
                what="Thickness of the goatskin", value="0.7", unit="mm", part="4", how="gauge, three places"
            ),
        ),
        photographs=photographs(pictures),
        notes=(
            Note(
                title="On the choice of leather",
                text="The owner was shown *three* skins:\n\n- goatskin, brown\n- calf, green\n- goatskin, **green**, which was chosen\n\nThe samples are in the job file.",
            ),
        ),
        history=(
            HistoryClaim(
                what="Bought by a schoolmaster in Exbury",
                date="1911",
                by="letter with the object",
                known_from="paper",
            ),
            HistoryClaim(
                what="Writing surface replaced", date="", by="", known_from="our opinion", parts=("4",)
            ),
        ),
        earlier_records=(
            EarlierRecord(
                record="urn:uuid:2b1f7c80-97a1-4f9f-8f57-6f2f0b1f2a11",
                sha256="9d" * 32,
                job="2009-102",
                workshop="Birkner & Thal, restorers",
                date="2009-06-12",
            ),
        ),
        handover=Handover(
            date="2026-04-20",
            with_it=(
                "the earlier covering of the writing surface, rolled",
                "two broken pins in a bag",
                "three steel nibs and a pressed flower",
            ),
            care=(
                "Keep it out of direct sun and away from heating.",
                "Dust with a dry, soft brush; no furniture spray.",
            ),
            guarantee="Two years on the work listed here.",
            next_look="2028-04",
        ),
        apart=Apart(
            owner=_SLOT, agreement_details=_SLOT * 4, prices=_SLOT, values=_SLOT, private_notes=_SLOT
        ),
    )


def open_apart() -> OpenApart:
    return OpenApart(
        owner=(
            Contact(
                name="Leonie Farrow-Quist", address="11 Quay Street, Exbury", telephone="+44 1632 960771"
            ),
        ),
        brought_by=(Contact(name="Tobias Farrow-Quist"),),
        received_by=(Contact(name="Leonie Farrow-Quist"),),
        agreement_details=(
            AgreementDetail(
                number="A1",
                what="Clean, make good the veneer and pins, new writing surface",
                how="by letter",
                by="the owner",
                price="GBP 1 240.00",
            ),
            AgreementDetail(
                number="A2", what="Free the drawer", how="on the telephone", by="the owner", price="GBP 95.00"
            ),
            AgreementDetail(
                number="A3", what="A new key", how="by e-mail", by="the owner", price="GBP 60.00"
            ),
            AgreementDetail(
                number="A4", what="A second inkwell", how="by e-mail", by="the owner", price="GBP 210.00"
            ),
        ),
        prices=(Price(amount="GBP 1 395.00"),),
        values=(
            Value(
                when="after",
                low="1800",
                high="2400",
                currency="GBP",
                date="2026-04-20",
                by="the workshop",
                basis="recent sales of like pieces",
            ),
        ),
        private_marks=(Mark(text="LFQ 77", kind="scratched", where="inside the lid edge", private=True),),
        private_notes=(Note(title="Payment", text="To be paid in two halves.", private=True),),
    )
