"""Bags: one finished job, its files and their hashes, in a form any BagIt tool reads (RFC 8493, version 1.0).

A bag is built aside, flushed, read back and only then renamed into place, so a crash leaves either no bag or
a whole one; nothing in place is ever written again. Not here: what a record means, the catalogue, the clock.
"""

from __future__ import annotations

import contextlib
import hashlib
import logging
import os
import re
import shutil
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path, PurePosixPath

import msgspec

from dossier import ordinary
from dossier.durable import done, flush, flush_folder, move
from dossier.errors import ArchiveError
from dossier.words import Catalogue

ALGORITHMS = ("sha256", "sha512")
INCOMING = ".incoming"
BAGS = "bags"
LATER = "--"  # between the name of a bag and what was said later about the record in it
MOST_TAGS = 1 << 20  # bytes of a file of a bag that says something about it
MOST_MANIFEST = 128 << 20
_CHUNK = 1 << 20
_MOST_DIGITS = 16  # of a size in bytes
_OF_SYSTEM = frozenset({".ds_store", "thumbs.db", "desktop.ini"})
_AMBIGUOUS = re.compile(r"""[%\x00-\x1f\x85\u2028\u2029<>:"\\|?*]""")
_RESERVED = re.compile(r"(?:con|prn|aux|nul|(?:com|lpt)[0-9\u00b9\u00b2\u00b3])(?=\.|$)", re.IGNORECASE)
_UNSAFE = re.compile(r"[^A-Za-z0-9._-]+")


class Source(msgspec.Struct, frozen=True):
    """A file to put into a bag: its place below `data/` ("/" separated), and where its bytes come from."""

    name: str
    content: Path | bytes


class BagReport(msgspec.Struct, frozen=True, kw_only=True):
    """What re-hashing one bag found; `problems` is empty when every file is as it was put away."""

    bag: str
    files: int = 0
    bytes: int = 0
    problems: tuple[str, ...] = ()


def bag_name(job: str, record_digest: str) -> str:
    """A name that sorts by job number and that no other record can have."""
    return f"{_UNSAFE.sub('-', job).strip('-.') or 'job'}{_ending(record_digest)}"


def _ending(record_digest: str) -> str:
    return f"--{record_digest[:16]}"


def safe_path(path: str) -> str:
    """`path` in a form that every BagIt tool reads alike, and that a disk of any system can hold.

    RFC 8493 section 2.1.3 has %, CR and LF percent-encoded, which not every tool undoes, manifests lose
    blanks at the end of a name, and Windows keeps characters and names for itself and loses dots at the end
    (its documentation, "Naming Files, Paths, and Namespaces"): "_" stands there. Composed (UAX 15, NFC):
    disks of macOS and copying from them spell ü anew, and the library finds it then only where it was
    composed. No byte of a file changes.
    """
    return "/".join(_safe_part(part) for part in unicodedata.normalize("NFC", path).split("/"))


def _safe_part(part: str) -> str:
    plain = re.sub(r"^\s+|[\s.]+$", lambda m: "_" * len(m[0]), _AMBIGUOUS.sub("_", part))
    return f"_{plain}" if _RESERVED.match(plain) else plain


def safe_paths(names: Iterable[str]) -> dict[str, str]:
    """The safe path of each name; two that are one to some disk (case, composition) are told apart."""
    taken: set[str] = set()
    paths = {}
    for name in sorted(names):
        path = PurePosixPath(safe_path(name))
        number, one = 1, path
        while (
            key := unicodedata.normalize("NFC", unicodedata.normalize("NFC", str(one)).casefold())
        ) in taken:
            number += 1
            one = path.with_name(f"{path.stem}_{number}{path.suffix}")
        taken.add(key)
        paths[name] = str(one)
    return paths


def bag_folders(archive: Path) -> Iterator[Path]:
    """The bags of an archive, by name in code point order (Windows compares paths without case)."""
    home = archive / BAGS
    if home.is_dir():
        found = (p for p in home.iterdir() if p.is_dir() and not p.name.startswith("."))
        yield from sorted(found, key=lambda p: p.name)


def of_record(archive: Path, record_digest: str, later: str = "") -> list[Path]:
    """The bags of one record, of every copy of it; or those of what was said later of it, as named."""
    return [one for one in bag_folders(archive) if one.name.endswith(_ending(record_digest) + later)]


def digests(folder: Path) -> set[str]:
    """SHA-256 of every file below the bag's `data`, as its manifest has it; none where it is unreadable."""
    try:
        lines = ordinary.whole(folder / "manifest-sha256.txt", MOST_MANIFEST).decode().splitlines()
    except (OSError, ValueError):
        return set()
    return {line.partition(" ")[0] for line in lines}


def leftovers(archive: Path) -> list[str]:
    """Bags that a broken-off run left half built. They are outside the archive proper and never counted."""
    home = archive / INCOMING
    return sorted(p.name for p in home.iterdir()) if home.is_dir() else []


def make_bag(
    archive: Path,
    name: str,
    sources: Sequence[Source],
    info: Mapping[str, str],
    *,
    tags: Mapping[str, str] | None = None,
    check: Callable[[Path], BagReport] | None = None,
) -> Path:
    """Build the bag `name` with `sources` below `data/`, and texts `tags` beside; returns its folder.

    Raises ArchiveError when the name is taken, a source cannot be read, or the bag read back is not whole.
    """
    final = archive / BAGS / name
    if final.exists():
        raise _error("taken", final)
    staging = archive / INCOMING / f"{name}.{os.getpid()}"
    try:
        _fill(staging, sources, info, tags or {})
        report = (check or check_bag)(staging)
        if report.problems:
            raise _error("not_whole", name, why=report.problems[0])
        final.parent.mkdir(parents=True, exist_ok=True)
        move(staging, final)
        done.append(final)
        flush_folder(final.parent)
    except OSError as error:
        if final.exists():  # another run was quicker
            raise _error("taken", final) from error
        raise _error("not_written", name, why=error.strerror or error) from error
    finally:
        shutil.rmtree(staging, ignore_errors=True)
    return final


def _error(key: str, bag: Path | str, **values: object) -> ArchiveError:
    return ArchiveError(Catalogue().say(f"archive.error.{key}", bag=bag, **values))


_SAID = {
    "ChecksumMismatch": "archive.audit.changed",
    "FileMissing": "archive.audit.gone",
    "UnexpectedFile": "archive.audit.added",
}


def check_bag(folder: Path) -> BagReport:
    """Re-hash every file of a bag against its manifests and look for files it does not list."""
    import bagit  # noqa: PLC0415 - 50 ms, only where bags are read

    logging.getLogger("bagit").setLevel(logging.CRITICAL)
    name = folder.name
    if unfit := tuple(_unfit(folder)):  # the library would wait for a pipe
        return BagReport(bag=name, problems=unfit)
    try:
        bag = bagit.Bag(str(folder))
        # The library would stop at the payload's size; the hashes say which file it is, so they go first.
        said = bag.info.pop("Payload-Oxum", "")
        bag.validate(processes=1)
        sizes = [(folder / path).stat().st_size for path in bag.payload_files()]
    except bagit.BagValidationError as error:
        found = {_said(detail) for detail in error.details} or {_not_a_bag(error)}
        if not any(isinstance(d, bagit.ChecksumMismatch) for d in error.details):
            found.update(_changed(folder, bag.payload_entries()))
        return BagReport(bag=name, problems=tuple(sorted(found)))
    except (bagit.BagError, OSError, ValueError, LookupError) as error:
        return BagReport(bag=name, problems=(_not_a_bag(error),))
    problems = tuple(_of_tags(folder))
    if said not in ("", f"{sum(sizes)}.{len(sizes)}"):  # other programs go by it
        problems = (Catalogue().say("archive.audit.changed", file="bag-info.txt"), *problems)
    return BagReport(bag=name, files=len(sizes), bytes=sum(sizes), problems=problems)


def _unfit(folder: Path) -> Iterator[str]:
    """What stands there as a file and is none, and texts of the bag itself that are longer than any is."""
    for home, _, names in os.walk(folder):
        for path in sorted(Path(home, name) for name in names):
            text = path.parent == folder and path.suffix == ".txt"
            most = MOST_MANIFEST if path.name.startswith("manifest-") else MOST_TAGS
            if path.exists() and (not path.is_file() or (text and path.stat().st_size > most)):
                yield Catalogue().say("archive.audit.unfit", file=path.relative_to(folder).as_posix())


def _of_tags(folder: Path) -> Iterator[str]:
    """What the library lets pass, as others may have it: no list of the bag's own files, or more of them."""
    lists = [f"tagmanifest-{algorithm}.txt" for algorithm in ALGORITHMS]
    listed = {"data", *lists}
    read_all = True
    for name in lists:
        try:
            lines = ordinary.whole(folder / name, MOST_TAGS).decode().splitlines()
        except (OSError, ValueError):
            yield Catalogue().say("archive.audit.gone", file=name)
            read_all = False
            continue
        listed.update(line.partition(" ")[2].strip() for line in lines)
    for path in sorted(folder.iterdir()):
        if read_all and path.name not in listed and not (path.is_file() and _is_of_system(path.name)):
            yield Catalogue().say("archive.audit.unlisted", file=path.name)


def _is_of_system(name: str) -> bool:
    """What the window of a folder leaves in it, on macOS and Windows, when somebody only looks."""
    return name.casefold() in _OF_SYSTEM or name.startswith("._")


def _said(detail: Exception) -> str:
    """What the library found about one file, named by its kind."""
    key = _SAID.get(type(detail).__name__)
    return Catalogue().say(key, file=getattr(detail, "path", "")) if key else _not_a_bag(detail)


def _not_a_bag(error: Exception) -> str:
    return Catalogue().say("archive.audit.not_a_bag", why=str(error) or type(error).__name__)


def _changed(folder: Path, entries: Mapping[str, Mapping[str, str]]) -> list[str]:
    """The files that are not as listed. The library does not look where one is missing or was added."""
    return [
        Catalogue().say("archive.audit.changed", file=path)
        for path, digests in entries.items()
        if _sha256(folder / path) not in ("", digests.get("sha256"))
    ]


def info(bag: Path, name: str) -> str:
    """What bag-info.txt says under `name`, "" where it says nothing or cannot be read."""
    try:
        lines = ordinary.whole(bag / "bag-info.txt", MOST_TAGS).decode().splitlines()
    except (OSError, ValueError):
        return ""
    return next((line.partition(": ")[2] for line in lines if line.startswith(f"{name}: ")), "")


def size(bag: Path) -> int:
    """Bytes of what was put away (RFC 8493 section 2.2.2: Payload-Oxum is bytes and number of files)."""
    said = info(bag, "Payload-Oxum").partition(".")[0]
    return int(said) if said.isascii() and said.isdecimal() and len(said) < _MOST_DIGITS else 0


def _sha256(path: Path) -> str:
    """The digest of a file, "" where there is none and "unreadable" where it cannot be read."""
    try:
        if not path.is_file():
            return ""
        return ordinary.sha256(path)
    except OSError:
        return "unreadable"


def _fill(
    staging: Path, sources: Sequence[Source], info: Mapping[str, str], texts: Mapping[str, str]
) -> None:
    if staging.exists():
        shutil.rmtree(staging)
    staging.mkdir(parents=True)
    hashes: dict[str, dict[str, str]] = {}
    total = 0
    paths = safe_paths(source.name for source in sources)
    for source in sorted(sources, key=lambda s: s.name):
        path = f"data/{paths[source.name]}"
        size, digests = _copy(source, staging / path)
        hashes[path] = digests
        total += size
    oxum = {"Payload-Oxum": f"{total}.{len(hashes)}"}
    if len(hashes) != len(sources):
        raise _error("same_name", staging.name)
    tags = {
        "bagit.txt": "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n",
        "bag-info.txt": "".join(f"{k}: {_one_line(v)}\n" for k, v in {**info, **oxum}.items()),
        **{f"manifest-{a}.txt": _manifest(hashes, a) for a in ALGORITHMS},
        **texts,
    }
    tag_hashes: dict[str, dict[str, str]] = {}
    for tag, text in tags.items():
        tag_hashes[tag] = _copy(Source(tag, text.encode()), staging / tag)[1]
    for algorithm in ALGORITHMS:
        listing = Source("", _manifest(tag_hashes, algorithm).encode())
        _copy(listing, staging / f"tagmanifest-{algorithm}.txt")
    for folder in [staging, *(p for p in staging.rglob("*") if p.is_dir())]:
        flush_folder(folder)


def _copy(source: Source, target: Path) -> tuple[int, dict[str, str]]:
    """Copy and hash in one pass; returns the size and the digests."""
    target.parent.mkdir(parents=True, exist_ok=True)
    hashers = {a: hashlib.new(a) for a in ALGORITHMS}
    size = 0
    with target.open("xb") as out:
        for chunk in _chunks(source.content):
            for hasher in hashers.values():
                hasher.update(chunk)
            out.write(chunk)
            size += len(chunk)
        flush(out)
    return size, {a: h.hexdigest() for a, h in hashers.items()}


def _chunks(content: Path | bytes) -> Iterator[bytes]:
    if isinstance(content, bytes):
        yield content
        return
    with content.open("rb") as file:
        while chunk := file.read(_CHUNK):
            yield chunk


def _manifest(hashes: Mapping[str, Mapping[str, str]], algorithm: str) -> str:
    return "".join(f"{hashes[path][algorithm]}  {path}\n" for path in sorted(hashes))


def _one_line(text: str) -> str:
    return " ".join(text.split())


def write_readme(archive: Path) -> None:
    """The page a stranger reads first; written once, when the archive is begun."""
    target = archive / "READ-ME-FIRST.txt"
    partial = archive / f".READ-ME-FIRST.{os.getpid()}"
    try:
        if target.exists():
            return
        archive.mkdir(parents=True, exist_ok=True)
        partial.write_bytes(Catalogue().say("archive.readme").encode("utf-8"))
        move(partial, target, replace=True)  # the same words, whoever was first
    except OSError as error:
        with contextlib.suppress(OSError):
            partial.unlink(missing_ok=True)
        said = Catalogue().say("archive.error.not_writable", archive=archive, why=error.strerror or error)
        raise ArchiveError(said) from error
