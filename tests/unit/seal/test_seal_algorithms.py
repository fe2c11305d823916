"""Keys and signatures against the published values of their standards and against other libraries."""

from __future__ import annotations

import hashlib
import json
from typing import Any

import pytest
from cryptography.hazmat.primitives.asymmetric import ec, ed25519, mldsa
from cryptography.hazmat.primitives.asymmetric.utils import encode_dss_signature
from hypothesis import given, settings
from hypothesis import strategies as st
from joserfc.jwk import ECKey, OKPKey
from jwcrypto.jwk import JWK

from dossier.errors import NotCanonicalError
from dossier.seal import algorithms, base64url
from dossier.seal.algorithms import BadKeyError
from dossier.seal.keys import WorkshopKey, fingerprint_words, public_jwk

# RFC 6979 appendix A.2.5: P-256, SHA-256, message "sample".
RFC6979_KEY = 0xC9AFA9D845BA75166B5C215767B1D6934E50C3DB36E89B127B8A622B120F6721
RFC6979_R = 0xEFD48B2AACB6A8FD1140DD9CD45E81D69D2C877B56AAF991C34D0EA84EAF3716
RFC6979_S = 0xF7CB1C942D657C41D436C7A1B6E29F65F3E900DBB9AFF4064DC4AB2F843ACDA8
# RFC 7515 appendix A.3.1: the key, the signing input and the signature as printed.
RFC7515_X = "f83OJ3D2xF1Bg8vub9tLe1gHMzV76e8Tus9uPHvRVEU"
RFC7515_Y = "x_FEzRu9m36HLN_tue659LNpXW6pCyStikYjKIWI5a0"
RFC7515_INPUT = (
    "eyJhbGciOiJFUzI1NiJ9.eyJpc3MiOiJqb2UiLA0KICJleHAiOjEzMDA4MTkzODAsDQogImh0dHA6Ly9leGFtcGxlLmNvbS9pc19yb290"
    "Ijp0cnVlfQ"
)
RFC7515_SIGNATURE = "DtEhU3ljbEg8L38VWAfUAqOyKAM6-Xx-F4GawxaepmXFCgfTjDxw5djxLa8ISlSApmWQxfKTUJqPP3-Kg6NU1Q"
# RFC 8032 section 7.1, TEST 1: secret key, public key, signature over the empty message.
RFC8032_SECRET = "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60"
RFC8032_PUBLIC = "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a"
RFC8032_SIGNATURE = (
    "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46b"
    "d25bf5f0595bbe24655141438e7a100b"
)


def test_es256_signs_by_rfc_6979_with_the_lower_s() -> None:
    key = WorkshopKey(ec.derive_private_key(RFC6979_KEY, ec.SECP256R1()), deterministic=True)
    signature = key.sign(b"sample")
    assert int.from_bytes(signature[:32]) == RFC6979_R
    assert (
        int.from_bytes(signature[32:]) == algorithms.P256_ORDER - RFC6979_S
    )  # the published s is the higher


def test_es256_verifies_the_example_of_rfc_7515() -> None:
    key = algorithms.jwk("ES256", base64url.decode(RFC7515_X), base64url.decode(RFC7515_Y))
    raw = base64url.decode(RFC7515_SIGNATURE)
    public = algorithms.load_public(key)
    assert algorithms.verifies("ES256", public, raw, RFC7515_INPUT.encode())
    assert not algorithms.verifies("ES256", public, raw, RFC7515_INPUT.encode() + b"x")
    assert algorithms.is_high_s(raw)  # the example has the higher s, which this format does not take


def test_the_order_of_p256_is_the_order() -> None:
    """n * G is the point at infinity: the key n - 1 has the public point of the key 1 with y negated."""
    one = ec.derive_private_key(1, ec.SECP256R1()).public_key().public_numbers()
    last = ec.derive_private_key(algorithms.P256_ORDER - 1, ec.SECP256R1()).public_key().public_numbers()
    assert one.x == last.x
    assert one.y != last.y


def test_ed25519_is_that_of_rfc_8032_and_rfc_8037() -> None:
    key = WorkshopKey(ed25519.Ed25519PrivateKey.from_private_bytes(bytes.fromhex(RFC8032_SECRET)))
    assert base64url.decode(key.public["x"]).hex() == RFC8032_PUBLIC
    assert key.sign(b"").hex() == RFC8032_SIGNATURE
    # RFC 8037 appendix A.3: the thumbprint of that same key.
    assert key.kid == "kPrK_qmxVWaYVA9wwBF6Iuo3vVzz7TxHCTwXBygrS4k"
    public = algorithms.load_public(key.public)
    assert algorithms.verifies("Ed25519", public, key.sign(b""), b"")
    order = 2**252 + 27742317777372353535851937790883648493  # RFC 8032 section 5.1
    raw = key.sign(b"")
    second = raw[:32] + (int.from_bytes(raw[32:], "little") + order).to_bytes(32, "little")
    assert not algorithms.verifies("Ed25519", public, second, b"")  # RFC 8032 section 5.1.7: S < L


def test_thumbprints_agree_with_other_libraries() -> None:
    p256 = public_jwk(ec.derive_private_key(11, ec.SECP256R1()).public_key())
    ed = public_jwk(ed25519.Ed25519PrivateKey.from_private_bytes(bytes(32)).public_key())
    assert ECKey.import_key(p256).thumbprint() == p256["kid"] == JWK(**p256).thumbprint()
    assert OKPKey.import_key(ed).thumbprint() == ed["kid"] == JWK(**ed).thumbprint()


def test_ml_dsa_65_keys_and_signatures_have_the_lengths_of_fips_204() -> None:
    """FIPS 204 table 2: public key 1952 bytes, signature 3309. The seed makes the key (RFC 9964)."""
    key = WorkshopKey(mldsa.MLDSA65PrivateKey.from_seed_bytes(bytes(32)))
    assert key.alg == "ML-DSA-65"
    assert set(key.public) == {"kty", "alg", "pub", "kid"}
    assert len(base64url.decode(key.public["pub"])) == 1952
    # RFC 9964 section 6: alg, kty and pub are what the thumbprint is over.
    required = json.dumps({n: key.public[n] for n in ("alg", "kty", "pub")}, separators=(",", ":"))
    assert key.kid == base64url.encode(hashlib.sha256(required.encode()).digest())
    signature = key.sign(b"stool")
    assert len(signature) == 3309
    public = algorithms.load_public(key.public)
    assert algorithms.verifies("ML-DSA-65", public, signature, b"stool")
    assert not algorithms.verifies("ML-DSA-65", public, signature, b"stools")
    assert not algorithms.verifies("ML-DSA-65", public, signature[:-1] + bytes([signature[-1] ^ 1]), b"stool")


@given(st.binary(max_size=200), st.integers(1, algorithms.P256_ORDER - 1))
@settings(deadline=None, max_examples=60)
def test_raw_signatures_always_have_the_lower_s(data: bytes, s: int) -> None:
    raw = algorithms.raw_ecdsa(encode_dss_signature(7, s))
    assert len(raw) == 64
    assert not algorithms.is_high_s(raw)
    assert int.from_bytes(raw[32:]) in (s, algorithms.P256_ORDER - s)


@pytest.mark.parametrize(
    "changes",
    [
        {"alg": "RS256"},
        {"alg": "ES384"},
        {"kty": "OKP"},
        {"crv": "P-384"},
        {"x": "AAAA"},
        {"x": "A" * 43 + "="},
        {"use": "sig"},
        {"d": "AAAA"},
        {"y": base64url.encode(bytes(32))},
        {"x": base64url.encode(b"\xff" * 32)},
    ],
    ids=str,
)
def test_a_key_in_another_form_is_refused(changes: dict[str, str]) -> None:
    good = public_jwk(ec.derive_private_key(11, ec.SECP256R1()).public_key())
    with pytest.raises(BadKeyError):
        algorithms.load_public({**good, **changes})
    with pytest.raises(BadKeyError):
        algorithms.load_public({name: good[name] for name in good if name != "y"})


@given(st.binary(max_size=80))
@settings(deadline=None)
def test_base64url_has_one_form(data: bytes) -> None:
    text = base64url.encode(data)
    assert base64url.decode(text) == data
    for other in (
        text + "=",
        text + "\n",
        " " + text,
        text.replace("-", "+") + "+",
        text + "A==",
        text + "\u00e9",
    ):
        with pytest.raises(NotCanonicalError):
            base64url.decode(other)


def test_spare_bits_are_refused() -> None:
    """RFC 4648 section 3.5: "Zg" is the one form of "f"; "Zh" decodes to the same byte."""
    assert base64url.decode("Zg") == b"f"
    with pytest.raises(NotCanonicalError):
        base64url.decode("Zh")


def test_the_fingerprint_is_the_first_128_bits_of_the_thumbprint() -> None:
    kid = base64url.encode(bytes.fromhex("0001ffff12d687 00 ff0000").ljust(32, b"\x09"))
    # 0x0001 = 1, 0xffff = 65535, 0x12d6 = 4822, 0x8700 = 34560, 0xff00 = 65280, 0x0009 = 9, 0x0909 = 2313
    assert fingerprint_words(kid) == "00001 65535 04822 34560 65280 00009 02313 02313"


def test_unknown_kinds_of_key_are_said() -> None:
    key: Any = ec.generate_private_key(ec.SECP384R1())
    with pytest.raises(Exception, match="of a kind that records are not signed with"):
        WorkshopKey(key).alg  # noqa: B018 - the property raises


N = algorithms.P256_ORDER


@pytest.mark.parametrize("r", [0, 1, N - 1, N, N + 1, 2**256 - 1])
@pytest.mark.parametrize("s", [0, 1, N // 2, N // 2 + 1, N - 1, N, 2**256 - 1])
def test_signatures_at_the_edges_of_their_range_do_not_hold(r: int, s: int) -> None:
    """Zero, one, the order and beyond: FIPS 186-5 section 6.4.2 wants r and s from 1 to n - 1."""
    public = ec.derive_private_key(11, ec.SECP256R1()).public_key()
    assert not algorithms.verifies("ES256", public, r.to_bytes(32) + s.to_bytes(32), b"stool")
    assert algorithms.is_high_s(bytes(32) + s.to_bytes(32)) == (s > N // 2)


@pytest.mark.parametrize(
    "raw", [bytes(64), b"\xff" * 64, b"\x01" + bytes(63)], ids=["zero", "ones", "identity"]
)
def test_ed25519_signatures_at_the_edges_do_not_hold(raw: bytes) -> None:
    public = ed25519.Ed25519PrivateKey.from_private_bytes(bytes(range(32))).public_key()
    assert not algorithms.verifies("Ed25519", public, raw, b"stool")
