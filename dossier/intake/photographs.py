"""The photographs folder: what every file in it says of itself, from header and EXIF alone.

Not done here: pixels, photos.csv, judging the evidence. Invariants: nothing is written or changed; no file
stops the rest (a file that cannot serve carries its `problem` in plain words); links that lead out of the
folder are not followed; the file's own time is never taken for the time of capture.
"""

from __future__ import annotations

import logging
import os
import warnings
from collections.abc import Iterator
from datetime import tzinfo
from functools import lru_cache
from pathlib import Path, PurePosixPath
from typing import Any
from zoneinfo import ZoneInfo

import msgspec
from PIL import Image

from dossier.durable import too_long
from dossier.intake import photo_exif, photo_header, photo_profile
from dossier.intake.cloud import in_cloud
from dossier.intake.photo_header import Header, HeaderError
from dossier.model import picture_start
from dossier.model.job import PhotoFacts
from dossier.words import Catalogue

MAX_FILES = 10_000
MAX_DEPTH = 12
_SIDECARS = {".xmp", ".aae", ".thm", ".pp3", ".dop", ".cos", ".on1", ".vrd", ".ini", ".db", ".lnk", ".ctg"}
_SIDECARS |= {".identifier"}  # "a.jpg:Zone.Identifier": where Windows had it from, written out as a file
# Problems of a photograph that may be in order and serve once it is at hand.
_UNOPENED = frozenset({"in_cloud", "folder_unreadable", "path_too_long", "unreadable"})
_BESIDES = frozenset({"film", "raw", "no_preview"})
_SKIPPED_FOLDERS = {"@eadir", "__macosx", "$recycle.bin", "system volume information"}
_WORDS = Catalogue()
logging.getLogger("PIL").addHandler(logging.NullHandler())  # what it would print, `problem` says


def read_facts(photos: Path, zone: str) -> list[PhotoFacts]:
    """Facts of every file below `photos`, sorted by name ("/" between folders); [] where there is no folder.

    `zone` is the job's IANA time zone, for times without an offset; one that is not known counts as UTC
    (the reader of the job folder reports it).
    """
    with warnings.catch_warnings():
        warnings.simplefilter(
            "ignore"
        )  # the picture library warns of every odd EXIF tag; facts say it instead
        found = [_facts(photos, name, kind, zone_of(zone)) for name, kind in _walk(photos)]
    return sorted(found, key=lambda facts: facts.file)


@lru_cache(maxsize=8)
def zone_of(name: str) -> tzinfo:
    """The IANA time zone `name`; UTC where there is none of that name."""
    try:
        return ZoneInfo(name)
    except (ValueError, OSError, KeyError):  # ZoneInfoNotFoundError is a KeyError
        return ZoneInfo("UTC")


def _walk(photos: Path) -> Iterator[tuple[str, str]]:
    """(name, "" or problem key) of every file and link below `photos` that is not hidden and no sidecar."""
    waiting, count = [""], 0
    while waiting:
        folder = waiting.pop()
        for entry in _entries(photos, folder):
            count += 1
            if count > MAX_FILES:
                yield entry[0], "too_many"
                return
            name, kind = entry
            if kind == "folder" and name.count("/") < MAX_DEPTH:
                waiting.append(name)
            elif kind == "folder":
                yield name, "too_deep"
            else:
                yield name, kind


def _entries(photos: Path, folder: str) -> list[tuple[str, str]]:
    """(name, "" or "folder" or a problem key) for the entries of one folder worth looking at, by name."""
    try:
        with os.scandir(photos / folder if folder else photos) as entries:
            seen = sorted((e for e in entries if not _skipped(e.name)), key=lambda e: e.name)
            here = {e.name for e in seen}
            return [_entry(e, folder, photos) for e in seen if in_cloud(e.name) not in here]
    except FileNotFoundError:
        if not folder:
            return []
        return [(folder, "folder_unreadable")]  # its path may be longer than Windows takes
    except OSError:
        return [(folder or photos.name, "folder_unreadable")]


def _entry(entry: os.DirEntry[str], folder: str, photos: Path) -> tuple[str, str]:
    away = in_cloud(entry.name)
    name = away or entry.name
    return f"{folder}/{name}" if folder else name, "in_cloud" if away else _kind(entry, photos)


def _skipped(name: str) -> bool:
    lower = name.casefold()
    if away := in_cloud(lower):
        return _skipped(away)
    return (
        name.startswith((".", "~$")) or lower in _SKIPPED_FOLDERS or PurePosixPath(lower).suffix in _SIDECARS
    )


def _kind(entry: os.DirEntry[str], photos: Path) -> str:
    if entry.is_symlink():
        return _link_kind(Path(entry.path), photos)
    if entry.is_dir(follow_symlinks=False):
        return "folder"
    return "" if entry.is_file(follow_symlinks=False) else "not_a_file"


def _link_kind(link: Path, photos: Path) -> str:
    try:
        target = link.resolve(strict=True)
    except (OSError, RuntimeError):  # leads nowhere, or round in a circle
        return "link_broken"
    if not target.is_relative_to(photos.resolve()):
        return "link_outside"
    if target.is_dir():
        return "link_folder"
    return "" if target.is_file() else "not_a_file"


def _facts(photos: Path, name: str, kind: str, zone: tzinfo) -> PhotoFacts:
    if not _writable_name(name):
        shown = name.encode("utf-8", "surrogateescape").decode("utf-8", "replace")
        return _nothing(shown, "bad_name")
    if kind:
        return _nothing(name, kind, limit={"too_many": MAX_FILES, "too_deep": MAX_DEPTH}.get(kind))
    try:
        return _file_facts(photos / name, name, zone)
    except OSError as error:
        if too_long(photos / name):
            return _nothing(name, "path_too_long")
        return _nothing(name, "unreadable", reason=error.strerror or type(error).__name__)


def _nothing(name: str, kind: str, **fields: object) -> PhotoFacts:
    """Of a file that was not looked into."""
    return PhotoFacts(file=name, bytes=0, problem=_problem(kind, **fields), unopened=kind in _UNOPENED)


def _writable_name(name: str) -> bool:
    try:
        name.encode("utf-8")
    except UnicodeEncodeError:
        return False
    return name.isprintable()


def _file_facts(path: Path, name: str, zone: tzinfo) -> PhotoFacts:
    with path.open("rb") as stream:
        found = os.fstat(stream.fileno())
        size = found.st_size
        facts = PhotoFacts(file=name, bytes=size, modified=found.st_mtime_ns)
        try:
            _check_bytes(size)
            header = photo_header.read(stream, size)
        except HeaderError as problem:
            return msgspec.structs.replace(
                facts,
                media_type=problem.media_type,
                problem=_problem(problem.key, **problem.fields),
                besides=problem.key in _BESIDES,
            )
    return _from_header(facts, header, zone)


def _check_bytes(size: int) -> None:
    if size == 0:
        raise HeaderError("empty")
    if size > picture_start.MOST_BYTES:
        raise HeaderError("too_large", limit=picture_start.MOST_BYTES // 1_000_000)


def _from_header(facts: PhotoFacts, header: Header, zone: tzinfo) -> PhotoFacts:
    said = photo_exif.read(*_directories(header.exif), zone)
    orientation = 1 if header.turned_by_reader else said.orientation
    width, height = header.width, header.height
    if orientation >= 5:  # EXIF: 5 to 8 swap rows and columns
        width, height = height, width
    return msgspec.structs.replace(
        facts,
        media_type=header.media_type,
        width=width,
        height=height,
        orientation=orientation,
        taken=said.taken,
        taken_zone=said.taken_zone,
        satellite=said.satellite,
        camera=said.camera,
        body_digest=said.body_digest,
        software=said.software or photo_exif.clean(header.software),
        profile=photo_profile.name(header.icc),
        preview=header.of_preview,
        has_position=said.has_position or b"GPSLatitude" in header.xmp,
        problem=_name_problem(facts.file, header.media_type),
    )


def _directories(exif: Image.Exif) -> tuple[dict[int, Any], dict[int, Any], dict[int, Any]]:
    """IFD0, Exif and GPS directories as plain dicts; a broken one is empty."""
    return _plain(exif), _directory(exif, photo_exif.EXIF_IFD), _directory(exif, photo_exif.GPS_IFD)


def _plain(exif: Image.Exif) -> dict[int, Any]:
    plain: dict[int, Any] = {}
    for tag in (0x010F, 0x0110, 0x0112, 0x0131, 0x882A):
        try:
            plain[tag] = exif.get(tag)
        except Exception:  # each broken tag by itself is as good as none
            continue
    return plain


def _directory(exif: Image.Exif, tag: int) -> dict[int, Any]:
    try:
        return dict(exif.get_ifd(tag))
    except Exception:  # bad offsets, wrong types: as good as none
        return {}


def _name_problem(name: str, media_type: str) -> str:
    path = PurePosixPath(name)
    allowed = photo_header.EXTENSIONS[media_type]
    if path.suffix.casefold() in allowed:
        return ""
    said = path.suffix.lstrip(".").upper() or _WORDS.say("photographs.nothing")
    really = photo_header.NAMES[media_type]
    return _problem("wrong_extension", said=said, really=really, name=path.stem + allowed[0])


def _problem(key: str, **fields: object) -> str:
    return _WORDS.say(f"photographs.problem.{key}", **fields)
