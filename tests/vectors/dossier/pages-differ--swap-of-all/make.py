"""Everything attached is swapped for that of another dossier of the same workshop."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    found = bench.unsigned()
    for name in (
        "record.json",
        "record.sd-jwt",
        "manifest.sha256",
        "certificate.pem",
        "pages.json",
        "record.tsr",
    ):
        bench.attach(found, name, bench.attached(name, other=True))
    return bench.write(found.whole())
