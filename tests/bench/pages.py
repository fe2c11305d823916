"""The pages of a large job laid out and drawn, and what tagging costs over the same pages untagged.

    python tests/bench/pages.py --parts 200 --photos 400

CPU seconds, the least of several runs. The pictures are made beforehand and not measured. Untagged means: the
same flowables, laid out by the same code, drawn on a plain reportlab canvas that has no marked content and
keeps no structure, and saved by reportlab itself (which reads each picture anew). The stricter figure is the
next: our own canvas and writer with all marks and the structure left out. The last is layout alone.

On a busy machine CPU seconds differ by a third from run to run; instructions do not. What a drawing costs is
the difference of two runs of its kind, `--times 1` and `--times 2`, under a counter.

    valgrind --tool=cachegrind --cache-sim=no python tests/bench/pages.py --only tagged --times 2
"""

from __future__ import annotations

import argparse
import contextlib
import datetime as dt
import hashlib
import io
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any
from unittest import mock

from PIL import Image, ImageDraw
from reportlab import rl_config
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from dossier.account.lines import account_of
from dossier.account.parts import parts_now
from dossier.memory import collect_seldom
from dossier.model.record import OpenRecord, Payload, PhotoDetails, Photograph, Sentence, WorkshopId
from dossier.model.rows import Dates, Object, Part, Work, Worker
from dossier.model.words import STAGES
from dossier.pages import document
from dossier.pages.options import PageOptions
from dossier.pages.tagging import document as tagging_document
from dossier.pages.tagging import writer
from dossier.pages.tagging.canvas import WHOLE, Page, Shares, TaggedCanvas
from dossier.pages.tagging.objects import File
from dossier.pages.tagging.structure import Element
from dossier.pages.tagging.tree import Tied

TARGET_SECONDS, TARGET_SHARE = 6.0, 0.15
OPTIONS = PageOptions(created=dt.datetime(2026, 9, 21, tzinfo=dt.UTC), fingerprint="11111 22222 33333")
SAID = (
    "It was opened along the old seam, cleaned, laid flat under weights and sewn again through the old holes"
)
CAME = ("original", "original", "earlier replacement", "not known")
DONE = ("cleaned", "repaired", "replaced", "taken off and refitted")


def pictures_of(count: int) -> dict[str, bytes]:
    """JPEGs of the size of a picture in a grid, each one different."""
    return {f"photo-{number:03}.jpg": _picture(number) for number in range(1, count + 1)}


def _picture(number: int) -> bytes:
    image = Image.linear_gradient("L").resize((700, 525)).convert("RGB")
    ImageDraw.Draw(image).text((40, 40), str(number), fill=(160, 60, 20), font_size=120)
    out = io.BytesIO()
    image.save(out, "JPEG", quality=82)
    return out.getvalue()


def record_of(parts: int, pictures: Mapping[str, bytes]) -> OpenRecord:
    """A record of so many parts, a line of work and two sentences for each, and these photographs."""
    rows = tuple(_part(number) for number in range(1, parts + 1))
    work = tuple(_work(number) for number in range(1, parts + 1))
    now = parts_now(rows, work)
    photographs = tuple(_photograph(n, name, data, parts) for n, (name, data) in enumerate(pictures.items()))
    payload = Payload(
        format="1.0",
        sd_alg="sha-256",
        iat=0,
        record="urn:uuid:00000000-0000-4000-8000-000000000000",
        job="2026-400",
        language="en",
        workshop=WorkshopId(name="Bench & Hand"),
        object=Object(type="cabinet", title="A cabinet of many drawers"),
        for_whom="museum",
        dates=Dates(received="2026-01-05", returned="2026-09-01"),
        people=(Worker(mark="BH", name="B. Hand"),),
        parts=rows,
        work=work,
        parts_now=now,
        account=account_of(rows, now),
        photographs=photographs,
        disclosure=tuple(
            Sentence(group="worked_on", text=f"The {row.part} was worked on: {SAID.lower()}.") for row in rows
        ),
    )
    details = {
        name: PhotoDetails(
            name=name, file=name, caption=f"Drawer {n} from the front, its runners and its lock"
        )
        for n, name in enumerate(pictures, 1)
    }
    return OpenRecord(payload=payload, copy="workshop", digest="0" * 64, photo_details=details)


def _part(number: int) -> Part:
    return Part(
        number=str(number),
        part=f"drawer {number}, front and sides",
        seen=("outside", "inside", "hidden")[number % 3],
        came_as=CAME[number % 4],  # type: ignore[arg-type]
        known_from="seen",
        material="oak, veneered with walnut",
        condition="veneer loose along the lower edge, a runner worn through, the lock stiff",
    )


def _work(number: int) -> Work:
    day = dt.date(2026, 2, 1) + dt.timedelta(days=number // 2)
    return Work(
        number=number, date=day.isoformat(), who="BH", parts=(str(number),), done=DONE[number % 4], how=SAID  # type: ignore[arg-type]
    )  # fmt: skip


def _photograph(number: int, name: str, data: bytes, parts: int) -> Photograph:
    return Photograph(
        name=name,
        bytes=len(data),
        sha256=hashlib.sha256(data).hexdigest(),
        media_type="image/jpeg",
        stage=STAGES[number * (len(STAGES) - 1) // 400 % len(STAGES)],
        parts=(str(number % parts + 1),) if parts else (),
        details=(),
    )


Draw = Callable[[OpenRecord, Mapping[str, bytes]], bytes]


class Plain(Canvas):  # type: ignore[misc]  # reportlab is untyped
    """A reportlab canvas as it comes, with the names that the flowables call and nothing behind them."""

    in_outer_artifact = True

    def __init__(self, page_size: tuple[float, float], page_count: int, font_name: str) -> None:
        super().__init__(
            io.BytesIO(), pagesize=page_size, pageCompression=1, invariant=1, initialFontName=font_name
        )
        self.page_count = page_count
        self.links: list[Any] = []
        self.pictures: dict[int, ImageReader] = {}

    @contextlib.contextmanager
    def mark(self, *_: Any) -> Iterator[None]:
        yield

    artifact = decoration = mark

    def bookmark(self, *_: Any) -> None:
        """No outline."""

    target = bookmark

    def place_jpeg(
        self, data: bytes, x: float, y: float, width: float, height: float, window: Shares = WHOLE
    ) -> None:
        reader = self.pictures.setdefault(id(data), ImageReader(io.BytesIO(data)))
        if window == WHOLE:
            self.drawImage(reader, x, y, width, height)
            return
        left, top, across, down = window
        wide, high = width / across, height / down
        self.saveState()
        path = self.beginPath()
        path.rect(x, y, width, height)
        self.clipPath(path, stroke=0)
        self.drawImage(reader, x - left * wide, y - (1 - top - down) * high, wide, high)
        self.restoreState()

    def finished(self) -> bytes:
        return bytes(self.getpdfdata())


_NOTHING = contextlib.nullcontext()


class Unmarked(TaggedCanvas):
    """The canvas of the pages with nothing said of what is drawn."""

    in_outer_artifact = True

    def mark(self, *_: Any) -> contextlib.AbstractContextManager[None]:
        return _NOTHING

    artifact = decoration = mark  # type: ignore[assignment]


def tagged(record: OpenRecord, pictures: Mapping[str, bytes]) -> bytes:
    return document.draw(record, pictures, OPTIONS)


def untagged(record: OpenRecord, pictures: Mapping[str, bytes]) -> bytes:
    """No structure made, drawn on and saved by reportlab."""
    with (
        mock.patch.object(tagging_document, "structure_of"),
        mock.patch.object(tagging_document, "TaggedCanvas", Plain),
        mock.patch.object(tagging_document, "write", lambda drawn, _meta: drawn.canvas.finished()),
    ):
        return document.draw(record, pictures, OPTIONS)


def unmarked(record: OpenRecord, pictures: Mapping[str, bytes]) -> bytes:
    """No structure and no marks, by our own canvas and writer."""
    with (
        mock.patch.object(tagging_document, "structure_of"),
        mock.patch.object(tagging_document, "TaggedCanvas", Unmarked),
        mock.patch.object(writer, "add_structure", without_structure),
    ):
        return document.draw(record, pictures, OPTIONS)


def without_structure(file: File, _root: Element, pages: Sequence[Page], *_: Any) -> Tied:
    """Nothing but an empty root of a tree."""
    return Tied(file.add({}), [], [{} for _ in pages])


def laid_out(record: OpenRecord, pictures: Mapping[str, bytes]) -> bytes:
    """The story and its pages, none drawn."""
    with mock.patch.object(
        tagging_document.Document, "build", lambda self, story: bytes(len(self._lay_out(story)))
    ):
        return document.draw(record, pictures, OPTIONS)


def seconds(
    runs: Sequence[Draw], record: OpenRecord, pictures: Mapping[str, bytes], times: int
) -> list[float]:
    """The least of each, all of them once a round: what a busy machine adds is left out as far as can be."""
    found: list[list[float]] = [[] for _ in runs]
    for number in range(times + 1):
        for run, taken in zip(runs, found, strict=True):
            start = time.process_time()
            run(record, pictures)
            if number:  # the first round fills caches and opens fonts
                taken.append(time.process_time() - start)
    return [min(taken) for taken in found]


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--parts", type=int, default=200)
    asked.add_argument("--photos", type=int, default=400)
    asked.add_argument("--times", type=int, default=5)
    asked.add_argument("--only", choices=["tagged", "untagged", "unmarked", "laid_out"])
    options = asked.parse_args()
    rl_config.useA85 = 0  # its own text encoding of pictures would be most of its time
    collect_seldom()  # as the program does
    pictures = pictures_of(options.photos)
    record = record_of(options.parts, pictures)
    runs = (tagged, untagged, unmarked, laid_out)
    for run in (one for one in runs if one.__name__ == options.only):
        for _ in range(options.times):
            run(record, pictures)
        return
    taken = dict(zip(runs, seconds(runs, record, pictures, options.times), strict=True))
    pages = len(laid_out(record, pictures))
    print(f"{options.parts} parts, {options.photos} photographs: {pages} pages")
    print(f"tagged    {taken[tagged]:6.2f} s CPU (target under {TARGET_SECONDS:.0f} s for 200 and 400)")
    for run, what in ((untagged, "untagged"), (unmarked, "unmarked")):
        share = taken[tagged] / taken[run] - 1
        print(f"{what}  {taken[run]:6.2f} s CPU: tagging costs {share:+.1%} (target {TARGET_SHARE:.0%})")
    print(f"layout    {taken[laid_out]:6.2f} s CPU of each")


if __name__ == "__main__":
    main()
