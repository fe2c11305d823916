"""Behind the certificate of the key stands one that did not issue it, with words in its name."""

from __future__ import annotations

from typing import Any

from time_server import NOW

from dossier.seal import keyfiles, keys


def make(bench: Any) -> Any:
    found = bench.held()
    content = bench.attached("certificate.pem", of=found)
    more = keyfiles.certificate_pem(keys.new_key("Confirmed by the guild of the trade", now=NOW))
    bench.attach(found, "certificate.pem", content + more)
    return bench.write(found.whole())
