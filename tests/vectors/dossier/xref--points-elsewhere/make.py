"""The table says that an object stands somewhere else."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    whole = bench.pdf.read_bytes()
    at = whole.rindex(b"xref\n0 ") + 69
    return bench.write(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])
