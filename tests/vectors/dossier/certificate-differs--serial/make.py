"""The certificate inside bears another serial number than the one that was signed."""

from __future__ import annotations

import ssl
from typing import Any


def make(bench: Any) -> Any:
    found = bench.held()
    der = bytearray(ssl.PEM_cert_to_DER_cert(bench.attached("certificate.pem", of=found).decode()))
    # RFC 5280 section 4.1: the serial follows the version, a type and a length of its own before it.
    der[der.index(bytes.fromhex("a003020102")) + 7] ^= 1
    bench.attach(found, "certificate.pem", ssl.DER_cert_to_PEM_cert(bytes(der)).encode())
    return bench.write(found.whole())
