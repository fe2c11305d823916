"""What an attacker does to a dossier: the tools of the recipes in `tests/vectors/dossier`.

Everything here is possible without the workshop's keys; where a recipe needs one, it says whose.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import io
import json
import re
import zlib
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

import qrcode
from fontTools.ttLib import TTFont
from forging import Forgery
from PIL import Image
from time_server import NOW

from dossier import canonical
from dossier.cli.result_text import for_machines
from dossier.container import time_revisions
from dossier.container.read import objects_of
from dossier.container.time_revisions import Kept, State
from dossier.container.values import Name, Ref, Value
from dossier.container.window import opened
from dossier.flows.verify import Asked, verify, verify_code
from dossier.model import signature_slot
from dossier.model.container import Limits
from dossier.model.record import Sealed, Signature, laid_name
from dossier.model.result import Result
from dossier.model.statements import TYP_CARD, CardKey, KeyCard, RecordNamed
from dossier.seal import base64url, card_change, keycard, recovery, stamp_token, statements, trust
from dossier.seal import record as seal
from dossier.seal import signatures as seal_signatures
from dossier.seal.keys import WorkshopKey, fingerprint_words
from dossier.seal.pdf import sign_pdf
from dossier.seal.statements import Wanted
from dossier.words import Catalogue

NAME = "Example Bench"
_RANGE = re.compile(rb"/ByteRange \[(\d+) (\d+) (\d+) (\d+)\] *")


@dataclass(frozen=True)
class Made:
    """What the attacks start from; not to be changed."""

    folder: Path  # a dossier folder, originals inside the PDF
    other: Path  # of another job by the same workshop, later
    held: Path  # a copy of the first one by its holder, nothing left out
    key: WorkshopKey
    second: WorkshopKey
    card: bytes
    thief: WorkshopKey  # a key of somebody else's
    authority: bytes  # the root of the clock, in DER


def told_to_machines(result: Result) -> Result:
    """The same result, which `--json` can print whatever the file holds."""
    plain = json.loads(json.dumps(for_machines(result, Catalogue())))
    assert [check["code"] for check in plain["checks"]] == [check.code for check in result.checks]
    return result


@dataclass(frozen=True)
class Bench:
    """One attack's place: a copy of the dossier folder that it may change."""

    made: Made
    folder: Path

    @property
    def pdf(self) -> Path:
        return self.folder / "dossier.pdf"

    @property
    def other(self) -> Path:
        return self.made.other

    def forgery(self) -> Forgery:
        """The PDF taken apart, its signature left where it is."""
        return Forgery.of(self.made.folder / "dossier.pdf")

    def unsigned(self) -> Forgery:
        """The same without its signature, as one who edits a page leaves it."""
        found = self.forgery()
        found.strip()
        return found

    def held(self) -> Forgery:
        """The copy that a holder made, without a signature over its pages: only the record protects them."""
        return Forgery.of(self.made.held / "dossier.pdf")

    def write(self, content: bytes, name: str = "dossier.pdf") -> Path:
        (self.folder / name).write_bytes(content)
        return self.folder / name

    def sealed(self, *, other: bool = False) -> Any:
        folder = self.made.other if other else self.made.folder
        return seal.from_json((folder / "record.json").read_bytes())

    def about(self, *, other: bool = False) -> RecordNamed:
        opened = seal.open_record(self.sealed(other=other))
        return RecordNamed(record=opened.payload.record, sha256=opened.digest)

    def statement(self, kind: Any, *signers: WorkshopKey, other: bool = False, days: int = 0) -> bytes:
        """`days`: how many days later than the record it says it was made."""
        wanted = Wanted(kind=kind, about=self.about(other=other), reason="Said by a test.")
        iat = int((NOW + dt.timedelta(days=days)).timestamp())
        return statements.state(wanted, NAME, signers, iat=iat, chance=bytes(16))

    def receipt(self, *, other: bool = False) -> bytes:
        about = self.about(other=other)
        return statements.acknowledge(about, "", self.made.thief, iat=int(NOW.timestamp()), chance=bytes(16))

    def asked(self, *, pages: bool = False) -> Asked:
        card = keycard.read(self.made.card)
        return Asked(
            today=NOW.date(),
            trust=trust.Trust(cards=(card,)),
            draw_pages=pages,
            words=Catalogue("en"),
            authorities=(self.made.authority,),
        )

    def check(self, given: Path | str, *, pages: bool = False) -> Result:
        """The check of a file, a folder or a code's text by a reader who confirmed the card."""
        if isinstance(given, str):
            return told_to_machines(verify_code(given, self.asked()))
        return told_to_machines(verify(given, self.asked(pages=pages)))

    # --- the file as bytes

    def ranges(self, whole: bytes) -> list[int]:
        found = _RANGE.search(whole)
        assert found
        return [int(number) for number in found.groups()]

    def ranged(self, whole: bytes, numbers: str) -> bytes:
        """`whole` with other stretches said to be signed; {1} to {3} in `numbers` are the true ones."""
        found = _RANGE.search(whole)
        assert found
        new = f"/ByteRange [{numbers.format(*self.ranges(whole))}]".encode()
        return whole[: found.start()] + new.ljust(len(found[0])) + whole[found.end() :]

    def moved(self, whole: bytes, by: int) -> bytes:
        """A PDF as it must read where it stands `by` bytes further on, its table true."""
        start = int(re.findall(rb"startxref\n(\d+)", whole)[-1])
        table = re.sub(
            rb"(\d{10}) 00000 n", lambda found: b"%010d 00000 n" % (int(found[1]) + by), whole[start:]
        )
        return whole[:start] + table.replace(b"startxref\n%d" % start, b"startxref\n%d" % (start + by))

    def signed_by(self, found: Forgery, key: WorkshopKey) -> bytes:
        """The file signed anew, rightly in every respect but whose key it is."""
        found.objects[len(found.objects)][0] = signature_slot.blank()
        path = self.write(found.whole(), "signed-again.pdf")
        sign_pdf(path, key, when=NOW)
        data = path.read_bytes()
        path.unlink()
        return data

    # --- behind the signed file

    def state(self) -> State:
        """Where a time-stamp of a later year would go, in a file that has places for it."""
        with opened(self.pdf, Limits()) as window:
            objects = objects_of(window, Limits())
            return time_revisions.state_of(objects, window.size)

    def revised(self, state: State, token: bytes = b"", more: Kept = Kept()) -> Path:  # noqa: B008 - frozen
        """The file with a time-stamp's revision behind it, as `state` has it; it keeps `more` besides."""
        kept = (Kept(stamp_token.read(token).certificates) if token else Kept()) | more
        revision = time_revisions.added(state, kept)
        return self.write(self.pdf.read_bytes() + revision.filled(token, state.size))

    # --- pages

    def page(self, found: Forgery, number: int) -> Any:
        """The entries of page `number`, from 1. Pages are numbered as their objects here."""
        kids: list[int] = []
        self._kids(found, found.root[Name("/Pages")], kids)
        return found.objects[kids[number - 1]][0]

    def first_page(self, found: Forgery) -> Any:
        return self.page(found, 1)

    def _kids(self, found: Forgery, node: Ref, pages: list[int]) -> None:
        entries = found.objects[node.number][0]
        if entries[Name("/Type")] == "/Page":
            pages.append(node.number)
        for kid in self.followed(found, entries.get(Name("/Kids"), [])):
            self._kids(found, kid, pages)

    def followed(self, found: Forgery, value: Value) -> Any:
        return found.objects[value.number][0] if isinstance(value, Ref) else value

    def drop_page(self, found: Forgery, number: int) -> None:
        page = self.page(found, number)
        ref = Ref(next(n for n, (value, _) in found.objects.items() if value is page))
        parent = found.objects[page[Name("/Parent")].number][0]
        self.followed(found, parent[Name("/Kids")]).remove(ref)
        while parent:
            parent[Name("/Count")] -= 1
            above = parent.get(Name("/Parent"))
            parent = self.followed(found, above) if above else None

    def annotate(self, found: Forgery, entries: dict[Name, Any], page: int = 2) -> None:
        box = [Decimal("50.0"), Decimal("50.0"), Decimal("500.0"), Decimal("700.0")]
        ref = found.add({Name("/Type"): Name("/Annot"), Name("/Rect"): box, **entries})
        self.page(found, page).setdefault(Name("/Annots"), []).append(ref)

    def say_besides(self, found: Forgery, page: int, content: bytes) -> None:
        """Further content at the end of a page's own."""
        stream = found.objects[self.page(found, page)[Name("/Contents")].number]
        deflated = stream[0].get(Name("/Filter")) is not None
        before = zlib.decompress(stream[1]) if deflated else stream[1]
        stream[1] = zlib.compress(before + content) if deflated else before + content

    def draw_besides(self, found: Forgery, page: int, form: Ref) -> None:
        """A form drawn over a page."""
        resources = self.followed(found, self.page(found, page)[Name("/Resources")])
        resources.setdefault(Name("/XObject"), {})[Name("/Xo")] = form
        self.say_besides(found, page, b"\nq /Xo Do Q")

    def pictures(self, found: Forgery) -> dict[str, int]:
        """The objects of the pictures on the pages, by the name that the record gives them."""
        details = seal.open_record(self.sealed()).photo_details
        wanted = {d.shown_sha256: d.name for d in details.values()}
        for d in details.values():
            wanted |= {
                laid.shown_sha256: laid_name(d.name, laid.over) for laid in d.laid if laid.shown_sha256
            }
        numbers = found.numbers("/Subtype", Name("/Image"))
        digests = {hashlib.sha256(found.objects[n][1]).hexdigest(): n for n in numbers}
        return {wanted[digest]: number for digest, number in digests.items() if digest in wanted}

    # --- fonts

    def swap_glyphs(self, found: Forgery) -> None:
        """In each embedded font, two letters change their outlines: what is read is not what is there."""
        for number in found.numbers("/Type", Name("/FontDescriptor")):
            stream = found.objects[found.objects[number][0][Name("/FontFile2")].number]
            packed = stream[0].get(Name("/Filter")) is not None
            font = TTFont(
                io.BytesIO(zlib.decompress(stream[1]) if packed else stream[1]), recalcTimestamp=False
            )
            glyphs = font["glyf"].glyphs
            full = [name for name in font.getGlyphOrder() if len(getattr(glyphs[name], "data", b"x")) > 0]
            one, two = full[-1], full[-2]
            glyphs[one], glyphs[two] = glyphs[two], glyphs[one]
            out = io.BytesIO()
            font.save(out)
            stream[1] = zlib.compress(out.getvalue()) if packed else out.getvalue()
            stream[0][Name("/Length1")] = len(out.getvalue())

    def remap(self, found: Forgery) -> None:
        """In each font's table from glyphs to text, small letters say the next one."""
        for number in found.numbers("/Type", Name("/Font")):
            stream = found.objects[found.objects[number][0][Name("/ToUnicode")].number]
            packed = stream[0].get(Name("/Filter")) is not None
            text = zlib.decompress(stream[1]) if packed else stream[1]
            assert b"0061" in text
            text = text.replace(b"0061", b"006F")
            stream[1] = zlib.compress(text) if packed else text

    # --- attachments

    def attached(self, name: str, *, other: bool = False, of: Forgery | None = None) -> bytes:
        found = of or Forgery.of((self.made.other if other else self.made.folder) / "dossier.pdf")
        return bytes(found.objects[self._stream(found, name)][1])

    def attach(self, found: Forgery, name: str, content: bytes) -> None:
        """Other bytes under the name of an attachment, everything about them right."""
        stream = found.objects[self._stream(found, name)]
        stream[1] = content
        stream[0][Name("/Params")][Name("/Size")] = len(content)

    def _stream(self, found: Forgery, name: str) -> int:
        spec = found.objects[found.numbers("/UF", name.encode())[0]][0]
        number: int = spec[Name("/EF")][Name("/F")].number
        return number

    def rename(self, found: Forgery, old: str, new: str) -> None:
        """Another name for an attachment, in its place in both lists."""
        spec = found.numbers("/UF", old.encode())[0]
        found.objects[spec][0].update({Name("/F"): new.encode(), Name("/UF"): new.encode()})
        tree = self.followed(found, self.followed(found, found.root[Name("/Names")])[Name("/EmbeddedFiles")])
        refs = tree[Name("/Names")][1::2]
        pairs = sorted((found.objects[ref.number][0][Name("/F")], ref.number) for ref in refs)
        tree[Name("/Names")] = [item for name, number in pairs for item in (name, Ref(number))]
        found.root[Name("/AF")] = [Ref(number) for _, number in pairs]

    # --- records, statements, cards

    def record_json(self, *, other: bool = False) -> Any:
        folder = self.made.other if other else self.made.folder
        return json.loads((folder / "record.json").read_bytes())

    def canonical(self, value: Any) -> bytes:
        return canonical.encode(value)

    def decoded(self, text: str) -> bytes:
        return base64url.decode(text)

    def encoded(self, data: bytes) -> str:
        return base64url.encode(data)

    def record_hiding_work(self) -> bytes:
        """The record signed anew by both keys, a row of its work a digest: what a workshop may try."""
        sealed = self.sealed()
        payload: Any = canonical.decode(sealed.payload)
        text = base64url.encode(canonical.encode([base64url.encode(bytes(16)), payload["work"][-1]]))
        payload["work"][-1] = {"...": base64url.encode(hashlib.sha256(text.encode()).digest())}
        data = canonical.encode(payload)
        signed = tuple(seal_signatures.sign(data, key) for key in (self.made.key, self.made.second))
        return seal.to_json(Sealed(payload=data, signatures=signed, disclosures=sealed.disclosures))

    def record_by_one(self) -> bytes:
        """The record signed anew by the first key alone, which says that no other is called for."""
        sealed = self.sealed()
        payload: Any = canonical.decode(sealed.payload)
        payload["workshop"].update(keys=[self.made.key.public], signatures=["ES256"])
        data = canonical.encode(payload)
        return seal.to_json(
            Sealed(
                payload=data,
                signatures=(seal_signatures.sign(data, self.made.key),),
                disclosures=sealed.disclosures,
            )
        )

    def signed_as(self, typ: str, statement: bytes, *signers: WorkshopKey) -> bytes:
        """The payload of a signed object under signatures made for another kind of it."""
        value = json.loads(statement)
        payload = base64url.decode(value["payload"])
        value["signatures"] = [_members(seal_signatures.sign(payload, one, typ)) for one in signers]
        return canonical.encode(value)

    def card_by(self, key: WorkshopKey) -> bytes:
        """The workshop's card with one day changed, signed by a key that is not on it."""
        value = json.loads(self.made.card)
        payload: Any = canonical.decode(base64url.decode(value["card"]["payload"]))
        payload["telephone"] = "+43 1 555 0100"
        data = canonical.encode(payload)
        signed = [_members(seal_signatures.sign(data, key, TYP_CARD))]
        return canonical.encode({"card": {"payload": base64url.encode(data), "signatures": signed}})

    def card_retiring_first(self) -> bytes:
        """The workshop's next card: its first key is retired from tomorrow on."""
        before = keycard.read(self.made.card)
        changes = card_change.Changes(retired={fingerprint_words(self.made.key.kid): NOW.date().isoformat()})
        paper = recovery.keys_of(bytes(range(32)))
        return card_change.next_card(before, changes, paper, [self.made.second], NOW.date())

    def card_of_thief(self) -> bytes:
        """A card of a recovery key of somebody else's, which calls the workshop's key lost. It holds."""
        lost = CardKey(
            key=self.made.key.public, state="compromised", since="2020-01-01", compromised_from="2020-01-02"
        )
        paper = recovery.keys_of(bytes(32))
        own = CardKey(key=self.made.thief.public, state="in use", since="2020-01-01")
        today = NOW.date().isoformat()
        card = KeyCard(
            format="1.0",
            number=99,
            issued=today,
            expires=today,
            name=NAME,
            recovery=tuple(key.public for key in paper),
            keys=(own, lost),
        )
        return keycard.make(card, paper, [self.made.thief])

    def readdressed(self, receipt: bytes) -> bytes:
        """A receipt made to name this record, its signature left."""
        value = json.loads(receipt)
        payload: Any = canonical.decode(base64url.decode(value["payload"]))
        about = self.about()
        payload["about"] = {"record": about.record, "sha256": about.sha256}
        value["payload"] = base64url.encode(canonical.encode(payload))
        return canonical.encode(value)

    def code(self) -> str:
        return str(json.loads(self.attached("pages.json"))["code"])

    def changed_code(self) -> str:
        """The code with the last byte of its signature changed."""
        page, _, fragment = self.code().partition("#")
        data = bytearray(base64url.decode(fragment))
        data[-1] ^= 1
        return f"{page}#{base64url.encode(bytes(data))}"

    def picture_of_code(self) -> Path:
        return self.picture_of_codes()

    def picture_of_codes(self, *others: str) -> Path:
        """A picture of the dossier's code, with others beside it."""
        made = [qrcode.make(text).convert("RGB") for text in (self.code(), *others)]
        whole = Image.new("RGB", (sum(one.width for one in made), max(one.height for one in made)), "white")
        for place, one in enumerate(made):
            whole.paste(one, (sum(before.width for before in made[:place]), 0))
        path = self.folder / "code.png"
        whole.save(path)
        return path


def _members(signature: Signature) -> dict[str, str]:
    return {"protected": signature.protected, "signature": signature.signature}
