"""From an original photograph to the JPEG a page shows, with the digest of the original.

Not done here: choosing sizes, drawing. Invariants: the original is opened for reading only, read once, and
its SHA-256 is of exactly the bytes the picture was made from; the derived JPEG is baseline, sRGB, upright and
holds nothing of the original but pixels (no EXIF, thumbnail, XMP, maker note, profile); the same bytes and
size give the same JPEG with the same versions of the libraries.
"""

from __future__ import annotations

import hashlib
import os
import stat
from collections.abc import Collection, Generator, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import msgspec

from dossier.errors import PictureError
from dossier.model.job import PhotoFacts
from dossier.model.picture_start import MOST_BYTES
from dossier.pictures import decode
from dossier.pictures.plan import Size
from dossier.pictures.side_by_side import WORKERS, Progress, Tell, at_work, in_order, unheard

Task = tuple[Path, PhotoFacts, Size]


class Derived(msgspec.Struct, frozen=True, kw_only=True):
    """One derived picture: `file` is the original's name; `sha256`, `width`, `height` are the JPEG's."""

    file: str
    original_sha256: str
    original_bytes: int
    jpeg: bytes
    width: int
    height: int
    sha256: str
    pixels: decode.Pixels  # the picture before it was encoded
    finer: decode.Pixels | None  # and before it was brought to its size (`decode.Decoded`)


def derive(path: Path, facts: PhotoFacts, size: Size, *, finer: bool = False) -> Derived:
    """The picture of `path` at `size`, with the `finer` one where that is asked for and at hand.

    Raises PictureError, whose message starts with the file's name.
    """
    try:
        return _derive(path, facts, size, finer)
    except PictureError as error:
        raise PictureError(f"{facts.file}: {error.message}", hint=error.hint) from error
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise PictureError(f"{facts.file}: {decode.problem('no_file', reason=reason).message}") from error


def derive_all(
    jobs: Sequence[Task],
    workers: int = WORKERS,
    progress: Progress | None = None,
    ready: dict[str, Derived] | None = None,
    finer: Collection[str] = (),
    pool: ThreadPoolExecutor | None = None,
    tell: Tell = unheard,
) -> Generator[Derived | PictureError]:
    """`derive` for each of `jobs`, in order, as `in_order` does; an error takes its picture's place.

    What stands in `ready` (by file, at the size asked for) is taken from there. `finer`: files of which the
    finer picture is asked for too. `tell`: hears in each thread what it is at work on.
    """
    kept = {} if ready is None else ready

    def made(task: Task) -> Derived:
        file = task[1].file
        with at_work(file, tell):
            return kept.pop(file, None) or derive(*task, finer=file in finer)

    return in_order(made, jobs, workers, progress, pool)


def _derive(path: Path, facts: PhotoFacts, size: Size, finer: bool) -> Derived:
    data = read_original(path, facts)
    digest = hashlib.sha256(data).hexdigest()
    pixels, before = decode.decode_both(data, facts.orientation, size.long_side)
    jpeg = encode(pixels, size.quality)
    return Derived(
        file=facts.file,
        original_sha256=digest,
        original_bytes=len(data),
        jpeg=jpeg,
        width=pixels.shape[1],
        height=pixels.shape[0],
        sha256=hashlib.sha256(jpeg).hexdigest(),
        pixels=pixels,
        finer=before if finer else None,
    )


def read_original(path: Path, facts: PhotoFacts) -> bytes:
    """The file's bytes, at most MOST_BYTES. Only an ordinary file is opened: a pipe would wait for ever.

    Raises PictureError and OSError.
    """
    if not stat.S_ISREG(path.stat().st_mode):
        raise decode.problem("not_a_file")
    with path.open("rb") as stream:
        found = os.fstat(stream.fileno())
        if found.st_size > MOST_BYTES:
            raise decode.problem("too_large")
        data = stream.read(found.st_size)
        found = os.fstat(stream.fileno())  # it may have been written over while it was read
    if not facts.fits(found.st_size, found.st_mtime_ns) or len(data) != found.st_size:
        raise decode.problem("changed")
    return data


def encode(pixels: decode.Pixels, quality: int) -> bytes:
    """Baseline JPEG, colour at half resolution (4:2:0), no metadata (a JFIF head says no density)."""
    cv2 = decode.opencv()
    swapped = cv2.cvtColor(pixels, cv2.COLOR_RGB2BGR)
    done, encoded = cv2.imencode(".jpg", swapped, [cv2.IMWRITE_JPEG_QUALITY, quality])
    if not done:
        raise decode.problem("undecodable")
    return bytes(encoded)
