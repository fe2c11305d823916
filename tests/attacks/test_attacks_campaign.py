"""Long runs against whole dossiers: seeded bit flips and structural changes, none of them unnoticed.

Run with `pytest -m campaign tests/attacks`: 10,000 flips and 10,000 changes of each of the two files, in
slices that add up with CAMPAIGN_FIRST and CAMPAIGN_RUNS. What a check draws again is drawn once for the same
record, pictures and options, and a text of an object is parsed once. The signed dossier is checked as if its
pages had been found equal, so that everything is noticed without them. Of the copy that a holder made nothing
but its record is signed, so that there only the pages speak; what may change in it unnoticed is named in
`NEUTRAL`.
"""

from __future__ import annotations

import copy
import functools
import hashlib
import os
import random
import re
import time
import zlib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest
from attack_bench import told_to_machines
from forging import Forgery

from dossier.container import compare, graph, scan, values
from dossier.container.values import Name, Ref
from dossier.flows.verify import verify
from dossier.flows.verifying import pages_again

FIRST = int(os.environ.get("CAMPAIGN_FIRST", "0"))
RUNS = range(FIRST, FIRST + int(os.environ.get("CAMPAIGN_RUNS", "10000")))
SLOW = 5.0  # seconds of the processor, for one check
NOTICED = ("altered", "unreadable")
# Nothing signs an issuer's certificate in the record's time-stamp but the authority above it, which only the
# reader has: who confirmed that authority is told that this stamp does not lead to it.
NOT_CONFIRMED = "time-stamp-authority-not-confirmed"
# A token whose algorithm became one that is not known could not be told; nothing but itself signs it either.
ALGORITHM = "time-stamp-algorithm"
SEED = 20261125
Answer = Callable[[bytes], str]

pytestmark = pytest.mark.campaign

# What no viewer shows on a page, and nothing in FORMAT.md rests on: of the file's own number the second half;
# of the program's name in `pages.json` the digits, since pages that another version draws alike are the same.
_PROGRAM = re.compile(rb'"program":"[^"]*"')
NEUTRAL = re.compile(rb'/ID \[|"program":"')


class Digests:
    """The digests of pages drawn again, taken once."""

    def __init__(self, found: Any) -> None:
        self.identifier = found.identifier
        self.pages, self._pages, self._parts = found.pages, found.page_digests(), found.part_digests()

    def page_digests(self) -> list[str]:
        return self._pages

    def part_digests(self) -> dict[str, str]:
        return self._parts


@pytest.fixture(autouse=True)
def drawn_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same record, pictures and options are drawn, and taken apart, once."""
    draw, document = pages_again.document.draw, compare._document

    def key_of(record: Any, pictures: Any, options: Any) -> bytes:
        shown = {name: hashlib.sha256(data).hexdigest() for name, data in pictures.items()}
        return hashlib.sha256(msgspec.json.encode((record, options, shown))).digest()

    monkeypatch.setattr(pages_again.document, "draw", _once(draw, key_of))
    for room in (scan, graph):
        monkeypatch.setattr(room, "parse", functools.lru_cache(5000)(values.parse))
    monkeypatch.setattr(
        compare,
        "_document",
        _once(
            lambda pages, limits: Digests(document(pages, limits)),
            lambda pages, _: hashlib.sha256(pages).digest(),
        ),
    )


def _once(make: Callable[..., Any], key_of: Callable[..., bytes]) -> Callable[..., Any]:
    known: dict[bytes, Any] = {}

    def remembered(*given: Any) -> Any:
        key = key_of(*given)
        if key not in known:
            if len(known) > 100:
                known.clear()
            known[key] = make(*given)
        return known[key]

    return remembered


@pytest.fixture
def answer(bench: Any, tmp_path: Path) -> Answer:
    """The overall answer for a file alone in a folder, soon; or `NOT_CONFIRMED`, `ALGORITHM` where told."""
    asked, path = bench.asked(), tmp_path / "alone" / "attacked.pdf"
    path.parent.mkdir()

    def check(data: bytes) -> str:
        path.write_bytes(data)
        start = time.process_time()
        result = verify(path, asked)
        assert time.process_time() - start < SLOW
        told_to_machines(result)
        told = [found.code for found in result.checks if found.code in (NOT_CONFIRMED, ALGORITHM)]
        return told[0] if told and result.overall not in NOTICED else result.overall

    return check


def flips(data: bytes, seed: int) -> Iterator[tuple[int, bytes]]:
    for run in RUNS:
        chance = random.Random(f"{seed} {run}")
        at, bit = chance.randrange(len(data)), chance.randrange(8)
        yield at, data[:at] + bytes([data[at] ^ 1 << bit]) + data[at + 1 :]


def in_neutral(data: bytes, at: int) -> bool:
    """Whether the byte stands in an entry that is neutral: since the last such key there is no other one."""
    before = data[data.rfind(b"\n", 0, at) + 1 : at + 1]
    last = [found.end() for found in NEUTRAL.finditer(before)]
    return bool(last) and not re.search(rb" /[A-Z]", before[last[-1] :])


def test_bit_flips_of_a_signed_dossier(bench: Any, answer: Answer, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pages_again, "differences", lambda *_, **__: pages_again.Differences())
    data = (bench.made.folder / "dossier.pdf").read_bytes()
    for at, changed in flips(data, SEED):
        assert answer(changed) in (*NOTICED, ALGORITHM), at


def test_bit_flips_of_the_copy_of_a_holder(bench: Any, answer: Answer) -> None:
    data = (bench.made.held / "dossier.pdf").read_bytes()
    assert answer(data) != NOT_CONFIRMED  # the reader confirmed the authority
    noticed = (*NOTICED, NOT_CONFIRMED, ALGORITHM)
    passed = [at for at, changed in flips(data, SEED + 1) if answer(changed) not in noticed]
    assert [data[at - 60 : at + 20] for at in passed if not in_neutral(data, at)] == []


_KEYS = [
    "/Rotate",
    "/CropBox",
    "/UserUnit",
    "/Annots",
    "/AA",
    "/OC",
    "/Alt",
    "/ActualText",
    "/Group",
    "/SMask",
]
_KEYS += [
    "/Parent",
    "/Kids",
    "/Type",
    "/Subtype",
    "/Resources",
    "/Contents",
    "/Filter",
    "/DecodeParms",
    "/Lang",
]
_VALUES: list[Any] = [0, 1, 90, -1, True, b"x", b"", [], {}, [0, 0, 9, 9], Name("/Page"), Name("/None")]


def changed_value(value: Any, others: list[Ref], chance: random.Random) -> None:
    """One dictionary or array in `value` changed: something taken out, put in, doubled, moved or replaced."""
    here = chance.choice(list(_inside(value)))
    new = copy.deepcopy(chance.choice([*_VALUES, *others]))
    kind = chance.randrange(4)
    if isinstance(here, dict):
        names = list(here)
        if kind == 0 and names:
            del here[chance.choice(names)]
        elif kind == 1 or not names:
            here[Name(chance.choice(_KEYS))] = new
        elif kind == 2:
            here[chance.choice(names)] = new
        else:
            one, two = chance.choice(names), chance.choice(names)
            here[one], here[two] = here[two], here[one]
    elif kind == 0 and here:
        here.pop(chance.randrange(len(here)))
    elif kind == 1 and here:
        here.insert(chance.randrange(len(here)), copy.deepcopy(chance.choice(here)))
    elif kind == 2 and len(here) > 1:
        chance.shuffle(here)
    else:
        here.append(new)


def _inside(value: Any) -> Iterator[Any]:
    yield value
    for inner in value.values() if isinstance(value, dict) else value:
        if isinstance(inner, dict | list):
            yield from _inside(inner)


def changed_stream(stream: bytes, chance: random.Random) -> bytes:
    """Some of its decoded bytes taken out, doubled or replaced; or the packed ones cut short or longer."""
    try:
        plain, packed = zlib.decompress(stream), True
    except zlib.error:
        plain, packed = stream, False
    at, length = chance.randrange(len(plain) + 1), chance.randrange(1, 40)
    kind = chance.randrange(5)
    if kind < 3:
        piece = (b"", plain[at : at + length] * 2, chance.randbytes(length))[kind]
        plain = plain[:at] + piece + plain[at + length :]
        return zlib.compress(plain) if packed else plain
    return stream[:-length] if kind == 3 else stream + chance.randbytes(length)


def mutated(found: Forgery, chance: random.Random) -> Forgery:
    """The dossier with one or two of its objects changed; the one given stays as it is."""
    objects = dict(found.objects)
    for _ in range(chance.randrange(1, 3)):
        number, other = (chance.choice(list(objects)) for _ in range(2))
        value, stream = objects[number]
        kind = chance.randrange(6)
        if kind == 0:
            objects[number], objects[other] = objects[other], objects[number]
        elif kind == 1:
            objects[number] = objects[other]
        elif kind == 2 and stream is not None:
            objects[number] = [value, changed_stream(stream, chance)]
        elif isinstance(value, dict | list):
            value = copy.deepcopy(value)
            changed_value(value, [Ref(number), Ref(other)], chance)
            objects[number] = [value, stream]
    return Forgery(objects, found.trailer)


def plain_text(found: Forgery) -> bytes:
    """The objects that something leads to, without what is neutral and how streams are packed."""
    out, seen, ahead = [], set(), [1]
    while ahead:
        number = ahead.pop()
        if number in seen or number not in found.objects:
            continue
        seen.add(number)
        value, stream = found.objects[number]
        out.append(repr((number, _without_neutral(value), _unpacked(stream))))
        ahead += [int(ref) for ref in re.findall(r"Ref\(number=(\d+)\)", repr(value))]
    return "\n".join(sorted(out)).encode()


def _without_neutral(value: Any) -> Any:
    if isinstance(value, dict):
        return sorted((k, repr(_without_neutral(v))) for k, v in value.items() if k != "/Length")
    return [_without_neutral(one) for one in value] if isinstance(value, list) else value


def _unpacked(stream: bytes | None) -> bytes | None:
    try:
        return zlib.decompress(stream) if stream is not None else None
    except zlib.error:
        return _PROGRAM.sub(b"", stream or b"")


@pytest.mark.parametrize("which", ["signed", "held"])
def test_structural_changes(which: str, bench: Any, answer: Answer, monkeypatch: pytest.MonkeyPatch) -> None:
    if which == "signed":
        monkeypatch.setattr(pages_again, "differences", lambda *_, **__: pages_again.Differences())
    found = bench.forgery() if which == "signed" else bench.held()
    good, text = found.whole(), plain_text(found)
    passed = []
    for run in RUNS:
        other = mutated(found, random.Random(f"{SEED} {run}"))
        data = other.whole()
        if data == good or answer(data) in NOTICED:
            continue
        if which == "signed" or plain_text(other) != text:
            passed.append(run)
    assert passed == []
