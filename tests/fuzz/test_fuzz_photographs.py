"""Corrupted photographs: facts always come back, pictures come or are refused, each in bounded time."""

from __future__ import annotations

import time
from io import BytesIO
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from dossier.errors import PictureError
from dossier.intake.photographs import read_facts
from dossier.model.job import PhotoFacts
from dossier.pictures.derive import Derived, derive
from dossier.pictures.plan import Size

DATA = Path(__file__).resolve().parents[1] / "data" / "photographs"
SAMPLES = (
    "phone-p3.mpo",
    "phone-turned.jpg",
    "old-phone.jpg",
    "ink.jpg",
    "mirrorless-grey.heic",
    "deep.tiff",
    "lab.tif",
)
SECONDS = 5.0  # of CPU: whatever else the machine does
pytestmark = pytest.mark.filterwarnings("ignore")  # the library's warnings of odd tags; none may be an error


def png():
    out = BytesIO()
    with Image.open(DATA / "phone-p3.mpo") as image:
        image.save(out, "PNG", exif=image.info["exif"], icc_profile=image.info["icc_profile"])
    return out.getvalue()


CONTENTS = {name: (DATA / name).read_bytes() for name in SAMPLES} | {"made.png": png()}


def spoiled(content, edits, keep):
    data = bytearray(content)
    for place, value in edits:
        data[place % min(len(data), 6000)] = value
    return bytes(data[: max(1, int(len(data) * keep))])


def check(folder, name, content):
    path = folder / name
    path.write_bytes(content)
    start = time.process_time()
    (facts,) = read_facts(folder, "Europe/Berlin")
    assert facts.file == name
    try:
        made = derive(
            path, PhotoFacts(file=name, bytes=len(content), orientation=facts.orientation), Size(400, 80)
        )
        assert isinstance(made, Derived)
        assert made.jpeg[:3] == b"\xff\xd8\xff"
    except PictureError as error:
        assert error.message.startswith(name)
    assert time.process_time() - start < SECONDS


edits = st.lists(st.tuples(st.integers(0, 5999), st.integers(0, 255)), min_size=1, max_size=24)
keeps = st.one_of(st.just(1.0), st.floats(0.001, 1.0))
quiet = settings(deadline=None, max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture])


@given(name=st.sampled_from(sorted(CONTENTS)), edits=edits, keep=keeps)
@quiet
def test_spoiled_headers(tmp_path, name, edits, keep):
    for old in tmp_path.iterdir():
        old.unlink()
    check(tmp_path, name, spoiled(CONTENTS[name], edits, keep))


@pytest.mark.campaign
@given(name=st.sampled_from(sorted(CONTENTS)), edits=edits, keep=keeps)
@settings(quiet, max_examples=20_000)
def test_spoiled_headers_long(tmp_path, name, edits, keep):
    for old in tmp_path.iterdir():
        old.unlink()
    check(tmp_path, name, spoiled(CONTENTS[name], edits, keep))


@given(
    content=st.binary(max_size=400),
    start=st.sampled_from(
        [b"", b"\xff\xd8\xff\xe1", b"II*\0", b"MM\0*", b"\0\0\0\x18ftypheic", b"\x89PNG\r\n\x1a\n"]
    ),
)
@quiet
def test_noise(tmp_path, content, start):
    check(tmp_path, "a.jpg", start + content)
