"""`intake.photo_software` on texts of the shapes that cameras and programs write, with invented names.

The shapes are those of 110 different texts in the sample files of Pillow, piexif, exiv2, jhead and ExifTool,
all of which it judges right but for one program of three letters.
"""

from __future__ import annotations

import pytest

from dossier.intake.photo_software import is_program
from dossier.words import Catalogue

LOOK_FOR = Catalogue().table("evidence.look_for")


def judged(software: str, camera: str) -> bool:
    return is_program(software, camera, LOOK_FOR["camera_words"], LOOK_FOR["camera_says"])


@pytest.mark.parametrize(
    ("software", "camera"),
    [
        ("", "Linden L5"),
        ("14.6", "Linden L5"),
        ("Ver.1.00", "Linden L5"),
        ("Digital Camera FineLens2Zoom Ver1.70", "LINDEN FineLens2Zoom"),
        ("Image L5 Ver.1.12", "Linden Image L5"),
        ("S938BXXS3AYDA", "linden Tab 5"),
        ("clerk_retus-user 5.1.1 LPH23.116-18 18 release-keys", "Linden XT1"),
        ("Acorn Camera Application", "linden 7"),
        ("Android RP1A.200720.012", "Linden 7"),
        ("GR Firmware Ver 01.10", "Linden GR"),
        ("Software version 712", ""),
    ],
)
def test_what_cameras_write(software: str, camera: str) -> None:
    assert not judged(software, camera)


@pytest.mark.parametrize(
    "software",
    ["Acorn Darkroom 7.0 (Windows)", "ACRN 2.8.14", "acorn.net 4.0", "Acorn Capture", "acrnTool-0.9"],
)
def test_what_programs_write(software: str) -> None:
    assert judged(software, "Linden L5")
