"""The certificate inside says that its key is on a curve that there is not."""

from __future__ import annotations

import ssl
from typing import Any


def make(bench: Any) -> Any:
    found = bench.held()
    der = ssl.PEM_cert_to_DER_cert(bench.attached("certificate.pem", of=found).decode())
    der = der.replace(bytes.fromhex("06082a8648ce3d030107"), bytes.fromhex("06082a8648ce3d030166"))
    bench.attach(found, "certificate.pem", ssl.DER_cert_to_PEM_cert(der).encode())
    return bench.write(found.whole())
