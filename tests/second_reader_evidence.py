"""The last part of `second_reader`: a record's evidence of an archive, from FORMAT.md section 18 alone.

Its time-stamp is asked for one thing: whether its imprint is of the document.
"""

from __future__ import annotations

import hashlib
import json
import re
from itertools import pairwise
from typing import Any

from second_reader import RefusedError, strict, written

WAY = {"evidence", "stamp", "place", "sha256", "sha512"}
HEAD = {"format", "number", "made", "leaves", "root"}


def evidence(record: bytes, data: bytes) -> str:
    """The code that the file gives beside this record; "" where it leads to what was stamped."""
    try:
        file = strict(data)
    except RefusedError:
        return "evidence-shape"
    if len(data) > 512 << 10 or not _has_its_form(file):
        return "evidence-shape"
    leaf = _leaf(json.loads(record), file.get("record_stamp", ""))
    ways = [file, *file.get("earlier", [])]
    codes = [_of_way(way, leaf) for way in ways]
    linked = [later["evidence"].get("previous") == _hashes(before) for later, before in pairwise(ways)]
    if "evidence-shape" not in codes and not all(linked):
        return "evidence-other"
    return next((code for code in codes if code), "")


def _hashes(before: Any) -> Any:
    """What the next evidence says of the one before."""
    files = {"document": written(before["evidence"]).encode(), "stamp": bytes.fromhex(before["stamp"])}
    return {
        of: {name: hashlib.new(name, data).hexdigest() for name in ("sha256", "sha512")}
        for of, data in files.items()
    }


def _of_way(way: Any, leaf: bytes) -> str:
    for name in ("sha256", "sha512"):
        root = _climbed(hashlib.new(name, b"\0" + leaf).digest(), way, name)
        if root is None:
            return "evidence-shape"
        if root.hex() != way["evidence"]["root"][name]:
            return "evidence-other"
    if not way["stamp"]:
        return "time-stamp-shape"
    document = written(way["evidence"]).encode()
    imprints = [hashlib.new(name, document).digest() for name in ("sha256", "sha384", "sha512")]
    return "" if any(one in bytes.fromhex(way["stamp"]) for one in imprints) else "time-stamp-other"


def _has_its_form(file: Any) -> bool:
    if not isinstance(file, dict) or not re.fullmatch(r"1\.(0|[1-9][0-9]*)", file.get("format", "")):
        return False
    if file.get("record_stamp", "-") == "" or file.get("earlier", "-") == []:
        return False
    if len(file.get("earlier", [])) > 64:
        return False
    return _is_hex(file.get("record_stamp", "")) and all(map(_is_way, [file, *file.get("earlier", [])]))


def _is_way(file: Any) -> bool:
    if not set(file) >= WAY:
        return False
    head = file["evidence"]
    if set(head) - {"previous"} != HEAD or head["format"] != "1.0":
        return False
    if head["number"] < 1:
        return False
    hashes = [head["root"], *head.get("previous", {}).values()]
    if any(set(one) != {"sha256", "sha512"} for one in hashes):
        return False
    texts = [file["stamp"]]
    texts += [one if len(one) == 64 else "-" for one in (*file["sha256"], *(h["sha256"] for h in hashes))]
    texts += [one if len(one) == 128 else "-" for one in (*file["sha512"], *(h["sha512"] for h in hashes))]
    return 0 <= file["place"] < head["leaves"] and all(_is_hex(one) for one in texts)


def _is_hex(text: str) -> bool:
    return len(text) % 2 == 0 and set(text) <= set("0123456789abcdef")


def _leaf(record: Any, stamp: str) -> bytes:
    """What the time-stamp is over (section 4), and in it the time-stamp."""
    record["signatures"][0].pop("header")
    data: bytes = written({**record, **({"stamp": stamp} if stamp else {})}).encode()
    return data


def _climbed(leaf: bytes, file: Any, name: str) -> bytes | None:
    """RFC 9162 section 2.1.3.2, up to the comparison with the root."""
    fn, sn, r = file["place"], file["evidence"]["leaves"] - 1, leaf
    for text in file[name]:
        p = bytes.fromhex(text)
        if sn == 0:
            return None
        if fn & 1 or fn == sn:
            r = hashlib.new(name, b"\1" + p + r).digest()
            while not fn & 1 and fn != 0:
                fn, sn = fn >> 1, sn >> 1
        else:
            r = hashlib.new(name, b"\1" + r + p).digest()
        fn, sn = fn >> 1, sn >> 1
    return r if sn == 0 else None
