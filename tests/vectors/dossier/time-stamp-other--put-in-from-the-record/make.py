"""The time-stamp of the record, which holds, put into the PDF as one of a later year over all of it."""

from __future__ import annotations

from typing import Any

from dossier.seal import stamp


def make(bench: Any) -> Any:
    token = stamp.read_file((bench.folder / "record.tsr").read_bytes())
    return bench.revised(bench.state(), token)
