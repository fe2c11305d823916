"""A large record sealed, cut to a copy and checked, as ratios to a floor measured in the same run.

    python tests/bench/record.py --parts 200 --photos 400

The floor of a check is what no checker can leave out: each signature verified by the library alone, SHA-256
over the payload and over each disclosure, and each signed document (the record's file, its payload, every
protected header and disclosure) parsed and written again in canonical form. Medians; the PDF is not in it.
"""

from __future__ import annotations

import argparse
import base64
import hashlib
import json
import statistics
import time
from collections.abc import Callable
from typing import Any

import rfc8785
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, mldsa
from cryptography.hazmat.primitives.asymmetric.utils import encode_dss_signature

from dossier import canonical
from dossier.memory import collect_seldom
from dossier.model.counted import Account, PartNow
from dossier.model.record import (
    FORMAT_VERSION,
    OpenApart,
    Payload,
    PhotoDetails,
    Photograph,
    Price,
    Sealed,
    Sentence,
    Unsealed,
    WorkshopId,
)
from dossier.model.rows import AgreementDetail, Contact, Dates, Note, Object, Part, Work
from dossier.seal import record as seal
from dossier.seal.keys import WorkshopKey
from dossier.words import Catalogue

WORDS = Catalogue("en")
STAGES = ("received", "opened", "working", "done")


def unsealed(keys: list[WorkshopKey], parts: int, photographs: int) -> Unsealed:
    """An invented cabinet: so many parts, each worked on once, and so many photographs with camera data."""
    payload = Payload(
        format=FORMAT_VERSION,
        sd_alg="sha-256",
        iat=1_795_000_000,
        record="urn:uuid:0b8c1c2e-5b7e-4f0a-9d55-3f6a2f1f4c11",
        job="26-041",
        language="en",
        workshop=WorkshopId(
            name="Two Benches Workshop",
            keys=tuple(key.public for key in keys),
            signatures=tuple(key.alg for key in keys),
        ),
        object=Object(
            type="cabinet", title="Cabinet with sixty drawers", description="Walnut on pine. " * 20
        ),
        for_whom="private owner",
        dates=Dates(received="2026-03-02", returned="2026-05-20"),
        parts=tuple(
            Part(
                number=str(n),
                part=f"drawer {n}, front",
                pieces=1 + n % 4,
                condition="veneer lifting at the edge",
            )
            for n in range(1, parts + 1)
        ),
        work=tuple(
            Work(
                number=n,
                date=f"2026-04-{n % 28 + 1:02d}",
                who="RB",
                parts=(str(n),),
                pieces=1,
                done="repaired",
                how="edge laid down again with warm glue and a padded clamp",
            )
            for n in range(1, parts + 1)
        ),
        parts_now=tuple(
            PartNow(part=str(n), now="original, treated", pieces_low=1, pieces_high=1)
            for n in range(1, parts + 1)
        ),
        account=(
            Account(
                seen="outside",
                now="original, treated",
                parts_low=parts,
                parts_high=parts,
                pieces_low=parts,
                pieces_high=parts,
                parts=tuple(str(n) for n in range(1, parts + 1)),
            ),
        ),
        disclosure=tuple(
            Sentence(group="worked_on", text=f"The front of drawer {n} was repaired.", rows=(f"work/{n}",))
            for n in range(1, parts + 1)
        ),
        photographs=tuple(
            Photograph(
                name=f"photo-{n:03d}.jpg",
                bytes=4_000_000 + n,
                sha256=hashlib.sha256(str(n).encode()).hexdigest(),
                media_type="image/jpeg",
                stage=STAGES[n % 4],  # type: ignore[arg-type]  # one of the stages
                parts=(str(n % parts + 1),),
            )
            for n in range(1, photographs + 1)
        ),
    )
    apart = OpenApart(
        owner=(Contact(name="Ottilie Brandmayr", address="1 Example Lane"),),
        agreement_details=(AgreementDetail(number="1", what="drawers", price="EUR 180"),),
        prices=(Price(amount="EUR 220.00"),),
        private_notes=(Note(title="Key", text="under the seat", private=True),),
    )
    details = tuple(
        PhotoDetails(
            name=f"photo-{n:03d}.jpg",
            file=f"IMG_20260302_{n:06d}.JPG",
            caption=f"Drawer {n}, front, before the veneer was laid down again",
            taken="2026-03-02T10:00:00+01:00",
            camera="Example Camera 12",
            private=n % 10 == 0,
            shown_sha256=hashlib.sha256(f"shown {n}".encode()).hexdigest(),
        )
        for n in range(1, photographs + 1)
    )
    return Unsealed(payload=payload, apart=apart, photo_details=details)


def salts() -> Callable[[], bytes]:
    """Salts that count: a measurement needs no chance."""
    count = iter(range(1 << 30))
    return lambda: hashlib.sha256(str(next(count)).encode()).digest()[:16]


def median(work: Callable[[], object], times: int) -> float:
    """Milliseconds of processor in one run of `work`, the median of so many after one that is not counted."""
    work()
    spent = []
    for _ in range(times):
        begun = time.process_time()
        work()
        spent.append(time.process_time() - begun)
    return statistics.median(spent) * 1000


def in_turn(works: list[Callable[[], object]], times: int) -> list[float]:
    """The same of several, each run in turn: what else the machine does meets all of them alike."""
    spent: list[list[float]] = [[] for _ in works]
    for _ in range(times + 1):
        for work, own in zip(works, spent, strict=True):
            begun = time.process_time()
            work()
            own.append(time.process_time() - begun)
    return [statistics.median(own[1:]) * 1000 for own in spent]


def raw(text: str) -> bytes:
    return base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))


def crypto_floor(keys: list[WorkshopKey], sealed: Sealed) -> Callable[[], None]:
    """Each signature over its signing input by the library alone, and every digest."""
    publics = [key.private.public_key() for key in keys]

    def work() -> None:
        payload = base64.urlsafe_b64encode(sealed.payload).rstrip(b"=")
        for public, one in zip(publics, sealed.signatures, strict=True):
            signed, signature = one.protected.encode() + b"." + payload, raw(one.signature)
            if isinstance(public, mldsa.MLDSA65PublicKey):
                public.verify(signature, signed)
            else:
                der = encode_dss_signature(int.from_bytes(signature[:32]), int.from_bytes(signature[32:]))
                public.verify(der, signed, ec.ECDSA(hashes.SHA256()))
        hashlib.sha256(sealed.payload).digest()
        for disclosure in sealed.disclosures:
            hashlib.sha256(disclosure.encode()).digest()

    return work


def canonical_floor(data: bytes, sealed: Sealed) -> Callable[[], None]:
    """Each signed document parsed and written again."""
    documents = [data, sealed.payload, *(raw(one.protected) for one in sealed.signatures)]
    documents += [raw(one) for one in sealed.disclosures]

    def work() -> None:
        for document in documents:
            canonical.decode(document)

    return work


def plain_floor(data: bytes, sealed: Sealed) -> Callable[[], None]:
    """The same with the standard library's JSON alone, which is not strict: for comparison."""
    documents = [data, sealed.payload, *(raw(one) for one in sealed.disclosures)]

    def work() -> None:
        for document in documents:
            again = json.dumps(
                json.loads(document), ensure_ascii=False, separators=(",", ":"), sort_keys=True
            )
            assert again.encode() == document

    return work


def other_floor(data: bytes, sealed: Sealed) -> Callable[[], None]:
    """The same by an independent implementation of RFC 8785, written in Python too."""
    documents = [data, sealed.payload, *(raw(one) for one in sealed.disclosures)]

    def work() -> None:
        for document in documents:
            assert rfc8785.dumps(json.loads(document)) == document

    return work


def copied(data: bytes) -> bytes:
    """What making a copy takes of the record: read, checked, cut, opened, written in both forms."""
    sealed = seal.from_json(data)
    bare, _ = seal.copy_of(sealed, seal.check(sealed, WORDS), "resale")
    seal.to_compact(bare)
    return seal.to_json(bare)


def checked(data: bytes) -> Any:
    found = seal.check(seal.from_json(data), WORDS)
    assert found.record is not None
    assert found.kids
    return found


def report(label: str, spent: float, floor: float | None = None) -> None:
    print(
        f"  {label:46} {spent:8.2f} ms" + (f"  {spent / floor:5.2f} x the floor" if floor else ""), flush=True
    )


def bench(keys: list[WorkshopKey], parts: int, photographs: int, times: int) -> None:
    sealed = seal.seal(unsealed(keys, parts, photographs), keys, salts())
    data = seal.to_json(sealed)
    names = " and ".join(key.alg for key in keys)
    print(
        f"{parts} parts, {photographs} photographs, {names}: "
        f"{len(data) / 1e6:.2f} MB, payload {len(sealed.payload) / 1e6:.2f} MB"
    )
    crypto, written, whole = in_turn(
        [crypto_floor(keys, sealed), canonical_floor(data, sealed), lambda: checked(data)], times
    )
    report("floor: signatures and digests", crypto)
    report("floor: canonical form", written)
    report("for comparison: the library's JSON, not strict", median(plain_floor(data, sealed), times))
    report("for comparison: rfc8785 of PyPI", median(other_floor(data, sealed), times))
    floor = crypto + written
    report("check", whole, floor)
    bare = copied(data)
    report("copy made, the fuller one checked before", median(lambda: copied(data), times))
    report("copy checked", median(lambda: checked(bare), times))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--parts", type=int, default=200)
    parser.add_argument("--photos", type=int, default=400)
    parser.add_argument("--times", type=int, default=25)
    asked = parser.parse_args()
    collect_seldom()  # as the program does
    first = WorkshopKey(ec.derive_private_key(20261125, ec.SECP256R1()), deterministic=True)
    second = WorkshopKey(mldsa.MLDSA65PrivateKey.from_seed_bytes(bytes(range(32))))
    for keys in ([first], [first, second]):
        bench(keys, asked.parts, asked.photos, asked.times)


if __name__ == "__main__":
    main()
