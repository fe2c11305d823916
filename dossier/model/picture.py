"""What the flow knows of one photograph's bytes, handed to the record's builder.

Not here: pixels, paths. Invariant: `file` is the name inside photos/, as in `PhotoRow.file`.
"""

from __future__ import annotations

import msgspec

from dossier.model.record import Laid


class Shown(msgspec.Struct, frozen=True, kw_only=True):
    """One original by size and SHA-256 (hex), and the JPEG shown of it on a page (empty: not shown)."""

    file: str
    sha256: str
    bytes: int
    shown_sha256: str = ""
    shown_width: int = 0
    shown_height: int = 0
    laid: tuple[Laid, ...] = ()  # each `over` a file here, as `file` is


class Pictures(msgspec.Struct, frozen=True, kw_only=True):
    """What was made of the photographs of a job.

    `shown`: one row a photograph; `jpegs`: by file; `laid`: by file and the file it lies over. `rung`: of the
    ladder of `pictures.plan`.
    """

    shown: tuple[Shown, ...]
    jpegs: dict[str, bytes]
    laid: dict[tuple[str, str], bytes]
    rung: int = 0
