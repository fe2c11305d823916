"""The three algorithms against published vectors: FIPS 186 and 204, Ed25519's own list, small orders.

The files come from the package `cryptography-vectors`, which carries them as their authors published them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import cryptography_vectors
import pytest
from cryptography.hazmat.primitives.asymmetric import ec, ed25519, mldsa

from dossier import canonical
from dossier.model.record import Signature
from dossier.model.statements import TYP_STATEMENT
from dossier.seal import algorithms, base64url, signatures
from dossier.seal.algorithms import BadKeyError
from dossier.seal.keys import WorkshopKey

PUBLISHED = Path(cryptography_vectors.__file__).parent / "asymmetric"
P = 2**255 - 19  # RFC 7748 section 4.1
D = -121665 * pow(121666, -1, P) % P  # RFC 8032 section 5.1


def blocks(text: str) -> Iterator[dict[str, str]]:
    """Blocks of `name = value` lines, as NIST writes them."""
    for block in re.split(r"\n\s*\n", text.replace("\r", "")):
        pairs = dict(line.split(" = ", 1) for line in block.splitlines() if " = " in line)
        if pairs:
            yield pairs


def test_es256_takes_what_fips_186_says_holds_and_nothing_else() -> None:
    """SigVer.rsp of NIST's validation system, P-256 with SHA-256: 15 signatures, most of them changed."""
    text = (PUBLISHED / "ECDSA/FIPS_186-3/SigVer.rsp").read_text()
    part = text.partition("[P-256,SHA-256]")[2].partition("[P-256,SHA-384]")[0]
    answers = []
    for row in blocks(part):
        key = algorithms.jwk("ES256", bytes.fromhex(row["Qx"]), bytes.fromhex(row["Qy"]))
        r, s = int(row["R"], 16), int(row["S"], 16)
        low = r.to_bytes(32) + min(s, algorithms.P256_ORDER - s).to_bytes(32)
        public = algorithms.load_public(key)
        holds = algorithms.verifies("ES256", public, low, bytes.fromhex(row["Msg"]))
        assert holds == row["Result"].startswith("P")
        answers.append(holds)
    assert len(answers) == 15
    assert True in answers
    assert False in answers


@pytest.mark.parametrize(
    ("r", "s"),
    [
        (0, 1),
        (1, 0),
        (0, 0),
        (algorithms.P256_ORDER, 1),
        (1, algorithms.P256_ORDER),
        (2**256 - 1, 1),
    ],
)
def test_es256_refuses_r_and_s_out_of_range(r: int, s: int) -> None:
    """FIPS 186-5 section 6.4.2 step 1: both in 1 .. n - 1."""
    key = WorkshopKey(ec.derive_private_key(20261125, ec.SECP256R1()))
    public = algorithms.load_public(key.public)
    assert not algorithms.verifies("ES256", public, r.to_bytes(32) + s.to_bytes(32), b"anything")


def test_ed25519_takes_the_published_signatures_and_no_changed_one() -> None:
    """The list of 1,024 that the authors of Ed25519 published (sign.input); every sixteenth of them."""
    lines = (PUBLISHED / "Ed25519/sign.input").read_text().splitlines()[::16]
    assert len(lines) == 64
    for line in lines:
        _, public, message, signed, _ = line.split(":")
        key = algorithms.load_public(algorithms.jwk("Ed25519", bytes.fromhex(public)))
        raw, data = bytes.fromhex(signed)[:64], bytes.fromhex(message)
        assert algorithms.verifies("Ed25519", key, raw, data)
        assert not algorithms.verifies("Ed25519", key, raw, data + b"\0")
        # RFC 8032 section 5.1.7: S + L is a second form of the same number, and refused.
        order = 2**252 + 27742317777372353535851937790883648493
        other = raw[:32] + (int.from_bytes(raw[32:], "little") + order).to_bytes(32, "little")
        assert not algorithms.verifies("Ed25519", key, other, data)


def test_ml_dsa_65_makes_the_published_keys_and_takes_only_signatures_without_a_context() -> None:
    """Known answers of FIPS 204's reference implementation (deterministic, pure); RFC 9964: no context."""
    rows = list(blocks_of_counts((PUBLISHED / "MLDSA/kat_MLDSA_65_det_pure.rsp").read_text()))[:20]
    assert len(rows) == 20
    for row in rows:
        made = mldsa.MLDSA65PrivateKey.from_seed_bytes(bytes.fromhex(row["xi"])).public_key()
        assert made.public_bytes_raw().hex() == row["pk"]
        public = algorithms.load_public(algorithms.jwk("ML-DSA-65", bytes.fromhex(row["pk"])))
        signed, data = bytes.fromhex(row["sm"])[:3309], bytes.fromhex(row["msg"])
        context = bytes.fromhex(row.get("ctx", ""))
        public.verify(signed, data, context)
        assert algorithms.verifies("ML-DSA-65", public, signed, data) == (context == b"")


def test_ml_dsa_65_has_one_form_of_a_hint() -> None:
    """FIPS 204 algorithm 21, in the manner of Wycheproof: places in order, each once, zeros behind the last.

    Of 3,309 bytes the last 61 are the hint: 55 places, then for each of 6 rows how many are used so far.
    """
    private = mldsa.MLDSA65PrivateKey.from_seed_bytes(bytes(range(32)))
    public = algorithms.load_public(algorithms.jwk("ML-DSA-65", private.public_key().public_bytes_raw()))
    signed = next(one for one in iter(lambda: private.sign(b"payload"), None) if one[-6] > 1 and one[-1] < 55)
    hint, at = signed[-61:], signed[-1]
    forms = {
        "behind the last": hint[:at] + b"\x01" + hint[at + 1 :],
        "out of order": hint[1::-1] + hint[2:],
        "twice": hint[:1] * 2 + hint[2:],
        "too many": hint[:-1] + b"\x38",
        "fewer than before": hint[:55] + bytes([hint[56] + 1]) + hint[56:],
    }
    assert algorithms.verifies("ML-DSA-65", public, signed, b"payload")
    for name, form in forms.items():
        assert len(form) == 61
        assert not algorithms.verifies("ML-DSA-65", public, signed[:-61] + form, b"payload"), name


def blocks_of_counts(text: str) -> Iterator[dict[str, str]]:
    for block in text.split("count = ")[1:]:
        yield dict(line.split(" = ", 1) for line in block.splitlines() if " = " in line)


def small_orders() -> list[bytes]:
    """Every encoding of a point whose order divides 8, worked out from the curve's equation (RFC 8032)."""
    found = []
    for y in candidates():
        for sign in (0, 1 << 255):
            found.append((y | sign).to_bytes(32, "little"))
            if y + P < 2**255:  # the same number in a second form
                found.append((y + P | sign).to_bytes(32, "little"))
    return found


def candidates() -> list[int]:
    """y of the points with 8 P = 0: of 4 P = 0 they are 0, 1 and -1; for the others y(2 P) = 0.

    Doubling gives y = (y^2 + x^2) / (2 - y^2 + x^2) (the addition law), so x^2 = -y^2; with the curve's
    -x^2 + y^2 = 1 + d x^2 y^2 that is d y^4 + 2 y^2 - 1 = 0.
    """
    root = square_root((1 + D) % P)
    squares = [(-1 + sign * root) * pow(D, -1, P) % P for sign in (1, -1)]
    roots = [y for square in squares if (y := square_root(square)) is not None]
    return sorted({0, 1, P - 1, *roots, *(P - y for y in roots)})


def square_root(number: int) -> int | None:
    """Modulo p = 5 (mod 8), by RFC 8032 section 5.1.3."""
    root = pow(number, (P + 3) // 8, P)
    for one in (root, root * pow(2, (P - 1) // 4, P) % P):
        if one * one % P == number % P:
            return one
    return None


def test_there_are_five_heights_of_small_order() -> None:
    assert len(candidates()) == 5


@pytest.mark.parametrize("point", small_orders(), ids=lambda point: point.hex()[:8] + point.hex()[-2:])
def test_no_ed25519_key_of_small_order_is_taken(point: bytes) -> None:
    with pytest.raises(BadKeyError):
        algorithms.load_public(algorithms.jwk("Ed25519", point))


def test_under_a_key_of_small_order_anything_would_hold() -> None:
    """Why it is refused: with the neutral point as key, R neutral and S nought hold for every message."""
    neutral = (1).to_bytes(32, "little")
    loose = ed25519.Ed25519PublicKey.from_public_bytes(neutral)
    assert algorithms.verifies("Ed25519", loose, neutral + bytes(32), b"one thing")
    assert algorithms.verifies("Ed25519", loose, neutral + bytes(32), b"another")
    key = algorithms.jwk("Ed25519", neutral)
    header = {"alg": "Ed25519", "kid": key["kid"], "typ": TYP_STATEMENT}
    forged = Signature(
        protected=base64url.encode(canonical.encode(header)), signature=base64url.encode(neutral + bytes(32))
    )
    checked = signatures.check(b"{}", [forged], [key], (), TYP_STATEMENT)
    assert [problem.code for problem in checked.problems] == ["key-shape"]
