"""A small invented job, compiled once through the command line with the trial key."""

from __future__ import annotations

import hashlib
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest
from click.testing import CliRunner
from PIL import Image, ImageDraw

from dossier.cli import main

ROOT = Path(__file__).parents[2]

WORKSHOP = """
name = "Bench & Awl"
address = "1 Example Lane, Exampleton"
telephone = "+44 20 7946 0000"
verification_page = "https://check.example/r"
time_zone = "Europe/Vienna"
key = "keys/trial-key.pem"
certificate = "keys/trial-certificate.pem"
[[people]]
mark = "AB"
name = "A. Benchworker"
[[firms]]
mark = "PL"
name = "Example Platers"
does = "plating"
"""

JOB = """
number = "2026-007"
for_whom = "private owner"
condition = "Dry, scuffed at the corners; the lining has come away."
price = "480 EUR"
[object]
type = "tool satchel"
description = "A satchel for hand tools with one strap and a brass buckle."
maker = { what = "not marked", known_from = "seen" }
made = { what = "about 1930", known_from = "our opinion" }
materials = ["cowhide", "brass", "linen"]
[[know_it_by]]
what = "a burn the size of a pea beside the buckle"
where = "flap, left of the buckle"
photograph = "before.jpg"
[[inscriptions]]
text = "14"
kind = "stamp"
where = "inside the flap"
[[inscriptions]]
text = "monogram Zyxquorum"
where = "under the lining"
private = true
[owner]
name = "Quillon Varnhagen"
address = "77 Hidden Street"
telephone = "+43 1 555 0199"
email = "quillon@owner.example"
[dates]
asked = "2026-03-01"
received = "2026-03-02"
looked_at = "2026-03-03"
agreed = "2026-03-05"
begun = "2026-03-06"
done = "2026-04-01"
returned = "2026-04-03"
[looked_at]
by = "AB"
how = ["by eye", "loupe, 10 times"]
[[agreements]]
number = "A1"
asked = "2026-03-04"
answered = "2026-03-05"
answer = "agreed"
what = "new lining, strap cleaned and fed"
price = "480 EUR"
[[agreements]]
number = "A2"
asked = "2026-03-04"
answered = "2026-03-05"
answer = "refused"
what = "replating the buckle"
[handover]
date = "2026-04-03"
care = ["Keep dry."]
"""

PARTS = """number,part,pieces,seen,came as,known from,material,condition,new material,why,told by,old piece
1,body,1,outside,original,seen,cowhide,dry,,,,
2,strap,1,outside,original,seen,cowhide,cracked,,,,
3,buckle,1,outside,earlier replacement,seen,brass,dull,,,,
4,lining,1,inside,original,seen,linen,in shreds,linen,it had come apart,dated stitch,with the owner
5,rivets,12,outside,original,seen,copper,two missing heads,,,,
6,stiffener,1,hidden,not known,not known,board,,,,,
"""

WORK = """date,who,parts,pieces,done,how,product,batch,agreed on
2026-03-06,AB,1,,cleaned,with a soft brush,,,A1
2026-03-07,AB,2,,fed or protected,thin coat by hand,leather dressing,7,A1
2026-03-20,AB,4,,replaced,cut to the old pattern and sewn through the old holes,,,A1
2026-03-21,AB,5,2 of 12,repaired,heads closed again,,,A1
2026-03-21,AB,3,,left as found,,,,
2026-03-21,AB,6,,not examined,,,,
"""

PHOTOS = """file,stage,parts,pair,caption,cover,private
before.jpg,received,1; 2,P1,The satchel as it came,,
after.jpg,done,1; 2,P1,The satchel after the work,yes,
lining.png,opened,4,P2,The lining in shreds,,
lining-after.jpg,done,4,P2,The new lining,,
private.jpg,looked at,1,,The monogram,,yes
"""


def picture(path: Path, colour: tuple[int, int, int], when: str, words: str) -> None:
    """A picture with something on it and the time it was taken."""
    image = Image.new("RGB", (1200, 900), (226, 224, 220))
    draw = ImageDraw.Draw(image)
    draw.rounded_rectangle((200, 250, 1000, 800), 60, fill=colour, outline=(40, 30, 20), width=9)
    draw.line((200, 420, 1000, 420), fill=(40, 30, 20), width=7)
    draw.text((420, 560), words, fill=(250, 250, 250), font_size=48)
    exif = Image.Exif()
    if when:
        exif.get_ifd(0x8769)[0x9003] = when
        exif.get_ifd(0x8769)[0x9011] = "+01:00"
    image.save(path, exif=exif.tobytes())


@pytest.fixture(scope="session")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The job folder. Tests that change it work on a copy."""
    home = tmp_path_factory.mktemp("workshop")
    shutil.copytree(ROOT / "keys_example", home / "keys")
    (home / "workshop.toml").write_text(WORKSHOP, encoding="utf-8")
    folder = home / "satchel"
    (folder / "photos").mkdir(parents=True)
    (folder / "notes").mkdir()
    for name, text in {"job.toml": JOB, "parts.csv": PARTS, "work.csv": WORK, "photos.csv": PHOTOS}.items():
        (folder / name).write_text(text, encoding="utf-8")
    (folder / "notes" / "private-note.md").write_text("# For us\n\nXyzzy plugh.\n", encoding="utf-8")
    (folder / "notes" / "lining.md").write_text("# Lining\n\nThe old lining was linen.\n", encoding="utf-8")
    photos = folder / "photos"
    picture(photos / "before.jpg", (120, 80, 50), "2026:03:02 10:00:00", "before")
    picture(photos / "after.jpg", (150, 95, 55), "2026:04:01 16:00:00", "after")
    picture(photos / "lining.png", (90, 90, 80), "", "lining")
    picture(photos / "lining-after.jpg", (130, 130, 110), "2026:04:01 16:10:00", "new lining")
    picture(photos / "private.jpg", (80, 80, 120), "2026:03:03 09:00:00", "QXZ")
    return folder


@pytest.fixture(scope="session")
def run() -> Callable[..., Ran]:
    """Run the program as a person would; anything but an exit is shown whole."""

    def run(*words: object) -> Ran:
        with CliRunner().isolation() as (out, err, _):
            try:
                main([str(word) for word in words])
            except SystemExit as stop:
                code = int(stop.code or 0)
            return Ran(code, out.getvalue().decode(), err.getvalue().decode())

    return run


@dataclass(frozen=True)
class Ran:
    """One run: exit code, standard output, standard error."""

    code: int
    out: str
    err: str


def tree(folder: Path) -> dict[str, tuple[str, int]]:
    """Every file below a folder with its digest and time of change."""
    return {
        str(p.relative_to(folder)): (hashlib.sha256(p.read_bytes()).hexdigest(), p.stat().st_mtime_ns)
        for p in sorted(folder.rglob("*"))
        if p.is_file()
    }


@pytest.fixture(scope="session")
def output(job: Path, run: Callable[..., Ran], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The compiled dossier folder, workshop copy, originals beside."""
    target = tmp_path_factory.mktemp("out") / "satchel-dossier"
    ran = run("compile", job, "--to", target)
    assert ran.code == 0, ran.err
    return target


@pytest.fixture(scope="session")
def inside(job: Path, run: Callable[..., Ran], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The compiled PDF with the originals inside."""
    target = tmp_path_factory.mktemp("out") / "inside"
    ran = run("compile", job, "--to", target, "--originals", "inside")
    assert ran.code == 0, ran.err
    return target / "dossier.pdf"
