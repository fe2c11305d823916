"""The studio that draws the demo photographs: the same files again, true distances, honest colours."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageCms

pytestmark = pytest.mark.usefixtures("studio")


def test_a_photograph_is_made_the_same_again(tmp_path: Path) -> None:
    from make_photographs import make  # noqa: PLC0415 - stands beside the demo jobs, not in the package

    for run in ("one", "two"):
        make("mantel_clock", "P1040227.JPG", 160, tmp_path / run)
    one, two = (tmp_path / run / "mantel_clock" / "photos" / "P1040227.JPG" for run in ("one", "two"))
    assert one.read_bytes() == two.read_bytes()


def test_distances_are_those_of_geometry() -> None:
    """Points whose distance can be said beforehand, by triangles of sides 3, 4, 5."""
    from studio.solids import box, drum, ring, rod  # noqa: PLC0415 - as above

    def at(solid: object, *point: float) -> float:
        return float(solid.distance(*(np.array([v], np.float32) for v in point))[0])  # type: ignore[attr-defined]

    assert at(box("a", (0, 0, 0), (1, 2, 3)), 4, 0, 0) == pytest.approx(3, abs=1e-5)
    assert at(box("a", (0, 0, 0), (1, 2, 3), r=0.0001), 4, 6, 0) == pytest.approx(5, abs=1e-3)  # 3-4-5
    assert at(rod("a", (0, 0, 0), (0, 10, 0), 1), 3, 14, 0) == pytest.approx(4, abs=1e-5)  # 3-4-5, less 1
    assert at(drum("a", (0, 0, 0), "y", 2, 1), 5, 0, 0) == pytest.approx(3, abs=1e-5)
    assert at(ring("a", (0, 0, 0), "z", 2, 0.5), 5, 0, 4) == pytest.approx(4.5, abs=1e-5)  # 3-4-5, less 0.5


@pytest.mark.parametrize("which", ["bag", "open", "clock", "behind"])
def test_no_distance_grows_faster_than_the_way(which: str) -> None:
    """A ray may step by the distance only if it grows no faster than the way (Hart 1996)."""
    from studio.bag import bag  # noqa: PLC0415 - as above
    from studio.clock import clock  # noqa: PLC0415 - as above
    from studio.rays import Field  # noqa: PLC0415 - as above

    made = {"bag": bag(), "open": bag(open_=True), "clock": clock(True), "behind": clock(False, back=True)}
    field = Field(made[which])
    rng = np.random.default_rng(7)
    start = rng.uniform(-26, 30, (3, 6000)).astype(np.float32)
    step = rng.normal(0, 0.3, (3, 6000)).astype(np.float32)
    way = np.sqrt((step * step).sum(0))
    rise = np.abs(field.nearest(*(start + step)) - field.nearest(*start))
    assert np.percentile(rise / way, 99.5) < 1.1


def test_the_wide_profile_is_read_by_others_and_keeps_colours() -> None:
    """Little CMS turns the widened picture back to the sRGB one (greys and mild colours, within 3 of 255)."""
    from studio.files import _widened, wide_profile  # noqa: PLC0415 - as above

    ramp = np.stack(np.meshgrid(np.arange(40, 216, 16), np.arange(40, 216, 16)), -1).astype(np.uint8)
    picture = np.concatenate([ramp, np.full((*ramp.shape[:2], 1), 120, np.uint8)], -1)
    profile = ImageCms.ImageCmsProfile(io.BytesIO(wide_profile()))
    assert ImageCms.getProfileDescription(profile).strip() == "Example wide RGB"
    back = ImageCms.profileToProfile(
        Image.fromarray(_widened(picture)), profile, ImageCms.createProfile("sRGB"), outputMode="RGB"
    )
    assert back is not None
    assert np.abs(np.asarray(back).astype(int) - picture.astype(int)).max() <= 3
