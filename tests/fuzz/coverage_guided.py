"""Coverage-guided fuzzing of every parser that a check reaches: `python coverage_guided.py TARGET`.

Needs atheris (no part of the test extra; libFuzzer in a wheel). Without a target: all of them, one after the
other, each for `--seconds`. A target takes bytes and lets nothing out but the errors of ours that its callers
expect. Started with the vectors as corpus; 5 s and 300 MB are the bounds of one input.
"""

from __future__ import annotations

import argparse
import base64
import contextlib
import datetime as dt
import io
import re
import resource
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import atheris
import pikepdf
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import Encoding

with atheris.instrument_imports(include=["dossier"]):
    from dossier import canonical
    from dossier.archive import leaves, record_path
    from dossier.container import pictures, read, time_revisions, values
    from dossier.container.time_revisions import Kept, State
    from dossier.container.values import Name
    from dossier.container.window import Window
    from dossier.errors import DossierError, NotCanonicalError, UnreadableError
    from dossier.flows import dossier_files
    from dossier.flows.verifying import times
    from dossier.model.container import Limits, SignatureInfo
    from dossier.model.record import Sealed
    from dossier.seal import (
        cbor,
        certificate_path,
        chains,
        code,
        form,
        kept,
        keycard,
        keys,
        pdf,
        record,
        revocation,
        signed,
        stamp,
        statements,
        trust,
    )
    from dossier.seal.cbor import NotCborError
    from dossier.seal.stamp_codes import StampError
    from dossier.words import Catalogue

sys.path.insert(0, str(Path(__file__).parents[1]))
from plain_pages import plain_pages

VECTORS = Path(__file__).parents[1] / "vectors"
WORDS = Catalogue("en")
TODAY = dt.date(2026, 11, 25)
NOON = dt.datetime(2026, 11, 25, 12, tzinfo=dt.UTC)
GOOD = form.from_json((VECTORS / "record" / "signatures-match" / "record.json").read_bytes())
STATE = State(
    size=0,
    objects=5,
    xref_at=9,
    root={Name("/Type"): Name("/Catalog")},
    trailer={Name("/ID"): [bytes(16), bytes(16)]},
    fields=((3, {Name("/FT"): Name("/Sig")}),),
)
SECONDS, MEGABYTES = 5, 300
_PLACE = Path(tempfile.mkdtemp())
Target = Callable[[bytes], object]


def _file(data: bytes, name: str) -> Path:
    path = _PLACE / name
    path.write_bytes(data)
    return path


def a_record(data: bytes) -> None:
    record.check(form.from_json(data), WORDS, today=TODAY)


def a_compact_record(data: bytes) -> None:
    record.check(form.from_compact(data), WORDS, today=TODAY)


def a_payload(data: bytes) -> None:
    """What stands inside a record, as if the outer form were in order."""
    if isinstance(canonical.decode(data), dict):
        record.check(Sealed(payload=data, signatures=GOOD.signatures, disclosures=GOOD.disclosures), WORDS)


def a_disclosure(data: bytes) -> None:
    text = base64.urlsafe_b64encode(data).decode().rstrip("=")
    sealed = Sealed(payload=GOOD.payload, signatures=GOOD.signatures, disclosures=(text, *GOOD.disclosures))
    record.check(sealed, WORDS)


def a_code(data: bytes) -> None:
    code.check(code.read(data.decode("latin-1")), WORDS)


def a_code_inside(data: bytes) -> None:
    with contextlib.suppress(NotCborError):
        cbor.decode(data)
    fragment = base64.urlsafe_b64encode(data).decode().rstrip("=")
    code.check(code.read(f"#{fragment}"), WORDS)


def a_key_card(data: bytes) -> None:
    keycard.read(data)


def a_card_inside(data: bytes) -> None:
    """The payload of a card, a renewal, a statement or a receipt, under one signature of any kind."""
    payload = base64.urlsafe_b64encode(data).decode().rstrip("=")
    one = {"payload": payload, "signatures": [{"protected": "e30", "signature": "AAAA"}]}
    with contextlib.suppress(DossierError):
        keycard.read(canonical.encode({"card": one}))
    for typ in ("restoration-statement+jws", "restoration-receipt+jws"):
        header = canonical.encode({"alg": "ES256", "kid": "x", "typ": typ})
        one["signatures"] = [
            {"protected": base64.urlsafe_b64encode(header).decode().rstrip("="), "signature": "AAAA"}
        ]
        with contextlib.suppress(DossierError):
            statements.read(canonical.encode(one))


def a_statement(data: bytes) -> None:
    statements.read(data)
    signed.read(data)


def a_trusted_file(data: bytes) -> None:
    trust.from_file(_file(data, "trusted"))


def evidence_of_a_record(data: bytes) -> None:
    times.of_record(GOOD, None, (), WORDS, evidence=data, today=TODAY)
    record_path.leads(record_path.read(data), b"anything")


def a_list_of_leaves(data: bytes) -> None:
    leaves.roots(leaves.read(data))


def a_time_stamp(data: bytes) -> None:
    with contextlib.suppress(StampError):
        stamp.checked(stamp.read_file(data), b"anything")


def a_token(data: bytes) -> None:
    with contextlib.suppress(StampError):
        stamp.checked(data, b"anything")


def a_signature_of_pages(data: bytes) -> None:
    info = SignatureInfo(byte_range=(0, 1, 2, 3), contents=data.hex().encode().ljust(2000, b"0"))
    pdf.check_pdf_signature(info, bytes(32), [])


def some_certificates(data: bytes) -> None:
    found = chains.load_all(data)
    chains.are_whole(data, found)
    for one in found:
        chains.way([one, *found], chains.kid_of(one), found, NOON)
        certificate_path.find(one, found, [other for other in found if chains.is_root(other)], NOON, ())


def a_list_of_revoked(data: bytes) -> None:
    authority = (VECTORS / "evidence" / "authority.pem").read_bytes()
    kept.are_of_issuers([data], [one.public_bytes(Encoding.DER) for one in chains.load_all(authority)])
    revocation.from_file(_file(data, "lists"))


def a_revision(data: bytes) -> None:
    """What stands behind a file, read as a time-stamp put in later."""
    found, after = time_revisions.read(Window(io.BytesIO(data), len(data)), Limits(), STATE)
    assert bool(found) == (after.size > 0)


def a_value(data: bytes) -> None:
    value = values.parse(data)
    assert values.serialize(value) == data


def a_dossier(data: bytes) -> None:
    path = _file(data, "x.pdf")
    read.read_dossier(path)
    read.page_digests(path)
    pictures.placed_pictures(path)


def how_pages_were_drawn(data: bytes) -> None:
    with contextlib.suppress(ValueError):
        dossier_files.drawn_from(data)


def a_picture_of_a_code(data: bytes) -> None:
    from dossier.errors import PictureError  # noqa: PLC0415 - pixels, for this target alone
    from dossier.pictures.codes import read_codes  # noqa: PLC0415

    with contextlib.suppress(PictureError):
        read_codes(_file(data, "x.jpg"))


TARGETS: dict[str, Target] = {
    one.__name__: one
    for one in (
        a_record,
        a_compact_record,
        a_payload,
        a_disclosure,
        a_code,
        a_code_inside,
        a_key_card,
        a_card_inside,
        a_statement,
        a_trusted_file,
        evidence_of_a_record,
        a_list_of_leaves,
        a_time_stamp,
        a_token,
        a_signature_of_pages,
        some_certificates,
        a_list_of_revoked,
        a_revision,
        a_value,
        a_dossier,
        how_pages_were_drawn,
        a_picture_of_a_code,
    )
}


def guarded(target: Target) -> Callable[[bytes], None]:
    def run(data: bytes) -> None:
        with contextlib.suppress(UnreadableError, NotCanonicalError, DossierError):
            target(data)

    return run


def corpus(name: str, more: Path | None) -> Iterator[bytes]:
    """What a target starts from: its vectors, and of a folder of the reader's own the files of its kind."""
    if name in ("a_record", "a_statement", "a_key_card"):
        yield from (path.read_bytes() for path in VECTORS.glob("record/*/record.json"))
    if name == "evidence_of_a_record":
        yield from (path.read_bytes() for path in VECTORS.glob("evidence/*/record-evidence.json"))
    if name in ("a_payload", "a_card_inside"):
        yield GOOD.payload
    if name == "a_disclosure":
        yield from (base64.urlsafe_b64decode(one + "==") for one in GOOD.disclosures)
    yield from (path.read_bytes() for pattern in _VECTORS_OF.get(name, ()) for path in VECTORS.glob(pattern))
    if name in ("a_time_stamp", "a_token"):
        file = (VECTORS / "evidence" / "time-stamp-matches" / "record-evidence.json").read_bytes()
        whole = bytes.fromhex(record_path.read(file).stamp)
        yield whole if name == "a_time_stamp" else stamp.read_file(whole)
    if name in _MADE:
        yield _MADE[name]()
    codes = [path.read_text(encoding="utf-8") for path in VECTORS.glob("code/*/code.txt")]
    if name == "a_code":
        yield from (one.encode() for one in codes)
    if name == "a_code_inside":
        found = [one.partition("#")[2] for one in codes]
        yield from (base64.urlsafe_b64decode(one + "==") for one in found if re.fullmatch(r"[\w-]+", one))
    yield from _of_a_dossier(name, more) if more else ()


_VECTORS_OF = {
    "a_key_card": ("keycard/*/*/key-card.json",),
    "a_trusted_file": ("keycard/*/*/key-card.json", "evidence/authority.pem"),
    "a_statement": ("keycard/record/*/statement.json", "keycard/record/*/receipt.json"),
    "some_certificates": ("evidence/authority.pem",),
}


def _list_of_revoked() -> bytes:
    day, key = dt.datetime(2026, 11, 1, tzinfo=dt.UTC), Ed25519PrivateKey.from_private_bytes(bytes(32))
    (issuer, *_) = chains.load_all((VECTORS / "evidence" / "authority.pem").read_bytes())
    made = x509.CertificateRevocationListBuilder().issuer_name(issuer.issuer).last_update(day)
    one = x509.RevokedCertificateBuilder().serial_number(7).revocation_date(day).build()
    made = made.next_update(day + dt.timedelta(90)).add_revoked_certificate(one)
    return made.sign(key, None).public_bytes(Encoding.DER)


def _signature_of_pages() -> bytes:
    key = keys.new_key("Example", now=dt.datetime(2026, 11, 1, tzinfo=dt.UTC))
    assert key.certificate is not None
    return pdf._cms(key, key.certificate, bytes(32), None)


def _drawn() -> bytes:
    said = dossier_files.Drawn(program="x 1", copy="owner", language="en", paper="A4", originals="none")
    return dossier_files.drawn_bytes(said)


def _small_dossier() -> bytes:
    """Three empty pages in the form that is read."""
    made = io.BytesIO()
    with pikepdf.new() as pages:
        for _ in range(3):
            pages.add_blank_page()
        pages.Root.Metadata = pages.make_stream(b"<x/>", Type=pikepdf.Name.Metadata)
        pages.trailer.ID = pikepdf.Array([pikepdf.String(bytes(16))] * 2)
        pages.save(made)
    return plain_pages(made.getvalue())


_MADE: dict[str, Callable[[], bytes]] = {
    "a_compact_record": lambda: form.to_compact(GOOD),
    "a_list_of_leaves": lambda: b"".join(
        b"%064x %0128x %s\n" % (n, n, one) for n, one in enumerate((b"a", b"a/record", b"b"))
    ),
    "a_list_of_revoked": _list_of_revoked,
    "a_revision": lambda: time_revisions.added(STATE, Kept((b"a", b"b"), (b"c",))).content,
    "a_dossier": _small_dossier,
    "a_signature_of_pages": _signature_of_pages,
    "how_pages_were_drawn": _drawn,
    "a_value": lambda: b"<< /A [ 1 -0.5 (x) <00ff> 2 0 R true ] /B#20 << >> >>",
}
_OF_A_FOLDER = {
    "a_key_card": "key-card.json",
    "a_record": "record.json",
    "a_compact_record": "record.sd-jwt",
    "a_time_stamp": "record.tsr",
    "a_trusted_file": "certificate.pem",
    "some_certificates": "certificate.pem",
    "a_statement": "statement.json",
    "how_pages_were_drawn": "pages.json",
    "a_picture_of_a_code": "code.jpg",
    "a_card_inside": "payload.json",
    "a_signature_of_pages": "signature.der",
    "a_token": "token.der",
}


def _of_a_dossier(name: str, folder: Path) -> Iterator[bytes]:
    path = folder / _OF_A_FOLDER.get(name, "none")
    if path.is_file():
        yield path.read_bytes()


def fuzz(name: str, seconds: int, seed: int, more: Path | None) -> None:
    seeds = _PLACE / "corpus"
    seeds.mkdir()
    for number, data in enumerate(corpus(name, more)):
        (seeds / str(number)).write_bytes(data)
    atheris.Setup(
        [
            sys.argv[0],
            str(seeds),
            f"-max_total_time={seconds}",
            f"-timeout={SECONDS}",
            f"-rss_limit_mb={MEGABYTES}",
            f"-seed={seed}",
            "-max_len=400000",
            "-verbosity=0",
            "-print_final_stats=1",
            f"-artifact_prefix={Path.cwd()}/fuzz-{name}-",
        ],
        guarded(TARGETS[name]),
    )
    atheris.Fuzz()


def main() -> int:
    asked: Any = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("target", nargs="?", choices=[*TARGETS, []], default=[])
    asked.add_argument("--seconds", type=int, default=100)
    asked.add_argument("--seed", type=int, default=20261125)
    asked.add_argument("--corpus", type=Path, help="a dossier folder to start from besides the vectors")
    given = asked.parse_args()
    if given.target:
        fuzz(given.target, given.seconds, given.seed, given.corpus)
        return 0
    more = ["--corpus", str(given.corpus)] if given.corpus else []
    failed = 0
    for name in TARGETS:
        words = [
            sys.executable,
            __file__,
            name,
            "--seconds",
            str(given.seconds),
            "--seed",
            str(given.seed),
            *more,
        ]
        done = subprocess.run(words, check=False, capture_output=True, text=True)
        spent = resource.getrusage(resource.RUSAGE_CHILDREN)
        stats = re.findall(r"stat::(\w+): +(\d+)", done.stderr)
        print(name, done.returncode, " ".join(f"{key} {value}" for key, value in stats))
        print(f"{spent.ru_utime + spent.ru_stime:.0f} s of the processor so far", flush=True)
        if done.returncode:
            failed += 1
            print(done.stderr[-3000:], flush=True)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
