"""A dossier to attack: signed twice as its key card calls for, time-stamped, one picture laid over another.

Everything is made at run time with fresh keys, so that the good one is *in order* (exit code 0) for a reader
who confirmed the card and the authority, and whatever else a check answers is the attack's doing.
"""

from __future__ import annotations

import datetime as dt
import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from attack_bench import NAME, Bench, Made
from cryptography.hazmat.primitives.serialization import Encoding
from PIL import Image
from time_server import NOW, Authority

from dossier.flows.compile import compile_job
from dossier.flows.compiling.options import Options
from dossier.flows.holder_copy import make_copy
from dossier.seal import card_change, keyfiles, keys, recovery
from dossier.seal.keys import WorkshopKey

PHOTOGRAPHS = Path(__file__).parents[1] / "data" / "photographs"
DAY = dt.timedelta(days=1)

WORKSHOP = f"""
name = "{NAME}"
verification_page = "https://check.example/r"
time_zone = "UTC"
time_servers = ["http://clock.example/"]
time_places = 2
key = "keys/workshop-key.pem"
second_key = "keys/second-key.pem"
certificate = "keys/workshop-certificate.pem"
key_card = "keys/key-card.json"
[[people]]
mark = "AB"
name = "A. Benchworker"
"""
JOB = """
number = "{number}"
for_whom = "private owner"
condition = "Dry."
price = "120 EUR"
[object]
type = "camp stool"
description = "A folding stool with a canvas seat."
[owner]
name = "Quillon Varnhagen"
[dates]
received = "2026-03-02"
returned = "2026-04-03"
[looked_at]
by = "AB"
how = ["by eye"]
"""
PARTS = """number,part,pieces,seen,came as,known from,material,condition,new material,why,told by,old piece
1,frame,1,outside,original,seen,ash,dry,,,,
2,seat,1,outside,original,seen,canvas,torn,canvas,it had torn through,new thread,with the owner
"""
WORK = """date,who,parts,done,how
2026-03-06,AB,1,cleaned,with a soft brush
2026-03-20,AB,2,replaced,cut to the old pattern
"""
PHOTOS = """file,stage,parts,pair,caption
before.jpg,received,1; 2,P1,The stool as it came
after.jpg,done,1; 2,P1,The stool after the work
inside.jpg,opened,2,,The seat from below
"""


def _photographs(folder: Path) -> None:
    """Two views of one scene that can be laid over each other, and another one."""
    folder.mkdir(parents=True)
    with Image.open(PHOTOGRAPHS / "rockery.jpg") as opened:
        scene = opened.convert("RGB")
        width, height = scene.size
        views = {
            "before": scene.crop((0, 0, width * 9 // 10, height * 9 // 10)),
            "after": scene.rotate(1.5, Image.Resampling.BICUBIC).crop(
                (width // 20, height // 20, width * 19 // 20, height * 19 // 20)
            ),
            "inside": scene.transpose(Image.Transpose.ROTATE_180).crop((0, 0, width // 2, height // 2)),
        }
        for name, view in views.items():
            view.resize((900, 900 * view.height // view.width)).save(folder / f"{name}.jpg", quality=85)


def _shop(home: Path) -> tuple[WorkshopKey, WorkshopKey, bytes]:
    """Two keys and a card that calls for a signature by each from yesterday on; their files in `home`."""
    first, second = keys.new_key(NAME, now=NOW - 10 * DAY), keys.new_second_key()
    for stem, key in {"workshop": first, "second": second}.items():
        keyfiles.write_key(home / "keys", stem, key)
    changes = card_change.Changes(name=NAME, call_for=("ES256", "ML-DSA-65"))
    issued = (NOW - 5 * DAY).date()
    card = card_change.next_card(None, changes, recovery.keys_of(bytes(range(32))), [first, second], issued)
    (home / "keys" / "key-card.json").write_bytes(card)
    (home / "workshop.toml").write_text(WORKSHOP, encoding="utf-8")
    return first, second, card


def _job(home: Path, number: str) -> Path:
    folder = home / number
    _photographs(folder / "photos")
    files = {
        "job.toml": JOB.format(number=number),
        "parts.csv": PARTS,
        "work.csv": WORK,
        "photos.csv": PHOTOS,
    }
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def _compiled(folder: Path, target: Path, authority: Authority, now: dt.datetime) -> Path:
    compile_job(
        folder,
        target,
        Options(originals="inside"),
        now=now,
        random=os.urandom,
        passphrase=lambda: b"",
        progress=lambda *_: None,
        fetch=lambda _, query: authority.answer(query),
    )
    return target


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> Made:
    home = tmp_path_factory.mktemp("shop")
    first, second, card = _shop(home)
    authority = Authority(home / "clock")
    one, two = (
        _compiled(_job(home, number), home / f"{number}-out", authority, NOW)
        for number in ("2026-001", "2026-002")
    )
    thief = keys.new_key("Somebody Else", now=NOW - 10 * DAY)
    root = authority.root.public_bytes(Encoding.DER)
    held = home / "held"
    make_copy(one, held, "owner")
    return Made(one, two, held, first, second, card, thief, root)


@pytest.fixture
def bench(made: Made, tmp_path: Path) -> Bench:
    return Bench(made, shutil.copytree(made.folder, tmp_path / "dossier"))


@pytest.fixture(scope="session")
def bench_at(made: Made) -> Callable[[Path], Bench]:
    """A bench in a folder of one's own, for long runs."""
    return lambda folder: Bench(made, shutil.copytree(made.folder, folder / "dossier"))
