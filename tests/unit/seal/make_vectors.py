"""Makes the vectors of sealed records and codes: `python tests/unit/seal/make_vectors.py tests/vectors`.

One folder a vector, named by the code its check must give, with `--` and a word where a code has several. All
are signed with a key that everybody knows, by RFC 6979, so that they come out the same on every run.
"""

from __future__ import annotations

import copy
import hashlib
import hmac
import json
import sys
import unicodedata
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import cbor2
import stool

from dossier import canonical
from dossier.model.record import TYP_CODE, TYP_RECORD, Sealed, Signature
from dossier.model.statements import TYP_STATEMENT
from dossier.seal import base64url, code, record
from dossier.seal.algorithms import P256_ORDER
from dossier.seal.keyfiles import load_key
from dossier.seal.keys import WorkshopKey
from dossier.seal.opening import digest_of, disclosure_of

KEY = stool.p256()
OTHER = stool.p256(7)
GOOD = record.seal(stool.an_unsealed(KEY), [KEY], stool.counting_salts())
PLAIN: dict[str, Any] = canonical.decode(GOOD.payload)
PAGE = "https://check.example/r"
KEYS_EXAMPLE = Path(__file__).parents[3] / "keys_example"

Change = Callable[[dict[str, Any]], object]
Vector = tuple[str, dict[str, bytes]]


def protected(**changes: object) -> str:
    """A protected header as the format has it, with `changes`; None takes a member away."""
    header = {"alg": "ES256", "kid": KEY.kid, "typ": TYP_RECORD, **changes}
    return base64url.encode(canonical.encode({k: v for k, v in header.items() if v is not None}))


def signed(payload: bytes, header: str, key: WorkshopKey = KEY) -> Signature:
    """A signature under any header, right or wrong."""
    data = f"{header}.{base64url.encode(payload)}".encode()
    return Signature(protected=header, signature=base64url.encode(key.sign(data)))


def resealed(change: Change, disclosures: Sequence[str] = GOOD.disclosures) -> Sealed:
    """The good record with its payload changed and signed anew."""
    plain = copy.deepcopy(PLAIN)
    change(plain)
    payload = canonical.encode(plain)
    return Sealed(payload=payload, signatures=(signed(payload, protected()),), disclosures=tuple(disclosures))


def with_header(header: str) -> Sealed:
    return Sealed(
        payload=GOOD.payload, signatures=(signed(GOOD.payload, header),), disclosures=GOOD.disclosures
    )


def with_signature(raw: bytes, header: str = "") -> Sealed:
    one = Signature(protected=header or protected(), signature=base64url.encode(raw))
    return Sealed(payload=GOOD.payload, signatures=(one,), disclosures=GOOD.disclosures)


def with_disclosures(*disclosures: str) -> Sealed:
    return Sealed(payload=GOOD.payload, signatures=GOOD.signatures, disclosures=disclosures)


def with_owner(disclosure: str) -> Sealed:
    """The good record with another disclosure in the owner's place, its digest signed."""
    at = next(n for n, one in enumerate(GOOD.disclosures) if digest_of(one) == owner_digest())
    changed = [*GOOD.disclosures[:at], disclosure, *GOOD.disclosures[at + 1 :]]
    return resealed(lambda p: p["apart"].update(owner=[{"...": digest_of(disclosure)}]), changed)


def owner_digest() -> str:
    return str(PLAIN["apart"]["owner"][0]["..."])


def of_json(sealed: Sealed) -> dict[str, bytes]:
    return {"record.json": record.to_json(sealed)}


def edited(change: Change) -> dict[str, bytes]:
    """The JSON form of the good record with its outer members changed."""
    outer = json.loads(record.to_json(GOOD))
    change(outer)
    return {"record.json": canonical.encode(outer)}


def raw_payload(payload: bytes) -> dict[str, bytes]:
    """A record whose payload is `payload`, signed as it is."""
    one = Sealed(payload=payload, signatures=(signed(payload, protected()),), disclosures=())
    return of_json(one)


def good() -> Iterator[Vector]:
    yield "signatures-match", of_json(GOOD)
    yield "disclosures-match", of_json(record.leave_out(GOOD, "resale"))
    yield "key-not-confirmed", of_json(GOOD)
    trusted = json.dumps({"keys": [KEY.public]}).encode()
    yield "key-confirmed", {**of_json(GOOD), "trusted.json": trusted}
    trial = load_key(KEYS_EXAMPLE / "trial-key.pem")
    trial = WorkshopKey(trial.private, deterministic=True)
    unsealed = stool.an_unsealed(trial, photographs=1)
    yield "key-trial", of_json(record.seal(unsealed, [trial], stool.counting_salts()))


def headers() -> Iterator[Vector]:
    loose = b'{"alg": "ES256", "kid": "%s", "typ": "%s"}' % (KEY.kid.encode(), TYP_RECORD.encode())
    yield "header-shape", of_json(with_header(base64url.encode(loose)))
    yield "header-shape--number", of_json(with_header(protected(alg=7)))
    yield "header-shape--not-json", of_json(with_header(base64url.encode(b"alg")))
    yield "header-members", of_json(with_header(protected(crit=["x"], x=True)))
    yield "header-members--jwk", of_json(with_header(protected(jwk=OTHER.public)))
    yield "header-members--x5c", of_json(with_header(protected(x5c=["MA=="])))
    yield "header-members--jku", of_json(with_header(protected(jku="https://check.example/k")))
    yield "header-members--b64", of_json(with_header(protected(b64=False)))
    yield "header-members--no-kid", of_json(with_header(protected(kid=None)))
    yield "header-typ", of_json(with_header(protected(typ="dc+sd-jwt")))
    yield "header-typ--code", of_json(with_header(protected(typ=TYP_CODE)))
    yield "header-typ--statement", of_json(with_header(protected(typ=TYP_STATEMENT)))


def algorithms() -> Iterator[Vector]:
    yield "algorithm-unknown", of_json(with_header(protected(alg="ES384")))
    yield "algorithm-unknown--none", of_json(with_signature(b"", protected(alg="none")))
    secret = canonical.encode(KEY.public)
    header = protected(alg="HS256")
    data = f"{header}.{base64url.encode(GOOD.payload)}".encode()
    mac = hmac.new(secret, data, hashlib.sha256).digest()
    yield "algorithm-unknown--hmac-with-public-key", of_json(with_signature(mac, header))
    yield "algorithm-unknown--eddsa", of_json(with_header(protected(alg="EdDSA")))
    yield "algorithm-of-key", of_json(with_header(protected(alg="Ed25519")))


def keys() -> Iterator[Vector]:
    other = signed(GOOD.payload, protected(kid=OTHER.kid), OTHER)
    alone = Sealed(payload=GOOD.payload, signatures=(other,), disclosures=GOOD.disclosures)
    yield "key-unknown", of_json(alone)
    yield "key-unknown--path", of_json(with_header(protected(kid="../../keys/mine.pem")))
    yield "key-shape", of_json(resealed(lambda p: p["workshop"]["keys"][0].update(d="AAAA")))
    other_x = OTHER.public["x"]
    yield "key-shape--off-curve", of_json(resealed(lambda p: p["workshop"]["keys"][0].update(x=other_x)))
    yield "key-shape--short", of_json(resealed(lambda p: p["workshop"]["keys"][0].update(x="AAAA")))
    yield "key-shape--not-base64url", of_json(resealed(lambda p: p["workshop"]["keys"][0].update(x="====")))
    yield "key-shape--other-kind", of_json(resealed(lambda p: p["workshop"]["keys"][0].update(kty="oct")))
    yield (
        "key-shape--other-algorithm",
        of_json(resealed(lambda p: p["workshop"]["keys"][0].update(alg="RS256"))),
    )
    yield "key-unsigned", of_json(resealed(lambda p: p["workshop"]["keys"].append(OTHER.public)))
    plain = copy.deepcopy(PLAIN)
    plain["workshop"]["keys"][0]["kid"] = "mine"
    payload = canonical.encode(plain)
    one = signed(payload, protected(kid="mine"))
    renamed = Sealed(payload=payload, signatures=(one,), disclosures=GOOD.disclosures)
    yield "key-thumbprint", of_json(renamed)


def signatures() -> Iterator[Vector]:
    raw = base64url.decode(GOOD.signatures[0].signature)
    high = raw[:32] + (P256_ORDER - int.from_bytes(raw[32:])).to_bytes(32)
    yield "signature-high-s", of_json(with_signature(high))
    yield "signature-length", of_json(with_signature(raw + b"\x00"))
    yield "signature-length--empty", of_json(with_signature(b""))
    yield "signature-wrong", of_json(with_signature(raw[:-1] + bytes([raw[-1] ^ 1])))
    yield "signature-wrong--zero", of_json(with_signature(bytes(64)))
    changed = canonical.encode({**PLAIN, "job": "26-042"})
    moved = Sealed(payload=changed, signatures=GOOD.signatures, disclosures=GOOD.disclosures)
    yield "signature-wrong--other-payload", of_json(moved)
    yield "key-not-checked", of_json(moved)
    yield "signature-wrong--unicode-form", of_json(_decomposed())
    yield "signature-order", of_json(_exchanged())
    twice = Sealed(payload=GOOD.payload, signatures=GOOD.signatures * 2, disclosures=GOOD.disclosures)
    yield "signature-twice", of_json(twice)
    both = ["ES256", "ML-DSA-65"]
    yield "signature-missing", of_json(resealed(lambda p: p["workshop"].update(signatures=both)))


def _decomposed() -> Sealed:
    """A payload with a letter in its composed form, signed, and shown in its decomposed one (UAX 15)."""
    composed = resealed(lambda p: p["object"].update(title="St\u00fchlchen"))
    shown = unicodedata.normalize("NFD", composed.payload.decode()).encode()
    assert shown != composed.payload
    return Sealed(payload=shown, signatures=composed.signatures, disclosures=composed.disclosures)


def _exchanged() -> Sealed:
    """Two signatures that hold, in the other order than their keys."""
    both = record.seal(stool.an_unsealed(KEY, OTHER), [KEY, OTHER], stool.counting_salts())
    return Sealed(payload=both.payload, signatures=both.signatures[::-1], disclosures=both.disclosures)


def payloads() -> Iterator[Vector]:
    yield "format-unknown", of_json(resealed(lambda p: p.update(format="2.0")))
    yield "format-unknown--form", of_json(resealed(lambda p: p.update(format="1.00")))
    yield "sd-alg", of_json(resealed(lambda p: p.update(_sd_alg="sha-512")))
    yield "sd-alg--none", of_json(resealed(lambda p: p.pop("_sd_alg")))
    hidden = digest_of("AAAA")
    yield "sd-in-object", of_json(resealed(lambda p: p["parts"][0].update(_sd=[hidden])))
    yield "sd-in-object--top", of_json(resealed(lambda p: p.update(_sd=[hidden])))
    yield "sd-in-object--sd-alg", of_json(resealed(lambda p: p["object"].update(_sd_alg="sha-256")))
    element = {"...": hidden}
    yield "digest-place", of_json(resealed(lambda p: p["work"].append(element)))
    yield "digest-place--photographs", of_json(resealed(lambda p: p["photographs"].append(element)))
    yield "digest-place--new-kind", of_json(resealed(lambda p: p["apart"].update(work=[element])))
    yield "digest-place--not-in-array", of_json(resealed(lambda p: p["apart"].update(owner=element)))
    beside = {"...": owner_digest(), "name": "x"}
    yield "digest-place--with-company", of_json(resealed(lambda p: p["apart"].update(owner=[beside])))
    yield "digest-place--not-a-digest", of_json(resealed(lambda p: p["apart"].update(owner=[{"...": "x"}])))
    own = {"...": owner_digest()}
    yield "digest-twice", of_json(resealed(lambda p: p["apart"].update(payer=[own])))
    yield "payload-shape", of_json(resealed(lambda p: p.pop("object")))
    yield "payload-shape--record", of_json(resealed(lambda p: p.update(record="26-041")))
    yield "payload-shape--time", of_json(resealed(lambda p: p.update(iat=-1)))
    yield "payload-shape--expiry", of_json(resealed(lambda p: p.update(exp=1)))
    yield "payload-shape--holder-key", of_json(resealed(lambda p: p.update(cnf={"jwk": OTHER.public})))
    yield "payload-shape--word", of_json(resealed(lambda p: p["work"][0].update(done="made good")))
    in_clear = {"name": "In Clear"}
    yield "payload-shape--in-clear", of_json(resealed(lambda p: p["apart"]["owner"].append(in_clear)))
    unknown = ["RS256"]
    yield "payload-shape--algorithm", of_json(resealed(lambda p: p["workshop"].update(signatures=unknown)))
    yield "payload-shape--no-algorithm", of_json(resealed(lambda p: p["workshop"].pop("signatures")))


def photographs() -> Iterator[Vector]:
    def swap(plain: dict[str, Any]) -> None:
        one, two = plain["photographs"][:2]
        one["details"], two["details"] = two["details"], one["details"]

    *others, first, second, third = GOOD.disclosures
    yield "photograph-details", of_json(resealed(swap, [*others, second, first, third]))
    more = {"...": digest_of("AAAA")}
    yield (
        "digest-place--second-details",
        of_json(resealed(lambda p: p["photographs"][0]["details"].append(more))),
    )
    yield (
        "photograph-details--none",
        of_json(resealed(lambda p: p["photographs"][2].pop("details"), GOOD.disclosures[:-1])),
    )
    yield "photograph-name", of_json(resealed(lambda p: p["photographs"][0].update(name="../photo-001.jpg")))
    yield (
        "photograph-name--twice",
        of_json(resealed(lambda p: p["photographs"][0].update(name="photo-002.jpg"))),
    )


def disclosures() -> Iterator[Vector]:
    salt = bytes(range(16))
    short = base64url.encode(canonical.encode(["AAAA", {"name": "x"}]))
    yield "disclosure-shape", of_json(with_owner(short))
    three = base64url.encode(canonical.encode([base64url.encode(salt), "name", "x"]))
    yield "disclosure-shape--object-property", of_json(with_owner(three))
    loose = base64url.encode(b'["%s", {"name":"x"}]' % base64url.encode(salt).encode())
    yield "disclosure-shape--spaces", of_json(with_owner(loose))
    yield "disclosure-shape--not-an-array", of_json(with_owner(base64url.encode(b'{"a":1}')))
    one, *rest = GOOD.disclosures
    yield "disclosure-twice", of_json(with_disclosures(one, one, *rest))
    forged = disclosure_of(salt, {"name": "Somebody Else"})
    yield "disclosure-unreferenced", of_json(with_disclosures(*GOOD.disclosures, forged))
    yield "disclosure-unreferenced--in-its-place", of_json(with_disclosures(forged, *rest))
    yield "disclosure-order", of_json(with_disclosures(rest[0], one, *rest[1:]))
    nested = disclosure_of(salt, {"name": "x", "address": [{"...": digest_of("AAAA")}]})
    yield "disclosure-nested", of_json(with_owner(nested))
    within = disclosure_of(salt, {"name": "x", "_sd": [digest_of("AAAA")]})
    yield "disclosure-nested--object", of_json(with_owner(within))
    yield "disclosure-type", of_json(with_owner(disclosure_of(salt, {"name": 7})))
    yield "disclosure-type--text", of_json(with_owner(disclosure_of(salt, "x")))


def strict_bytes() -> Iterator[Vector]:
    data = record.to_json(GOOD)
    yield "not-canonical", {"record.json": data + b"\n"}
    yield "not-canonical--empty", {"record.json": b""}
    yield "not-canonical--byte-order-mark", {"record.json": b"\xef\xbb\xbf" + data}
    yield "not-canonical--space", {"record.json": data.replace(b":", b": ", 1)}
    yield "not-canonical--member-twice", {"record.json": b'{"payload":"",' + data[1:]}
    yield "not-canonical--deep", {"record.json": b"[" * 100_000}
    yield "not-canonical--not-text", {"record.json": b"\xff\xfe" + data}
    outer = json.loads(data)
    payload = outer["payload"]
    yield "not-canonical--padding", edited(lambda o: o.update(payload=payload + "="))
    spare = GOOD.signatures[0].signature
    spare = spare[:-1] + chr(ord(spare[-1]) + 1)  # 64 bytes leave four spare bits in the last letter
    yield "not-canonical--spare-bits", edited(lambda o: o["signatures"][0].update(signature=spare))
    yield "not-canonical--payload-space", raw_payload(GOOD.payload.replace(b":", b": ", 1))
    for name, number in {
        "float": b"1.0",
        "exponent": b"1e0",
        "minus-zero": b"-0",
        "big": b"9007199254740992",
    }.items():
        yield f"not-canonical--payload-{name}", raw_payload(_with_iat(number))
    twice = GOOD.payload.replace(b'"job":', b'"job":"26-042","job":', 1)
    yield "not-canonical--payload-member-twice", raw_payload(twice)
    yield "not-canonical--payload-null", raw_payload(_with_iat(b"null"))
    yield "not-canonical--payload-escape", raw_payload(GOOD.payload.replace(b"milking", b"\\u006dilking"))
    yield "not-canonical--payload-surrogate", raw_payload(GOOD.payload.replace(b"milking", b"\\ud800"))
    yield "record-shape", edited(lambda o: o.update(more=True))
    yield "record-shape--array", {"record.json": b"[]"}
    yield "record-shape--number", edited(lambda o: o.update(payload=7))
    yield (
        "record-shape--disclosures-not-a-list",
        edited(lambda o: o["signatures"][0].update(header={"disclosures": "AAAA"})),
    )
    yield "record-shape--no-signatures", edited(lambda o: o.update(signatures=[]))
    yield "record-shape--no-disclosures", edited(lambda o: o["signatures"][0].pop("header"))
    unsigned = {"disclosures": [], "kid": "x"}
    yield "record-shape--unsigned-header", edited(lambda o: o["signatures"][0].update(header=unsigned))
    yield "record-shape--second-header", edited(lambda o: o["signatures"].append(o["signatures"][0]))
    yield "record-shape--payload-not-an-object", raw_payload(b"[]")


def _with_iat(number: bytes) -> bytes:
    return GOOD.payload.replace(b'"iat":%d' % PLAIN["iat"], b'"iat":' + number)


def codes() -> Iterator[Vector]:
    opened = record.open_record(GOOD)
    text = code.make(opened.payload, opened.digest, KEY, PAGE)
    data = record.to_json(GOOD)
    both = {"code.txt": text.encode(), "record.json": data}
    yield "code-signature-matches", {"code.txt": text.encode()}
    yield "code-matches-record", both
    _, *head = cbor2.loads(code.read(text).payload)
    first = [1, *head[:7], sum(head[7:10]), *head[10:]]  # as the first version counted
    yield "code-matches-record--version-1", {**both, "code.txt": _resigned(first).encode()}
    yield "code-other-words--version-1", {**both, "code.txt": _resigned([*first[:8], 2, *first[9:]]).encode()}
    other = resealed(lambda p: p.update(job="26-042"))
    yield "code-other-record", {**both, "record.json": record.to_json(other)}
    lying = code.make(record.open_record(other).payload, opened.digest, KEY, PAGE)
    yield "code-other-words", {"code.txt": lying.encode(), "record.json": data}
    not_its_key = code.make(opened.payload, opened.digest, OTHER, PAGE)
    yield "code-other-words--other-key", {"code.txt": not_its_key.encode(), "record.json": data}
    summary = code.read(text)
    for name, raw in _bad_code_signatures(summary.signature).items():
        yield f"code-signature-wrong{name}", {"code.txt": _code(summary.payload, raw).encode()}
    for name, bad in _bad_codes(text, summary).items():
        yield f"code-shape{name}", {"code.txt": bad.encode()}
    yield "not-canonical", {"code.txt": (text + "=").encode()}


def _bad_code_signatures(raw: bytes) -> dict[str, bytes]:
    high = raw[:32] + (P256_ORDER - int.from_bytes(raw[32:])).to_bytes(32)
    return {"": bytes([raw[0] ^ 1]) + raw[1:], "--high-s": high, "--zero": bytes(64)}


def _bad_codes(text: str, summary: code.CodeSummary) -> dict[str, str]:
    """Codes that are not in the one form, each signed or not."""
    sign1 = base64url.decode(text.partition("#")[2])
    with_kid = sign1.replace(b"\xa0", bytes.fromhex("a10441aa"), 1)
    array = list(cbor2.loads(summary.payload))
    return {
        "": text.replace("#", "?"),
        "--page": text.replace("https", "ftp"),
        "--too-long": "https://check.example/" + "r" * 400 + text[len(PAGE) :],
        "--cut-short": f"{PAGE}#{base64url.encode(sign1[:-1])}",
        "--longer": f"{PAGE}#{base64url.encode(sign1 + bytes(1))}",
        "--other-typ": f"{PAGE}#{base64url.encode(sign1.replace(b'-code', b'-kode'))}",
        "--unprotected-key": f"{PAGE}#{base64url.encode(with_kid)}",
        "--true-for-one": _resigned([True, *array[1:]]),
        "--version": _resigned([3, *array[1:]]),
        "--version-without-its-counts": _resigned([1, *array[1:]]),
        "--date": _resigned([*array[:5], 20261, *array[6:]]),
        "--range-backwards": _resigned([*array[:7], [3, 1], *array[8:]]),
        "--true-for-version-1": _resigned([True, *array[1:7], 0, 2, *array[11:]]),
        "--below-nothing": _resigned([*array[:7], [-1, 1], *array[8:]]),
        "--range-of-three": _resigned([*array[:7], [1, 2, 3], *array[8:]]),
        "--range": _resigned([*array[:7], [3, 3], *array[8:]]),
        "--point": _resigned([*array[:3], b"\x02" + b"\xff" * 32, *array[4:]]),
        "--point-in-full": _resigned([*array[:3], b"\x04" + bytes(64), *array[4:]]),
        "--text-as-bytes": _resigned([*array[:4], b"stool", *array[5:]]),
        "--more": _resigned([*array, 0]),
        "--map": _code(b"\xa0", bytes(64)),
        "--long-head": _code(b"\x98\x0f" + summary.payload[1:], bytes(64)),
        "--deep": _code(b"\x81" * 150, bytes(64)),
    }


def _resigned(array: list[Any]) -> str:
    payload = cbor2.dumps(array, canonical=True)
    to_sign = cbor2.dumps(
        ["Signature1", cbor2.dumps({1: -7, 16: TYP_CODE}, canonical=True), b"", payload], canonical=True
    )
    return _code(payload, KEY.sign(to_sign))


def _code(payload: bytes, signature: bytes) -> str:
    protected_header = cbor2.dumps({1: -7, 16: TYP_CODE}, canonical=True)
    sign1 = cbor2.dumps(cbor2.CBORTag(18, [protected_header, {}, payload, signature]), canonical=True)
    return f"{PAGE}#{base64url.encode(sign1)}"


RECORDS = (good, headers, algorithms, keys, signatures, payloads, photographs, disclosures, strict_bytes)


def all_vectors() -> dict[str, bytes]:
    """Every file of every vector, by its path below tests/vectors."""
    files: dict[str, bytes] = {}
    vectors = [("record", one) for make in RECORDS for one in make()] + [("code", one) for one in codes()]
    for room, (name, contents) in vectors:
        for file, data in contents.items():
            path = f"{room}/{name}/{file}"
            assert path not in files, path
            files[path] = data
    return files


if __name__ == "__main__":
    for path, data in all_vectors().items():
        target = Path(sys.argv[1]) / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(data)
