"""Writes tests/vectors/evidence, one folder a case, named by the code it must give (run me from anywhere).

Each holds a record and the `record-evidence.json` beside it; `authority.pem` is the root that the reader
confirmed. The archive is of five invented bags. Its time-stamp is by openssl, with a key that is thrown away,
so that a second run writes other files that mean the same.
"""

from __future__ import annotations

import hashlib
import json
import shutil
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

TESTS = Path(__file__).parents[2]
sys.path += [str(TESTS), str(TESTS / "unit" / "seal")]

import stool  # noqa: E402 - found by the line above
from time_server import NOW, Authority  # noqa: E402

from dossier import canonical  # noqa: E402
from dossier.archive import evidence, leaves, record_path, tree  # noqa: E402
from dossier.archive.evidence import Kept  # noqa: E402
from dossier.archive.leaves import Hashes, Leaf  # noqa: E402
from dossier.seal import record, stamp  # noqa: E402

HOME = TESTS / "vectors" / "evidence"
KEY = stool.p256()
BAGS = [f"2027-{number:03d}--{number:016x}" for number in range(1, 6)]
OWN = 2  # its bag
NONCE = bytes(range(1, 17))


def a_record(number: int) -> Any:
    """The same stool, under other salts."""
    salts = (bytes([number, at // 256, at % 256, *range(13)]) for at in range(999))
    return record.seal(stool.an_unsealed(KEY), [KEY], lambda: next(salts))


RECORDS = [a_record(number) for number in range(1, 6)]


class Clock:
    """A time-stamp authority for one run."""

    def __init__(self, folder: Path) -> None:
        self.authority = Authority(folder)

    def over(self, data: bytes, algorithm: str = "sha512") -> bytes:
        answer = self.authority.answer(stamp.request(data, NONCE, algorithm))
        return stamp.to_file(stamp.received(answer, data, NONCE, NOW))


def listed(stamps: list[bytes]) -> list[Leaf]:
    found = []
    for bag, sealed, own in zip(BAGS, RECORDS, stamps, strict=True):
        manifest = f"an invented manifest of {bag}\n".encode()
        found.append(Leaf(bag, Hashes(*(tree.leaf(manifest, a).hex() for a in ("sha256", "sha512")))))
        found.append(Leaf(f"{bag}/record", leaves.of_record(record.to_archive(sealed, own))))
    return found


def whole(folder: Path, clock: Clock, stamps: list[bytes], bag: int = OWN) -> Any:
    """The members of the file for the record in one bag."""
    some = listed(stamps)
    document = evidence.document(some, None, "2026-11-26T00:00:00+00:00")
    (folder / leaves.FILE).write_bytes(leaves.write(some))
    home = folder / "0001"
    home.mkdir(exist_ok=True)
    (home / leaves.FILE).write_bytes(leaves.write(some))
    return json.loads(record_path.make([Kept(home, document, clock.over(document))], BAGS[bag], stamps[bag]))


def renewed(folder: Path, clock: Clock, stamps: list[bytes]) -> Any:
    """The members of the file for the record by three evidences, each over the one before."""
    some, kept = listed(stamps), list[Kept]()
    for number in (1, 2, 3):
        home = folder / f"{number:04}"
        home.mkdir(exist_ok=True)
        (home / leaves.FILE).write_bytes(leaves.write(some))
        made = f"{2026 + 5 * number}-11-26T00:00:00+00:00"
        document = evidence.document(some, kept[-1] if kept else None, made)
        kept.append(Kept(home, document, clock.over(document)))
    return json.loads(record_path.make(kept, BAGS[OWN], stamps[OWN]))


def _with_earlier(change: Callable[[Any], Any]) -> Callable[[Any], Any]:
    return lambda m: {**m, "earlier": change(m["earlier"])}


RENEWED: dict[str, Callable[[Any], Any]] = {
    "time-stamp-matches--renewed-twice": lambda m: m,
    "evidence-other--earlier-ones-in-another-order": _with_earlier(lambda some: some[::-1]),
    "evidence-other--one-between-left-out": _with_earlier(lambda some: some[1:]),
    "evidence-other--earlier-time-stamp-of-another": _with_earlier(
        lambda some: [{**some[0], "stamp": some[1]["stamp"]}, some[1]]
    ),
    "evidence-other--earlier-way-of-another-record": _with_earlier(
        lambda some: [some[0], {**some[1], "place": some[1]["place"] ^ 1}]
    ),
    "evidence-shape--no-earlier-ones": _with_earlier(lambda _: []),
    "evidence-shape--too-many-earlier-ones": _with_earlier(lambda some: [{**some[0], "stamp": ""}] * 65),
    "time-stamp-matches--earlier-with-another-member": _with_earlier(
        lambda some: [{**some[0], "format": "1.0"}]
    ),
}


def _node(left: str, right: str, algorithm: str) -> str:
    return hashlib.new(algorithm, b"\1" + bytes.fromhex(left + right)).hexdigest()


def _both(change: Callable[[list[str]], list[str]]) -> Callable[[Any], Any]:
    return lambda m: {**m, **{a: change(m[a]) for a in ("sha256", "sha512")}}


def _in_evidence(change: Callable[[Any], Any]) -> Callable[[Any], Any]:
    return lambda m: {**m, "evidence": {**m["evidence"], **change(m["evidence"])}}


def _one_level_up(members: Any) -> Any:
    """The node above the leaf said to be a leaf: of half as many leaves, by a way that is shorter."""
    head = {**members["evidence"], "leaves": members["evidence"]["leaves"] // 2}
    return _both(lambda way: way[1:])({**members, "evidence": head, "place": members["place"] // 2})


def _with_roots_of_our_own(members: Any) -> Any:
    """Roots that another way leads to: the document is then not the one that was stamped."""
    own = leaves.of_record(record.to_archive(RECORDS[0], bytes.fromhex(members.get("record_stamp", ""))))
    count = members["evidence"]["leaves"]
    roots = {
        a: tree.climb(
            bytes.fromhex(getattr(own, a)), members["place"], count, list(map(bytes.fromhex, members[a])), a
        ).hex()
        for a in ("sha256", "sha512")
    }
    return {**members, "evidence": {**members["evidence"], "root": roots}}


def _one_tree_alone(members: Any) -> Any:
    """The way of SHA-256 is right and that of SHA-512 is not: as if SHA-256 had been broken."""
    return {**members, "sha512": [members["sha512"][0][::-1], *members["sha512"][1:]]}


CHANGES: dict[str, Callable[[Any], Any]] = {
    "time-stamp-matches": lambda m: m,
    "time-stamp-shape--no-stamp": lambda m: {**m, "stamp": ""},
    "evidence-other--order-swapped": _both(lambda way: [way[1], way[0], *way[2:]]),
    "evidence-other--other-node": _both(lambda way: ["0" * len(way[0]), *way[1:]]),
    "evidence-other--sides-swapped": lambda m: {**m, "place": m["place"] ^ 1},
    "evidence-other--node-as-leaf": _one_level_up,
    "evidence-other--one-tree-alone": _one_tree_alone,
    "evidence-other--other-stamp-of-the-record": lambda m: {**m, "record_stamp": m["stamp"]},
    "evidence-other--stamp-of-the-record-left-out": lambda m: {
        k: v for k, v in m.items() if k != "record_stamp"
    },
    "evidence-shape--way-too-long": _both(lambda way: [*way, way[-1]]),
    "evidence-shape--way-too-short": _both(lambda way: way[:-1]),
    "evidence-shape--ways-of-two-lengths": lambda m: {**m, "sha512": m["sha512"][:-1]},
    "evidence-shape--place-beyond": lambda m: {**m, "place": m["evidence"]["leaves"]},
    "evidence-shape--place-below-none": lambda m: {**m, "place": -1},
    "evidence-shape--no-leaves": lambda m: {**m, "evidence": {**m["evidence"], "leaves": 0}},
    "evidence-shape--capitals": _both(lambda way: [way[0].upper(), *way[1:]]),
    "evidence-shape--nodes-of-the-other-hash": lambda m: {**m, "sha512": m["sha256"]},
    "evidence-shape--half-a-byte": lambda m: {**m, "stamp": m["stamp"][:-1]},
    "time-stamp-matches--another-member": lambda m: {**m, "trusted": True},
    "time-stamp-matches--later-format": lambda m: {**m, "format": "1.1"},
    "evidence-shape--another-member-of-what-was-stamped": _in_evidence(lambda _: {"trusted": True}),
    "evidence-shape--another-member-of-a-root": _in_evidence(lambda e: {"root": {**e["root"], "sha3": ""}}),
    "evidence-shape--format": lambda m: {**m, "format": "2.0"},
    "evidence-shape--format-of-evidence": lambda m: {**m, "evidence": {**m["evidence"], "format": "2.0"}},
    "evidence-shape--root-in-capitals": _in_evidence(
        lambda e: {"root": {a: one.upper() for a, one in e["root"].items()}}
    ),
    "evidence-shape--evidence-before-without-hashes": _in_evidence(
        lambda _: {
            "number": 2,
            "previous": {name: {"sha256": "", "sha512": ""} for name in ("document", "stamp")},
        }
    ),
    "evidence-shape--number-none": _in_evidence(lambda _: {"number": 0}),
    "evidence-shape--empty-stamp-of-the-record": lambda m: {**m, "record_stamp": ""},
}


def write() -> None:
    shutil.rmtree(HOME, ignore_errors=True)
    with tempfile.TemporaryDirectory() as place:
        clock = Clock(Path(place) / "clock")
        none = [b""] * len(BAGS)
        stamps = [*none]
        stamps[OWN] = clock.over(record.to_stamp(RECORDS[OWN]), "sha256")
        members = whole(Path(place), clock, stamps)
        for name, change in CHANGES.items():
            _put(name, canonical.encode(change(json.loads(json.dumps(members)))))
        three = renewed(Path(place), clock, stamps)
        for name, change in RENEWED.items():
            _put(name, canonical.encode(change(json.loads(json.dumps(three)))))
        _put("evidence-shape--white-space", canonical.encode(members) + b"\n")
        forged = canonical.encode(_with_roots_of_our_own(members))
        _put("time-stamp-other--roots-of-another-record", forged, RECORDS[0])
        _put("evidence-other--of-another-record", canonical.encode(members), RECORDS[0])
        for bag in (0, 4):
            _put(
                f"time-stamp-matches--bag-{bag + 1}",
                canonical.encode(whole(Path(place), clock, stamps, bag)),
                RECORDS[bag],
            )
        shutil.copy(clock.authority.folder / "root.pem", HOME / "authority.pem")


def _put(name: str, data: bytes, sealed: Any = None) -> None:
    folder = HOME / name
    folder.mkdir(parents=True)
    (folder / "record-evidence.json").write_bytes(data)
    (folder / "record.json").write_bytes(record.to_json(sealed or RECORDS[OWN]))


if __name__ == "__main__":
    write()
