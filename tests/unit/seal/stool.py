"""A small invented record of a stool, keys that are the same on every run, salts that count."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator

from cryptography.hazmat.primitives.asymmetric import ec

from dossier.model.counted import Account
from dossier.model.record import (
    FORMAT_VERSION,
    Input,
    OpenApart,
    Payload,
    PhotoDetails,
    Photograph,
    Price,
    Sentence,
    Unsealed,
    WorkshopId,
)
from dossier.model.rows import AgreementDetail, Contact, Dates, Mark, Note, Object, Part, Value, Work
from dossier.seal.keys import Signer, WorkshopKey


def p256(number: int = 20261125) -> WorkshopKey:
    """A P-256 key from a number that everybody knows, signing by RFC 6979."""
    return WorkshopKey(ec.derive_private_key(number, ec.SECP256R1()), deterministic=True)


def counting_salts() -> Callable[[], bytes]:
    """Salts for tests: 16 bytes of SHA-256 over 0, 1, 2 ..."""

    def count() -> Iterator[bytes]:
        number = 0
        while True:
            yield hashlib.sha256(str(number).encode()).digest()[:16]
            number += 1

    salts = count()
    return lambda: next(salts)


def an_unsealed(*signers: Signer, photographs: int = 3) -> Unsealed:
    """An invented stool with everything that can stand apart."""
    names = [f"photo-{n:03d}.jpg" for n in range(1, photographs + 1)]
    payload = Payload(
        format=FORMAT_VERSION,
        sd_alg="sha-256",
        iat=1795_000_000,
        record="urn:uuid:0b8c1c2e-5b7e-4f0a-9d55-3f6a2f1f4c11",
        job="26-041",
        language="en",
        workshop=WorkshopId(
            name="Two Benches Workshop",
            verification_page="https://check.example/r",
            keys=tuple(signer.public for signer in signers),
            signatures=tuple(signer.alg for signer in signers),
        ),
        object=Object(type="milking stool", title="Three-legged stool with a carved seat"),
        for_whom="private owner",
        dates=Dates(received="2026-03-02", returned="2026-05-20"),
        parts=(Part(number="1", part="seat"), Part(number="2", part="legs", pieces=3)),
        work=(Work(number=1, date="2026-04-01", who="RB", parts=("2",), pieces=1, done="replaced"),),
        account=(
            Account(
                seen="outside",
                now="original, treated",
                parts_low=1,
                parts_high=1,
                pieces_low=1,
                pieces_high=1,
                parts=("1",),
            ),
            Account(
                seen="outside",
                now="new, like for like",
                parts_low=1,
                parts_high=1,
                pieces_low=1,
                pieces_high=1,
                parts=("2",),
            ),
        ),
        disclosure=(Sentence(group="new", text="One of the three legs is new: ash.", rows=("work/1",)),),
        photographs=tuple(
            Photograph(
                name=name, bytes=1000 + n, sha256=f"{n:064x}", media_type="image/jpeg", stage="received"
            )
            for n, name in enumerate(names)
        ),
    )
    apart = OpenApart(
        owner=(Contact(name="Ottilie Brandmayr", telephone="+43 1 555 0100"),),
        payer=(Contact(name="Estate of O. Brandmayr"),),
        agreement_details=(
            AgreementDetail(number="1", what="new leg", price="EUR 180"),
            AgreementDetail(number="2", what="wax", price="EUR 40"),
        ),
        prices=(Price(amount="EUR 220.00"),),
        values=(Value(low="300", high="450", currency="EUR", date="2026-05-20"),),
        private_marks=(Mark(text="O.B. 1931", private=True),),
        private_notes=(Note(title="Key", text="under the seat", private=True),),
        inputs=(Input(file="job.toml", bytes=812, sha256="ab" * 32),),
    )
    details = tuple(
        PhotoDetails(name=name, file=f"IMG_{n}.JPG", caption=f"View {n}", private=n == 1)
        for n, name in enumerate(names)
    )
    return Unsealed(payload=payload, apart=apart, photo_details=details)
