"""The certificate inside says that it is of a version that there is not."""

from __future__ import annotations

import ssl
from typing import Any


def make(bench: Any) -> Any:
    found = bench.held()
    der = ssl.PEM_cert_to_DER_cert(bench.attached("certificate.pem", of=found).decode())
    der = der.replace(bytes.fromhex("a003020102"), bytes.fromhex("a003020142"), 1)
    bench.attach(found, "certificate.pem", ssl.DER_cert_to_PEM_cert(der).encode())
    return bench.write(found.whole())
