"""Bytes of any kind lie where a later revision keeps its certificates."""

from __future__ import annotations

from typing import Any

from dossier.container.time_revisions import Kept
from dossier.seal import stamp


def make(bench: Any) -> Any:
    token = stamp.read_file((bench.folder / "record.tsr").read_bytes())
    return bench.revised(bench.state(), token, Kept((b"A second account of what was done.",)))
