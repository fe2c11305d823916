"""What a PDF may keep beside a time-stamp: bounds that no file of the other tests reaches.

Lists and certificates are made by the library `cryptography`.
"""

from __future__ import annotations

import datetime as dt

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import Encoding
from time_server import NOW, certificate

from dossier.seal import kept


def test_of_how_many_keys_of_one_name_a_list_is_held_against() -> None:
    keys = [ec.generate_private_key(ec.SECP256R1()) for _ in range(kept.MOST_KEYS + 1)]
    issuers = [certificate("Issuer", key, None, key, ca=True) for key in keys]
    made = x509.CertificateRevocationListBuilder().issuer_name(issuers[0].subject)
    made = made.last_update(NOW).next_update(NOW + dt.timedelta(1))
    one = made.sign(keys[0], hashes.SHA256()).public_bytes(Encoding.DER)
    among = [issuer.public_bytes(Encoding.DER) for issuer in issuers]
    assert kept.fault([one], among[:-1], among[:-1]) == ""
    assert kept.fault([one], among[1:-1], among[1:-1]) == "others"
    assert kept.fault([one], among, among) == "many"
    assert kept.fault([one] * kept.MOST_LISTS, among[:-1], among[:-1]) == ""
    assert kept.fault([one] * (kept.MOST_LISTS + 1), among[:-1], among[:-1]) == "many"
    assert kept.fault([], [*among[:-1], b"words"], among[:-1]) == "others"
    assert kept.fault([one] * (kept.MOST_LISTS + 1), [*among, b"words"], among) == "others"
    assert kept.fault([one], among[:-1], [*among[:-1], b"words"]) == "others"


def test_how_much_is_hashed_for_them(monkeypatch: pytest.MonkeyPatch) -> None:
    key = ec.generate_private_key(ec.SECP256R1())
    issuer = certificate("Issuer", key, None, key, ca=True)
    made = x509.CertificateRevocationListBuilder().issuer_name(issuer.subject)
    made = made.last_update(NOW).next_update(NOW + dt.timedelta(1))
    one = made.sign(key, hashes.SHA256()).public_bytes(Encoding.DER)
    among = [issuer.public_bytes(Encoding.DER)]
    monkeypatch.setattr(kept, "MOST_HASHED", 2 * len(one))
    assert [kept.fault([one] * count, among, among) for count in (2, 3)] == ["", "many"]


def test_keys_that_take_long_are_not_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    """RSA of 16,384 bits and an exponent of 64, as OpenSSL takes it, had made it a matter of ten seconds."""
    issuer, other = (rsa.generate_private_key(65537, bits) for bits in (3072, 2048))
    odd = ec.generate_private_key(ec.SECP256K1())  # of a curve that nothing here uses
    by = certificate("Issuer", issuer, None, issuer, ca=True)
    made = x509.CertificateRevocationListBuilder().issuer_name(by.subject)
    made = made.last_update(NOW).next_update(NOW + dt.timedelta(1))
    one = made.sign(issuer, hashes.SHA256()).public_bytes(Encoding.DER)
    others = (certificate("Other", key, None, key) for key in (other, odd))
    among = [found.public_bytes(Encoding.DER) for found in (by, *others)]
    for most, said in ((3072, ""), (3071, "many")):
        monkeypatch.setattr(kept, "MOST_BITS", most)
        assert kept.fault([one], among, among) == said


def test_another_of_the_name_is_not_the_issuer() -> None:
    """After a change of key, an authority has its name still (RFC 4210 section 4.4, from memory)."""
    old, new, own = (ec.generate_private_key(ec.SECP256R1()) for _ in range(3))
    before, after = (certificate("Issuer", key, None, key, ca=True) for key in (old, new))
    clock = certificate("Clock", own, before, old)
    made = x509.CertificateRevocationListBuilder().issuer_name(before.subject)
    made = made.last_update(NOW).next_update(NOW + dt.timedelta(1))
    of_old, of_other = (made.sign(key, hashes.SHA256()).public_bytes(Encoding.DER) for key in (old, own))
    first, second, third = (one.public_bytes(Encoding.DER) for one in (clock, after, before))
    assert kept.are_of_issuers([of_old], [first])
    assert kept.are_of_issuers([of_old], [first, second])  # put in later
    assert kept.are_of_issuers([of_old], [first, second, third])
    assert not kept.are_of_issuers([of_other], [first, second, third])
