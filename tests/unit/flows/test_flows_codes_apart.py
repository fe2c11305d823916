"""Codes in a stranger's picture are read within a bound that the module itself states; real ones are read."""

from __future__ import annotations

import datetime as dt
import subprocess
import sys
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
import qrcode

from dossier.errors import PictureError
from dossier.flows.verify import Asked, verify
from dossier.flows.verifying import codes_apart

TEXTS = [f"https://check.example/r#{n}" for n in range(8)]


def _corners(side: int) -> np.ndarray[Any, Any]:
    """Nothing but the pattern of a code's corner, a pixel a module (ISO/IEC 18004, 6.3.3)."""
    one = np.full((9, 9), 255, np.uint8)
    one[1:8, 1:8], one[2:7, 2:7], one[3:6, 3:6] = 0, 255, 0
    return np.tile(one, (side // 9, side // 9))


@pytest.mark.skipif(sys.platform == "win32", reason="counts no work of a process")
def test_a_picture_full_of_corners_is_given_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    cv2.imwrite(str(tmp_path / "corners.png"), _corners(3600))
    monkeypatch.setattr(codes_apart, "MOST_SECONDS", 1)
    monkeypatch.setattr(codes_apart, "MOST_WAIT", 1000)
    with pytest.raises(PictureError, match="takes too long"):
        codes_apart.read_codes(tmp_path / "corners.png")


def test_what_waits_is_given_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the system counts no work, and where a disk answers no more."""
    monkeypatch.setattr(codes_apart, "_START", "import time; time.sleep(600)")
    monkeypatch.setattr(codes_apart, "MOST_WAIT", 0.5)
    with pytest.raises(PictureError, match="takes too long"):
        codes_apart.read_codes(tmp_path / "x.png")


def test_one_bound_is_said_to_the_process(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[list[str]] = []

    def run(command: list[str], **more: Any) -> subprocess.CompletedProcess[bytes]:
        asked.append(command)
        assert more["timeout"] == codes_apart.MOST_WAIT
        return subprocess.CompletedProcess(command, 0, b'{"texts":["a"]}')

    monkeypatch.setattr(subprocess, "run", run)
    assert codes_apart.read_codes(tmp_path / "x.png") == ["a"]
    assert str(codes_apart.MOST_SECONDS) in asked[0] and codes_apart.MOST_SECONDS <= 10


def test_a_decoder_that_breaks_down_takes_nothing_with_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(codes_apart, "_START", "import os; os.abort()")
    with pytest.raises(PictureError, match="cannot be decoded"):
        codes_apart.read_codes(tmp_path / "x.png")


def test_eight_codes_on_one_sheet_are_read(tmp_path: Path) -> None:
    """Larger than the picture is looked at first, on the grain of paper, under a name that is no ASCII."""
    random = np.random.default_rng(3)
    sheet = np.full((3400, 2400), 235, np.uint8)
    for n, text in enumerate(TEXTS):
        code = np.array(qrcode.make(text, box_size=9, border=4).convert("L"))
        top, left = 100 + 820 * (n // 2), 200 + 1100 * (n % 2)
        sheet[top : top + code.shape[0], left : left + code.shape[1]] = code
    sheet = np.clip(sheet + random.normal(0, 8, sheet.shape), 0, 255).astype(np.uint8)
    path = tmp_path / "\u00fc \u96ea.jpg"
    path.write_bytes(cv2.imencode(".jpg", sheet)[1].tobytes())
    assert sorted(codes_apart.read_codes(path)) == TEXTS


def test_what_is_no_picture_is_told_as_before(tmp_path: Path) -> None:
    (tmp_path / "x.png").write_bytes(b"x")
    with pytest.raises(PictureError, match="not a picture this program reads"):
        codes_apart.read_codes(tmp_path / "x.png")
    with pytest.raises(PictureError, match="not an ordinary file"):
        codes_apart.read_codes(tmp_path)
    with pytest.raises(PictureError, match="No such file"):
        codes_apart.read_codes(tmp_path / "gone.png")


def test_verify_reads_a_picture_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    cv2.imwrite(str(tmp_path / "corners.png"), _corners(90))

    def given_up(path: Path) -> list[str]:
        raise PictureError("given up")

    monkeypatch.setattr(codes_apart, "read_codes", given_up)
    result = verify(tmp_path / "corners.png", Asked(today=dt.date(2026, 7, 1)))
    assert [(one.code, "given up" in str(one)) for one in result.checks] == [("picture", True)]
