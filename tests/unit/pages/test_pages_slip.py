"""The job slip is read from paper as a telephone sees it, by zxing-cpp and OpenCV; its scale is 100 mm long.

The distortions are those of a slip among tools on a bench: turned, tilted, out of focus, half in shadow,
noisy, and small in the picture (OpenCV's warp and NumPy's PCG64 generator; seeds are fixed).
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import cv2
import msgspec
import numpy as np
import numpy.typing as npt
import pypdfium2
import pytest
import zxingcpp

from dossier.account.slip import slip_of, slip_text
from dossier.model.record import OpenRecord
from dossier.model.words import STAGES
from dossier.pages.options import PageOptions
from dossier.pages.slip import OneSlip, draw_slips
from dossier.pictures.codes import read_codes

Make = Callable[..., PageOptions]
Picture = npt.NDArray[np.uint8]
PAPERS = ("A4", "Letter")


def slips(record: OpenRecord, *stages: Any) -> list[OneSlip]:
    return [OneSlip(stage, slip_text(record.payload.job, stage)) for stage in stages]


def rendered(pdf: bytes, dpi: int, page: int = 0) -> Picture:
    with pypdfium2.PdfDocument(pdf) as opened:
        return np.asarray(opened[page].render(scale=dpi / 72, grayscale=True).to_numpy()).squeeze().copy()


def texts(pdf: bytes) -> list[str]:
    with pypdfium2.PdfDocument(pdf) as opened:
        return [" ".join(page.get_textpage().get_text_bounded().split()) for page in opened]


def on_a_bench(slip: Picture, share: float, turn: float, tilt: float, blur: float, seed: int) -> Picture:
    """A picture of 2400 x 1800 in which the slip is `share` of the width, on a ground of uneven tools."""
    rng = np.random.default_rng(seed)
    ground = cv2.resize(
        rng.uniform(40, 190, (45, 60)).astype(np.float32), (2400, 1800), interpolation=cv2.INTER_CUBIC
    )
    height, width = slip.shape
    corners = np.array([[-0.5 + tilt, -0.5], [0.5 - tilt, -0.5 + tilt / 2], [0.5, 0.5], [-0.5, 0.5]])
    corners *= [2400 * share, 2400 * share * height / width]
    rotation = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    target = (corners @ rotation.T + [1200, 900]).astype(np.float32)
    source = np.array([[0, 0], [width, 0], [width, height], [0, height]], np.float32)
    warp = cv2.getPerspectiveTransform(source, target)
    paper = cv2.warpPerspective(slip.astype(np.float32) * 0.8 + 25, warp, (2400, 1800), flags=cv2.INTER_AREA)
    there = cv2.warpPerspective(np.ones_like(slip, np.float32), warp, (2400, 1800))
    seen = cv2.GaussianBlur(paper * there + ground * (1 - there), (0, 0), blur)
    shade = np.where(np.arange(2400) > 1250, 0.55, 1.0)[None, :].astype(np.float32)
    seen = seen * cv2.GaussianBlur(shade, (0, 0), 40) + rng.standard_normal(seen.shape, np.float32) * 5
    return np.clip(seen, 0, 255).astype(np.uint8)


def by_opencv(picture: Picture) -> str:
    for seen in (cv2.resize(picture, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA), picture):
        for finder in (cv2.QRCodeDetectorAruco(), cv2.QRCodeDetector()):
            if text := finder.detectAndDecode(seen)[0]:
                return str(text)
    return ""


@pytest.mark.parametrize("paper", PAPERS)
def test_a_slip_conforms_and_says_job_stage_and_object(
    paper: str, rich_record: OpenRecord, page_options: Make, assert_conforming: Any
) -> None:
    some = slips(rich_record, "received", "opened", "working", "done", "returned")
    pdf = draw_slips(rich_record, some, page_options(paper=paper))
    assert_conforming(pdf)
    pages = texts(pdf)
    assert len(pages) == 5
    for words in ("2026-014", "Opened", "Finished", "Travelling writing slope", "100 mm if printed at 100 %"):
        assert words in " ".join(pages)
    assert "Farrow" not in " ".join(pages)


@pytest.mark.parametrize("stage", STAGES)
def test_read_from_the_page_at_150_dpi(stage: Any, rich_record: OpenRecord, page_options: Make) -> None:
    picture = rendered(draw_slips(rich_record, slips(rich_record, stage), page_options()), 150)
    [found] = zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)
    assert slip_of(found.text) == ("2026-014", stage)
    assert found.ec_level == "Q"
    assert slip_of(by_opencv(picture)) == ("2026-014", stage)


BENCH: dict[str, dict[str, Any]] = {
    "straight": {"share": 0.5, "turn": 0.0, "tilt": 0.0, "blur": 1.0, "seed": 1},
    "turned": {"share": 0.4, "turn": 0.8, "tilt": 0.02, "blur": 1.0, "seed": 2},
    "upside down and tilted": {"share": 0.45, "turn": 3.0, "tilt": 0.12, "blur": 1.2, "seed": 3},
    "small": {"share": 0.18, "turn": 0.2, "tilt": 0.03, "blur": 0.8, "seed": 4},
    "out of focus": {"share": 0.5, "turn": 0.1, "tilt": 0.05, "blur": 4.0, "seed": 5},
}


@pytest.mark.parametrize("name", BENCH)
def test_read_from_a_photograph(
    name: str, rich_record: OpenRecord, page_options: Make, tmp_path: Path
) -> None:
    """By the reader that sorts photographs, from a JPEG file, and by OpenCV from the same picture."""
    page = rendered(draw_slips(rich_record, slips(rich_record, "opened"), page_options()), 150)
    picture = on_a_bench(page, **BENCH[name])
    cv2.imwrite(str(tmp_path / "first.jpg"), picture, [cv2.IMWRITE_JPEG_QUALITY, 85])
    assert [slip_of(text) for text in read_codes(tmp_path / "first.jpg")] == [("2026-014", "opened")]
    assert slip_of(by_opencv(cv2.imread(str(tmp_path / "first.jpg"), cv2.IMREAD_GRAYSCALE))) is not None


def test_the_pictures_are_hard_enough_to_fail(
    rich_record: OpenRecord, page_options: Make, tmp_path: Path
) -> None:
    page = rendered(draw_slips(rich_record, slips(rich_record, "opened"), page_options()), 150)
    cv2.imwrite(str(tmp_path / "first.jpg"), on_a_bench(page, **(BENCH["out of focus"] | {"blur": 12.0})))
    assert read_codes(tmp_path / "first.jpg") == []


@pytest.mark.parametrize("paper", PAPERS)
def test_the_scale_is_100_mm(paper: str, rich_record: OpenRecord, page_options: Make) -> None:
    """At 600 dpi 100 mm are 2362.2 pixels, and the outline of 0.4 pt, the longest dark row, adds 3.3."""
    options = page_options(paper=paper)
    page = rendered(draw_slips(rich_record, slips(rich_record, "opened"), options), 600)
    longest = 0
    for row in (page < 110)[page.shape[0] // 4 :: 1]:
        edges = np.flatnonzero(np.diff(np.concatenate(([0], row.astype(np.int8), [0]))))
        runs = edges[1::2] - edges[::2]
        near = runs[(runs > 2300) & (runs < 2420)]
        longest = max(longest, int(near.max()) if len(near) else 0)
    assert longest == pytest.approx(100 / 25.4 * 600 + 3.3, abs=3)


@pytest.mark.parametrize("number", ["1", "J" * 60, "2026/\u00e4\u00f6\u00fc-7 b"])
def test_any_number_and_name_stay_on_one_page(
    number: str, rich_record: OpenRecord, page_options: Make, tmp_path: Path
) -> None:
    thing = msgspec.structs.replace(rich_record.payload.object, title="A long name of a long thing " * 9)
    shop = msgspec.structs.replace(rich_record.payload.workshop, name="Workshop " * 20)
    payload = msgspec.structs.replace(rich_record.payload, job=number, object=thing, workshop=shop)
    record = msgspec.structs.replace(rich_record, payload=payload)
    pdf = draw_slips(record, slips(record, "looked at"), page_options())
    assert len(texts(pdf)) == 1
    cv2.imwrite(str(tmp_path / "slip.png"), rendered(pdf, 150))
    assert [slip_of(text) for text in read_codes(tmp_path / "slip.png")] == [(number, "looked at")]
