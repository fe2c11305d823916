"""Bags: one finished job, its files and their hashes, in a form any BagIt tool reads (RFC 8493, version 1.0).

A bag is built aside, flushed, read back and only then renamed into place, so a crash leaves either no bag or
a whole one; nothing in place is ever written again. Not here: what a record means, the catalogue, the clock,
what the texts of a bag say (`bag_form`), whether one is as it was (`bag_check`).
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import shutil
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path, PurePosixPath

import msgspec

from dossier import ordinary
from dossier.archive import bag_form
from dossier.archive.bag_check import BagReport, check_bag, is_link
from dossier.archive.bag_form import ALGORITHMS
from dossier.durable import done, flush, flush_folder, move
from dossier.errors import ArchiveError, NotCanonicalError
from dossier.words import Catalogue

INCOMING = ".incoming"
BAGS = "bags"
LATER = "--"  # between the name of a bag and what was said later about the record in it
_CHUNK = 1 << 20
_MOST_DIGITS = 16  # of a size in bytes
_AMBIGUOUS = re.compile(r"""[%\x00-\x1f\x85\u2028\u2029<>:"\\|?*]""")
_RESERVED = re.compile(r"(?:con|prn|aux|nul|(?:com|lpt)[0-9\u00b9\u00b2\u00b3])(?=\.|$)", re.IGNORECASE)
_UNSAFE = re.compile(r"[^A-Za-z0-9._-]+")


class Source(msgspec.Struct, frozen=True):
    """A file to put into a bag: its place below `data/` ("/" separated), and where its bytes come from."""

    name: str
    content: Path | bytes


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
    yield from (archive / BAGS / name for name, linked in _folders(archive) if not linked)


def links(archive: Path) -> list[str]:
    """The names of what stands among the bags and leads elsewhere: it is no bag, and never followed."""
    return [name for name, linked in _folders(archive) if linked]


def _folders(archive: Path) -> list[tuple[str, bool]]:
    """The folders and links among the bags, and which are links."""
    home = archive / BAGS
    if not home.is_dir():
        return []
    with os.scandir(home) as entries:
        some = ((one.name, is_link(one), one) for one in entries if not one.name.startswith("."))
        return sorted((name, link) for name, link, one in some if link or one.is_dir(follow_symlinks=False))


def of_record(archive: Path, record_digest: str, later: str = "") -> list[Path]:
    """The bags of one record, of every copy of it; or those of what was said later of it, as named."""
    return [one for one in bag_folders(archive) if one.name.endswith(_ending(record_digest) + later)]


def digests(folder: Path) -> set[str]:
    """SHA-256 of every file below the bag's `data`, as its list has it; none where that cannot be read."""
    name = bag_form.list_name("sha256", of_tags=False)
    try:
        data = ordinary.whole(folder / name, bag_form.MOST_LIST)
        return set(bag_form.read_list(data, "sha256", of_tags=False).values())
    except (OSError, NotCanonicalError):
        return set()


def leftovers(archive: Path) -> list[str]:
    """Bags that a broken-off run left half built. They are outside the archive proper and never counted."""
    home = archive / INCOMING
    try:
        return [] if home.is_symlink() else sorted(p.name for p in home.iterdir())
    except OSError:  # nothing broke off, or nobody can see it
        return []


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


def info(bag: Path, name: str) -> str:
    """What bag-info.txt says under `name`, "" where it says nothing or cannot be read."""
    try:
        return bag_form.said(ordinary.whole(bag / bag_form.INFO, bag_form.MOST_TAGS), name)
    except OSError:
        return ""


def size(bag: Path) -> int:
    """Bytes of what was put away."""
    said = info(bag, bag_form.SIZE).partition(".")[0]
    return int(said) if said.isascii() and said.isdecimal() and len(said) < _MOST_DIGITS else 0


def _fill(
    staging: Path, sources: Sequence[Source], info: Mapping[str, str], texts: Mapping[str, str]
) -> None:
    if len(sources) > bag_form.MOST_FILES:
        raise _error("too_many", staging.name, n=len(sources), most=bag_form.MOST_FILES)
    if staging.exists():
        shutil.rmtree(staging)
    staging.mkdir(parents=True)
    hashes: dict[str, dict[str, str]] = {}
    total = 0
    paths = safe_paths(source.name for source in sources)
    for source in sorted(sources, key=lambda s: s.name):
        path = f"{bag_form.PAYLOAD}/{paths[source.name]}"
        size, digests = _copy(source, staging / path)
        hashes[path] = digests
        total += size
    oxum = {bag_form.SIZE: f"{total}.{len(hashes)}"}
    if len(hashes) != len(sources):
        raise _error("same_name", staging.name)
    tags = {
        bag_form.DECLARED: bag_form.DECLARATION,
        bag_form.INFO: "".join(f"{k}: {_one_line(v)}\n" for k, v in {**info, **oxum}.items()),
        **{bag_form.list_name(a, of_tags=False): bag_form.write_list(hashes, a) for a in ALGORITHMS},
        **texts,
    }
    tag_hashes: dict[str, dict[str, str]] = {}
    for tag, text in tags.items():
        tag_hashes[tag] = _copy(Source(tag, text.encode()), staging / tag)[1]
    for algorithm in ALGORITHMS:
        listing = Source("", bag_form.write_list(tag_hashes, algorithm).encode())
        _copy(listing, staging / bag_form.list_name(algorithm, of_tags=True))
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
