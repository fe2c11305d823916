"""A window of a photograph: what Pillow cuts out of it, in pixels enough for print, and where it is shown."""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping
from typing import Any

import msgspec
import numpy as np
import pikepdf
import pypdfium2
import pytest
from PIL import Image, ImageChops

from dossier.model.record import OpenRecord, PhotoDetails, Photograph
from dossier.model.rows import Feature, PhotoPlace
from dossier.model.words import Stage
from dossier.pages import blocks, close_up, document
from dossier.pages.options import PageOptions
from dossier.pages.photographs import Shot
from dossier.pages.running import finished
from dossier.pages.sections import know_it, new_removed
from dossier.pages.setting import Setting
from dossier.pages.tagging import Picture

Make = Callable[..., PageOptions]


def _picture(width: int, height: int) -> bytes:
    """Red grows to the right, green downwards: each place has a colour of its own."""
    across, down = np.meshgrid(np.linspace(80, 255, width), np.linspace(0, 255, height))
    pixels = np.dstack([across, down, np.zeros_like(across)]).astype(np.uint8)
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, "JPEG", quality=95, subsampling=0)
    return out.getvalue()


def _shot(*places: PhotoPlace, size: tuple[int, int] = (1600, 1200), parts: tuple[str, ...] = ()) -> Shot:
    row = Photograph(
        name="photo-001.jpg", bytes=1, sha256="0" * 64, media_type="image/jpeg", stage="done", parts=parts
    )
    details = PhotoDetails(name=row.name, file="a.jpg", places=places)
    return Shot(1, row, details, in_copy=True, jpeg=_picture(*size), laid={})


def _place(*at: int, part: str = "1", note: str = "a dent") -> PhotoPlace:
    kind: Any = {2: "point", 4: "box"}.get(len(at), "outline")
    return PhotoPlace(number="1", kind=kind, at=at, part=part, note=note)


WHERE = [(500, 500), (20, 30), (990, 985), (600, 200, 700, 260), (100, 700, 300, 760, 200, 900)]


@pytest.mark.parametrize("at", WHERE)
@pytest.mark.parametrize("size", [(1600, 1200), (900, 1200), (3000, 800)])
def test_a_window_shows_what_is_cut_out_of_the_picture(
    at: tuple[int, ...], size: tuple[int, int], rich_record: OpenRecord, page_options: Make
) -> None:
    """Drawn by PDFium, and beside it the same box cut out by Pillow."""
    s = Setting(rich_record, {}, page_options())
    shot = _shot(_place(*at), size=size)
    seen = close_up.on_part(shot, "1")
    assert seen is not None
    drawn = close_up.picture(s, shot, seen, 96, 72)
    figure = drawn.figure
    with pypdfium2.PdfDocument(finished(s, [drawn], "a title")) as opened:
        page = opened[0].render(scale=4).to_pil().convert("RGB")
    left, top, right, bottom = _inked(page)
    assert (right - left, bottom - top) == pytest.approx((figure.width * 4, figure.height * 4), abs=3)
    box = (seen.left, seen.top, seen.left + seen.width, seen.top + seen.height)
    cut = Image.open(io.BytesIO(shot.jpeg)).crop(
        tuple(round(share * size[n % 2]) for n, share in enumerate(box))  # type: ignore[arg-type]
    )
    inside = page.crop((left + 4, top + 4, right - 4, bottom - 4))
    wanted = cut.resize((right - left, bottom - top)).crop((4, 4, right - left - 4, bottom - top - 4))
    off = np.abs(np.asarray(inside, float) - np.asarray(wanted, float))
    assert off.mean() < 4
    # Every point of the place lies in the window.
    for x, y in zip(at[::2], at[1::2], strict=True):
        assert box[0] <= x / 1000 <= box[2]
        assert box[1] <= y / 1000 <= box[3]
    dpi = seen.width * size[0] / (figure.width / 72)
    assert dpi >= blocks.LEAST_DPI - 0.1


def _inked(page: Image.Image) -> tuple[int, int, int, int]:
    """The box of what has colour: text and paper are grey."""
    red, _, blue = page.split()
    found = ImageChops.difference(red, blue).point(lambda value: 255 if value > 12 else 0).getbbox()
    assert found is not None
    return found


def test_no_window_where_it_would_be_no_closer() -> None:
    assert close_up.on_part(_shot(_place(50, 50, 950, 950)), "1") is None
    assert close_up.on_part(_shot(_place(500, 500, part="2")), "1") is None
    assert close_up.on_part(_shot(_place(500)), "1") is None
    assert close_up.on_part(_shot(), "1") is None


def test_what_is_heard_of_a_window_is_what_was_written_at_its_places(
    rich_record: OpenRecord, page_options: Make
) -> None:
    s = Setting(rich_record, {}, page_options())
    shot = _shot(_place(500, 500, note="a dent"), _place(520, 520, note="a scratch"))
    seen = close_up.on_part(shot, "1")
    assert seen is not None
    assert close_up.alt(s, shot, seen) == "Photograph\u00a01, detail: a dent; a scratch"


@pytest.mark.parametrize(
    ("parts", "places", "window"),
    [
        (("1",), (_place(500, 500),), False),  # a photograph of this part alone
        (("1", "2"), (_place(500, 500),), False),
        (("1", "2", "3"), (_place(500, 500),), True),
        (("1", "2", "3"), (), False),
    ],
)
def test_of_a_photograph_of_many_parts_the_place_of_this_one_is_shown(
    parts: tuple[str, ...], places: tuple[PhotoPlace, ...], window: bool
) -> None:
    ((_, seen),) = new_removed.closest([_shot(*places, parts=parts)], "1")
    assert (seen is not None) == window


def test_a_place_in_a_whole_view_comes_before_another_whole_view(
    rich_record: OpenRecord, rich_pictures: Mapping[str, bytes], page_options: Make
) -> None:
    """Both from after the work: the one with the place is chosen, though its number is higher."""
    many = ("1", "2", "3", "4")
    plain_view, marked = _shot(parts=many), _shot(_place(300, 300), parts=(*many, "5"))
    ((shot, seen),) = new_removed.closest([plain_view, marked], "1")
    assert shot is marked
    assert seen is not None
    view = new_removed._view(Setting(rich_record, rich_pictures, page_options()), shot, seen)
    assert isinstance(view, Picture)
    assert view.figure.alt == "Photograph\u00a01, detail: a dent"


def _of_pair(number: int, stage: Stage, pair: str, *parts: str) -> Shot:
    shot = _shot(parts=parts)
    row = msgspec.structs.replace(shot.photograph, pair=pair, stage=stage)
    return msgspec.structs.replace(shot, number=number, photograph=row)


@pytest.mark.parametrize(
    ("before", "chosen"),
    [
        (("1", "2"), [3, 4]),  # though 5 shows the part alone
        (("1", "2", "3"), [5, 4]),  # a view of much, in which the part is small
    ],
)
def test_the_two_that_somebody_paired_show_a_part(before: tuple[str, ...], chosen: list[int]) -> None:
    shots = [
        _of_pair(3, "received", "bellows", *before),
        _of_pair(4, "done", "bellows", "1"),
        _of_pair(5, "received", "", "1"),
        _of_pair(6, "received", "alone", "1"),
    ]
    assert [shot.number for shot, _ in new_removed.closest(shots, "1")] == chosen


def test_of_two_pairs_one_is_shown_and_not_half_of_each() -> None:
    shots = [
        _of_pair(1, "received", "front", "1"),
        _of_pair(2, "received", "lock", "1"),
        _of_pair(3, "done", "lock", "1"),
        _of_pair(4, "done", "front", "1"),
    ]
    assert [shot.number for shot, _ in new_removed.closest(shots, "1")] == [1, 4]
    secret = msgspec.structs.replace(
        shots[3], details=msgspec.structs.replace(shots[3].details, private=True)
    )
    assert [shot.number for shot, _ in new_removed.closest([*shots[:3], secret], "1")] == [2, 3]


def test_a_private_photograph_stands_behind_all_others() -> None:
    """Though it shows the part alone: a copy without it would show the part by another."""
    private = _shot(parts=("1",))
    private = msgspec.structs.replace(private, details=msgspec.structs.replace(private.details, private=True))
    plain_view = _shot(parts=("1", "2", "3"))
    assert [shot for shot, _ in new_removed.closest([private, plain_view], "1")] == [plain_view]
    assert [shot for shot, _ in new_removed.closest([private], "1")] == [private]


def test_a_feature_is_shown_by_the_places_it_names(
    rich_record: OpenRecord,
    rich_pictures: Mapping[str, bytes],
    page_options: Make,
    assert_conforming: Callable[..., None],
) -> None:
    """Of one photograph a window for each feature that names places on it, the whole for all others."""
    rows = (
        Feature(what="screws", photograph="photo-002.jpg", places=("2", "3")),
        Feature(what="lock", photograph="photo-002.jpg", places=("5",)),
        Feature(what="none of these numbers", photograph="photo-002.jpg", places=("99",)),
        Feature(what="whole", photograph="photo-002.jpg"),
    )
    payload = msgspec.structs.replace(rich_record.payload, know_it_by=rows)
    record = msgspec.structs.replace(rich_record, payload=payload)
    pictures = {**rich_pictures, "photo-002.jpg": _picture(1600, 1200)}
    found = know_it._pictures(Setting(record, pictures, page_options()))
    assert [[number for number, _ in one.rows] for one in found] == [[1], [2], [3, 4]]
    assert [one.seen and [place.number for place in one.seen.places] for one in found] == [
        ["2", "3"],
        ["5"],
        None,
    ]
    drawn = document.draw(record, pictures, page_options())
    assert_conforming(drawn)
    with pikepdf.open(io.BytesIO(drawn)) as opened:
        stored = [bytes(one.read_raw_bytes()) for one in opened.objects if isinstance(one, pikepdf.Stream)]
    assert stored.count(pictures["photo-002.jpg"]) == 1
