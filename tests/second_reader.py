"""A second checker of a sealed record, a key card and statements, written from FORMAT.md alone.

Nothing of the program is imported: json, hashlib, cryptography, and jsonschema for the published schemas.
Letters and sections are those of FORMAT.md. It answers with codes; where it and the program differ, one
of the two is wrong, or FORMAT.md leaves something open. Not done here: PDF, photographs, time-stamps,
certificates.
"""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, ed25519, mldsa
from cryptography.hazmat.primitives.asymmetric.utils import encode_dss_signature
from jsonschema import Draft202012Validator  # type: ignore[import-untyped]

SCHEMAS = Path(__file__).parents[1] / "schemas"
SCHEMA = json.loads((SCHEMAS / "record.schema.json").read_text(encoding="utf-8"))
ORDER = 0xFFFFFFFF00000000FFFFFFFFFFFFFFFFBCE6FAADA7179E84F3B9CAC2FC632551  # of P-256 (FIPS 186-5)
MARKS = {"...", "_sd", "_sd_alg"}
# Section 5: which arrays, and what a disclosure in each must be.
APART = {
    "owner": "Contact",
    "brought_by": "Contact",
    "payer": "Contact",
    "received_by": "Contact",
    "agreement_details": "AgreementDetail",
    "prices": "Price",
    "values": "Value",
    "private_marks": "Mark",
    "private_notes": "Note",
    "inputs": "Input",
}
# Section 10: members of a key, those that its thumbprint is over, and the length of a signature.
KEYS = {
    "ES256": (
        {"alg", "kty", "crv", "x", "y", "kid"},
        ("crv", "kty", "x", "y"),
        {"kty": "EC", "crv": "P-256"},
        64,
    ),
    "Ed25519": ({"alg", "kty", "crv", "x", "kid"}, ("crv", "kty", "x"), {"kty": "OKP", "crv": "Ed25519"}, 64),
    "ML-DSA-65": ({"alg", "kty", "pub", "kid"}, ("alg", "kty", "pub"), {"kty": "AKP"}, 3309),
}


class RefusedError(Exception):
    """The file is not what it claims to be; the first argument is the code."""


# --- section 2


def strict(data: bytes) -> Any:
    """JSON in its one form."""
    try:
        value = json.loads(
            data.decode("utf-8"), object_pairs_hook=_once, parse_float=_none, parse_constant=_none
        )
        same = written(value).encode("utf-8") == data
    except (ValueError, RecursionError):
        raise RefusedError("not-canonical") from None
    deep, many = _size(value)
    if not same or deep > 32 or many > 200_000 or len(data) > 8 << 20:
        raise RefusedError("not-canonical")
    return value


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    if len({name for name, _ in pairs}) != len(pairs):
        raise ValueError
    return dict(pairs)


def _none(_: str) -> None:
    raise ValueError


def written(value: Any) -> str:
    if isinstance(value, dict):
        names = sorted(value, key=lambda name: name.encode("utf-16-be"))
        return "{" + ",".join(f"{written(name)}:{written(value[name])}" for name in names) + "}"
    if isinstance(value, list):
        return "[" + ",".join(map(written, value)) + "]"
    if value is None or (isinstance(value, int) and abs(value) > 2**53 - 1):
        raise ValueError
    return json.dumps(value, ensure_ascii=False)


def _size(value: Any) -> tuple[int, int]:
    if not isinstance(value, dict | list):
        return 0, 0
    inner = [_size(one) for one in (value.values() if isinstance(value, dict) else value)]
    return 1 + max((deep for deep, _ in inner), default=0), 1 + sum(many for _, many in inner)


def b64(text: str) -> bytes:
    """base64url in its one form."""
    try:
        data = base64.b64decode(text.encode("ascii") + b"=" * (-len(text) % 4), b"-_", validate=True)
    except ValueError:
        raise RefusedError("not-canonical") from None
    if as64(data) != text:
        raise RefusedError("not-canonical")
    return data


def as64(data: bytes) -> str:
    return base64.urlsafe_b64encode(data).rstrip(b"=").decode("ascii")


# --- sections 4 and 10, check 4


def check_signatures(
    payload: str, signed: list[Any], keys: list[Any], typ: str
) -> tuple[set[str], list[str]]:
    """Codes of check 4 a to f, and the `kid` of each signature that holds."""
    codes: set[str] = set()
    seen: list[str] = []
    held: list[str] = []
    for one in signed:
        code, kid = _signature(one, payload, keys, typ, seen)
        codes |= {code} - {""}
        seen.append(kid)
        held += [] if code else [kid]
    return codes, held


def _signature(one: Any, payload: str, keys: list[Any], typ: str, seen: list[str]) -> tuple[str, str]:
    """The first code of 4 a to f, "" where the signature holds; its `kid`, as far as there is one."""
    try:
        header = _header(one["protected"], typ)
    except RefusedError as refused:
        return str(refused), ""
    kid = header["kid"]
    if kid in seen:
        return "signature-twice", kid
    key = next((key for key in keys if key.get("kid") == kid), None)
    return ("key-unknown" if key is None else _under(key, header["alg"], one, payload)), kid


def _header(text: str, typ: str) -> dict[str, str]:
    """4 a."""
    try:
        header = strict(b64(text))
    except RefusedError:
        raise RefusedError("header-shape") from None
    wrong = {
        "header-shape": not isinstance(header, dict),
        "header-members": isinstance(header, dict) and set(header) != {"alg", "kid", "typ"},
    }
    refuse({code for code, applies in wrong.items() if applies})
    if not all(isinstance(member, str) for member in header.values()):
        raise RefusedError("header-shape")
    if header["typ"] != typ:
        raise RefusedError("header-typ")
    if header["alg"] not in KEYS:
        raise RefusedError("algorithm-unknown")
    return dict(header)


def refuse(codes: set[str]) -> None:
    for code in codes:
        raise RefusedError(code)


def _under(key: Any, alg: str, one: Any, payload: str) -> str:
    public = public_key(key)
    if public is None:
        return "key-shape"
    if thumbprint(key) != key["kid"]:
        return "key-thumbprint"
    if key["alg"] != alg:
        return "algorithm-of-key"
    signature = b64(one["signature"])
    if len(signature) != KEYS[alg][3]:
        return "signature-length"
    s = int.from_bytes(signature[32:])
    if alg == "ES256" and s > ORDER - s:
        return "signature-high-s"
    return "" if _holds(public, signature, f"{one['protected']}.{payload}".encode()) else "signature-wrong"


def public_key(key: Any) -> Any:
    try:
        members, _, fixed, _ = KEYS[key["alg"]]
        if set(key) != members or any(key[name] != value for name, value in fixed.items()):
            return None
        if key["alg"] == "ML-DSA-65":
            return mldsa.MLDSA65PublicKey.from_public_bytes(b64(key["pub"]))
        x = b64(key["x"])
        if key["alg"] == "Ed25519":
            return ed25519.Ed25519PublicKey.from_public_bytes(x)
        y = b64(key["y"])
        if len(x) != 32 or len(y) != 32:
            return None
        return ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), b"\4" + x + y)
    except (KeyError, TypeError, ValueError, RefusedError):
        return None


def thumbprint(key: Any) -> str:
    over = {name: key[name] for name in KEYS[key["alg"]][1]}
    return as64(hashlib.sha256(written(over).encode()).digest())


def _holds(public: Any, signature: bytes, data: bytes) -> bool:
    try:
        if isinstance(public, ec.EllipticCurvePublicKey):
            der = encode_dss_signature(int.from_bytes(signature[:32]), int.from_bytes(signature[32:]))
            public.verify(der, data, ec.ECDSA(hashes.SHA256()))
        else:
            public.verify(signature, data)
    except InvalidSignature:
        return False
    return True


# --- a record


class Record:
    """A record.json, its checks 4 and 6 as codes."""

    def __init__(self, data: bytes) -> None:
        self.members = strict(data)
        _is_record(self.members)
        self.bytes = b64(self.members["payload"])
        self.payload = strict(self.bytes)
        if not isinstance(self.payload, dict):
            raise RefusedError("record-shape")
        for one in self.members["signatures"]:
            b64(one["signature"])
        self.digest = hashlib.sha256(self.bytes).hexdigest()
        self.held: list[str] = []
        self.signatures = self._signatures()
        self.disclosures = set(self._disclosures())

    def _signatures(self) -> set[str]:
        workshop = self.payload.get("workshop")
        workshop = workshop if isinstance(workshop, dict) else {}
        keys, wanted = (
            one if isinstance(one, list) else [] for one in map(workshop.get, ("keys", "signatures"))
        )
        self.keys = [key for key in keys if isinstance(key, dict)]
        codes, self.held = check_signatures(
            self.members["payload"], self.members["signatures"], self.keys, "restoration-record+sd-jwt"
        )
        named = [key.get("kid") for key in self.keys]
        self.algorithms = {key["alg"] for key in self.keys if key.get("kid") in self.held}
        if not set(wanted) <= self.algorithms:
            codes.add("signature-missing")
        if not set(named) <= set(self.held):
            codes.add("key-unsigned")
        if [kid for kid in named if kid in self.held] != self.held:
            codes.add("signature-order")
        return codes

    def _disclosures(self) -> Iterator[str]:
        payload = self.payload
        if not re.fullmatch(r"1\.(0|[1-9][0-9]*)", str(payload.get("format"))):
            yield "format-unknown"
        if payload.get("_sd_alg") != "sha-256":
            yield "sd-alg"
        places: dict[str, tuple[Any, ...]] = {}
        for path, entry in _objects(payload, ()):
            if "_sd" in entry or (path and "_sd_alg" in entry):
                yield "sd-in-object"
            if "..." in entry:
                digest = entry["..."]
                if len(entry) != 1 or not _is_place(path) or not _is_digest(digest):
                    yield "digest-place"
                elif digest in places:
                    yield "digest-twice"
                else:
                    places[digest] = path
        yield from self._opened(places)
        yield from fits("", payload, "payload-shape")
        yield from self._section_3()
        yield from self._photographs()

    def _section_3(self) -> Iterator[str]:
        """6 l: what the schema leaves to section 3."""
        iat, workshop = self.payload.get("iat"), self.payload.get("workshop", {})
        named = re.fullmatch(
            r"urn:uuid:[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}", str(self.payload.get("record"))
        )
        algorithms = workshop.get("signatures") or ["none"]
        if not named or type(iat) is not int or not 0 <= iat <= 253402300799:
            yield "payload-shape"
        if not workshop.get("keys") or not set(algorithms) <= set(KEYS):
            yield "payload-shape"
        if {"aud", "cnf", "exp", "nbf"} & set(self.payload):
            yield "payload-shape"

    def _opened(self, places: dict[str, tuple[Any, ...]]) -> Iterator[str]:
        order = {digest: self.bytes.index(digest.encode()) for digest in places}
        seen: set[str] = set()
        last = -1
        for text in self.members["signatures"][0]["header"]["disclosures"]:
            digest = as64(hashlib.sha256(text.encode()).digest())
            if digest in seen:
                yield "disclosure-twice"
            elif digest not in places:
                yield "disclosure-unreferenced"
            elif order[digest] < last:
                yield "disclosure-order"
            else:
                seen.add(digest)
                last = order[digest]
                yield from self._value(text, places[digest])

    def _value(self, text: str, path: tuple[Any, ...]) -> Iterator[str]:
        try:
            salt, value = strict(b64(text))
            good = len(b64(salt)) == 16
        except (RefusedError, ValueError, TypeError, AttributeError):
            good = False
        if not good:
            yield "disclosure-shape"
        elif any(MARKS & set(entry) for _, entry in _objects(value, ())):
            yield "disclosure-nested"
        else:
            kind = APART[path[1]] if path[0] == "apart" else "PhotoDetails"
            wrong = [*fits(kind, value, "disclosure-type")]
            yield from wrong
            if (
                not wrong
                and kind == "PhotoDetails"
                and value["name"] != self.payload["photographs"][path[1]]["name"]
            ):
                yield "photograph-details"

    def _photographs(self) -> Iterator[str]:
        names: set[str] = set()
        found = self.payload.get("photographs", [])
        for one in found if isinstance(found, list) else []:
            if (
                not re.fullmatch(r"photo-[0-9]{3,6}\.[a-z0-9]{1,5}", str(one.get("name")))
                or one["name"] in names
            ):
                yield "photograph-name"
            if len(one.get("details", [])) != 1:
                yield "photograph-details"
            names.add(one.get("name"))


def _is_record(members: Any) -> None:
    """Section 4: exactly these members."""
    good = isinstance(members, dict) and set(members) == {"payload", "signatures"}
    good = good and isinstance(members["payload"], str) and isinstance(members["signatures"], list)
    if not good or not members["signatures"] or len(members["signatures"]) > 4:
        raise RefusedError("record-shape")
    for number, one in enumerate(members["signatures"]):
        wanted = {"protected", "signature"} | (set() if number else {"header"})
        if not isinstance(one, dict) or set(one) != wanted:
            raise RefusedError("record-shape")
        if not isinstance(one["protected"], str) or not isinstance(one["signature"], str):
            raise RefusedError("record-shape")
    header = members["signatures"][0]["header"]
    if not isinstance(header, dict) or set(header) != {"disclosures"}:
        raise RefusedError("record-shape")
    texts = header["disclosures"]
    if not isinstance(texts, list) or not all(isinstance(text, str) for text in texts) or len(texts) > 20_000:
        raise RefusedError("record-shape")


def _objects(value: Any, path: tuple[Any, ...]) -> Iterator[tuple[tuple[Any, ...], dict[str, Any]]]:
    if isinstance(value, dict):
        yield path, value
    if isinstance(value, dict | list):
        for step, one in value.items() if isinstance(value, dict) else enumerate(value):
            yield from _objects(one, (*path, step))


def _is_place(path: tuple[Any, ...]) -> bool:
    """6 d: an element of one of the arrays of section 5, for `details` the first."""
    if len(path) == 3:
        return path[0] == "apart" and path[1] in APART and isinstance(path[2], int)
    return len(path) == 4 and path[0] == "photographs" and path[2:] == ("details", 0)


def _is_digest(value: Any) -> bool:
    return isinstance(value, str) and re.fullmatch(r"[A-Za-z0-9_-]{43}", value) is not None


def fits(kind: str, value: Any, code: str, schema: Any = SCHEMA) -> Iterator[str]:
    """6 k, l: the type is that of the published schema."""
    wanted = {"$ref": f"#/$defs/{kind}", "$defs": schema["$defs"]} if kind else schema
    if not Draft202012Validator(wanted).is_valid(value):
        yield code
