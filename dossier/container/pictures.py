"""The JPEG pictures placed on a dossier's pages, as they stand in the file, by their digest.

Bounded by the limits; nothing is decoded. Not done here: which page shows which.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from pathlib import Path

from dossier.container.read import DEFAULT_LIMITS, objects_of
from dossier.container.said import unreadable
from dossier.container.scan import Objects, Piece, value_of
from dossier.container.values import Name
from dossier.container.window import opened
from dossier.errors import NotCanonicalError
from dossier.model.container import Limits

PICTURES_BYTES = 128 << 20  # all pictures of a dossier together


def placed_pictures(path: Path, limits: Limits = DEFAULT_LIMITS) -> dict[str, bytes]:
    """SHA-256 (hex) -> bytes of every JPEG image in the file. Raises UnreadableError."""
    found: dict[str, bytes] = {}
    total = 0
    with opened(path, limits) as window:
        for piece in _images(objects_of(window, limits)):
            total += piece.stream_length
            if piece.stream_length > limits.stream_bytes or total > PICTURES_BYTES:
                raise unreadable("stream-too-large")
            data = window.read(piece.stream_at, piece.stream_length)
            found[hashlib.sha256(data).hexdigest()] = data
    return found


def _images(objects: Objects) -> Iterator[Piece]:
    for number in range(1, objects.count + 1):
        try:
            piece = objects.piece(number)
            value = value_of(piece)
        except NotCanonicalError:
            continue
        if piece.is_stream and isinstance(value, dict) and _is_jpeg(value):
            yield piece


def _is_jpeg(entries: Mapping[Name, object]) -> bool:
    filters = entries.get(Name("/Filter"))
    jpeg = Name("/DCTDecode")
    return entries.get(Name("/Subtype")) == Name("/Image") and filters in (jpeg, [jpeg])
