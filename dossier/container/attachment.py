"""A file to put inside a dossier, and what its name may be."""

from __future__ import annotations

import datetime as dt
import re
from pathlib import Path

import msgspec

from dossier.model.container import Relationship

_NAME = re.compile(r"[A-Za-z0-9_-][A-Za-z0-9._-]{0,99}")
_DEVICE = re.compile(r"(?:con|prn|aux|nul|com[0-9]|lpt[0-9])(?:\..*)?", re.IGNORECASE)


class Attachment(msgspec.Struct, frozen=True, kw_only=True):
    """A file to put inside. `source` is read once, in pieces; it must have `size` bytes and this digest."""

    name: str  # see is_safe_name
    media_type: str
    relationship: Relationship
    description: str
    source: bytes | Path
    size: int
    sha256: str  # hex
    created: dt.datetime  # with a zone


def is_safe_name(name: str) -> bool:
    """A flat name that means the same file on every system: no folder, no outer dot, no device."""
    return bool(_NAME.fullmatch(name)) and not name.endswith(".") and not _DEVICE.fullmatch(name)
