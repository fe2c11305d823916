"""What the texts of a bag say, in the one form in which this program writes them (RFC 8493, version 1.0).

A bag of others may be declared and encoded otherwise; an archive holds none. Not here: what lies in a bag.
Invariants: time and memory grow with a text's bytes alone, up to the bounds that stand here; a list that is
not exactly what is written here is refused.
"""

from __future__ import annotations

import io
import re
from collections.abc import Mapping

from dossier.errors import NotCanonicalError

ALGORITHMS = ("sha256", "sha512")
DECLARED = "bagit.txt"
DECLARATION = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
INFO = "bag-info.txt"
PAYLOAD = "data"
SIZE = "Payload-Oxum"  # bytes and number of files (section 2.2.2)
MOST_TAGS = 1 << 20  # bytes of a file of a bag that says something about it
MOST_LIST = 64 << 20
MOST_FILES = 100_000  # of one job; they are looked through in seconds
_LINE = {
    algorithm: re.compile(rb"([0-9a-f]{%d})  ([^\x00-\x1f]+)\n" % digits)
    for algorithm, digits in zip(ALGORITHMS, (64, 128), strict=True)
}


def list_name(algorithm: str, *, of_tags: bool) -> str:
    """The list of the payload's files, or of the bag's own."""
    return f"{'tag' if of_tags else ''}manifest-{algorithm}.txt"


def write_list(hashes: Mapping[str, Mapping[str, str]], algorithm: str) -> str:
    """A line for each path, in the order of the paths."""
    return "".join(f"{hashes[path][algorithm]}  {path}\n" for path in sorted(hashes))


def read_list(data: bytes, algorithm: str, *, of_tags: bool) -> dict[str, str]:
    """The digest of each path. Raises NotCanonicalError, at the first line that is wrong or one too many."""
    found: dict[str, str] = {}
    last = ""
    for line in io.BytesIO(data):
        parts = _LINE[algorithm].fullmatch(line)
        if parts is None or len(found) >= MOST_FILES:
            raise NotCanonicalError("not a line of a list of files")
        try:
            path = parts[2].decode()
        except UnicodeDecodeError as error:
            raise NotCanonicalError(str(error)) from error
        if path <= last or path.startswith(f"{PAYLOAD}/") == of_tags:
            raise NotCanonicalError("not the one form of a list of files")
        found[path] = parts[1].decode()
        last = path
    return found


def said(data: bytes, name: str) -> str:
    """What bag-info.txt says under `name`, "" where it says nothing or is no text."""
    try:
        lines = data.decode().splitlines()
    except ValueError:
        return ""
    return next((line.partition(": ")[2] for line in lines if line.startswith(f"{name}: ")), "")
