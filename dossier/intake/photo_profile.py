"""A picture's colour profile: its name, and whether it is that of a well-known space and no more.

A screen's own profile, which pictures of the screen and some editing programs carry, can hold its owner's
name and the screen's number. Tags: ICC.1:2022, clause 9; names of spaces: those of files from cameras,
common practice, no source. Not found: what hides in a well-known profile's curves, or in a translation of its
name.
Invariant: nothing is raised for any bytes.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from io import BytesIO

from dossier.intake import photo_exif

OTHER = "other"
_HEAD, _ENTRY = 128, 12  # bytes
_MOST_NAMES, _LONGEST = 100, 200  # languages, bytes
_TAGS = frozenset(
    b"desc dscm cprt wtpt bkpt chad chrm rXYZ gXYZ bXYZ rTRC gTRC bTRC kTRC dmnd dmdd vued view lumi meas "
    b"tech cicp A2B0 A2B1 A2B2 B2A0 B2A1 B2A2 gamt rig0 rig2".split()
)
_WHOSE = r"(Nikon |Canon |Artifex |GIMP built-in |Compatible with )?"
_SPACES = (
    r"(sRGB(2014)?|Adobe ?RGB(1998)?|opRGB|Apple RGB|ColorMatch RGB|ProPhoto RGB|ROMM RGB: ISO 22028-2:2013|"
    r"Wide Gamut RGB|eciRGB|Display P3|DCI-P3|Rec\.? ?(709|2020)|Rec\. ITU-R BT\.(709|2020)-\d|"
    r"Generic (RGB|Gray)( Gamma)?|D65 Grayscale|Gr[ae]y Gamma|Dot Gain)"
)
_KIND = (
    r"( (IEC61966-2[.-]1|built-in|(no )?black scal(ed|ing)|ICC preference|ICCv4|D65|Profile|with sRGB TRC|"
    r"Gamut with (sRGB|HLG|PQ) Transfer|\((1998|compatible)\)))*"
)
_VERSION = r"( v?\d{1,2}(\.\d{1,4}){0,3}%?)?"  # no longer: a number may be a screen's
_SPACE = re.compile(_WHOSE + _SPACES + _KIND + _VERSION + _KIND)
_NAMES = (b"desc", b"dscm")  # the second is a tag of one maker's for a name in many languages
_TRANSLATED = 10  # languages: a name in as many is a maker's, translated from the English one
# What makers of well-known profiles write in the texts beside the name, a firm being told by its legal form.
_MAKERS = re.compile(
    r"copyright|\(c\)|©|all rights reserved|public domain|no copyright(, use freely)?|\b(19|20)\d\d\b|"
    r"IEC( ?61966-2[-.]1)?\b|http://www\.iec\.ch|default rgb colou?r space|reference viewing condition in|"
    r"lcms|generated|internal|GIMP|"
    r"\b([\w-]+,? ){1,3}(inc|incorporated|company|corporation|consortium|software|llc|ltd|gmbh)\b",
    re.IGNORECASE,
)
_SIGNS = " \0\u200f-,.;&()"


def name(icc: bytes) -> str:
    """That of a well-known space, `OTHER` for any other; "" when there is none or it cannot be read.

    It goes into the record, and with it into copies for others, where a screen's own name has no place.
    """
    described = _described(icc)
    return OTHER if described and not _SPACE.fullmatch(described) else described


@lru_cache(maxsize=64)
def _described(icc: bytes) -> str:
    if not icc:
        return ""
    from PIL import ImageCms  # noqa: PLC0415 - start-up cost: only pictures with a profile need it

    try:
        described = ImageCms.getProfileDescription(ImageCms.ImageCmsProfile(BytesIO(icc)))
    except Exception:  # a broken profile is as good as none
        return ""
    return photo_exif.clean(described)


def well_known(icc: bytes) -> bool:
    """Whether there is none, or it names a space that many files share, has the tags of colours alone, and
    says nothing in them but what such profiles say.
    """
    if not icc:
        return True
    if not {tag for tag, _ in _tags(icc)} <= _TAGS or name(icc) in {"", OTHER}:
        return False
    return all(_is_harmless(tag in _NAMES, text) for tag, at in _tags(icc) for text in _texts(icc[at]))


def _tags(icc: bytes) -> Iterator[tuple[bytes, slice]]:
    """Each that it lists, at most as many as have room, and where it lies."""
    count = min(int.from_bytes(icc[_HEAD : _HEAD + 4], "big"), len(icc) // _ENTRY)
    for at in range(_HEAD + 4, _HEAD + 4 + _ENTRY * count, _ENTRY):
        start, length = _place(icc, at + 4)
        yield icc[at : at + 4], slice(start, start + length)


def _texts(held: bytes) -> Iterator[str]:
    """What a tag says (ICC.1:2022, 10.15 and 10.24; ICC.1:2001-04, 6.5.17), none where it holds no text."""
    if held[:4] == b"text":
        yield held[8:].decode("latin-1")
    elif held[:4] == b"desc":
        yield from filter(None, (part.strip("\0") for part in _described_in(held[8:])))
    elif held[:4] == b"mluc":
        yield from _translations(held)


def _described_in(held: bytes) -> Iterator[str]:
    """Letters of ASCII, of Unicode and of one maker's, each with their number before them."""
    wide = 4 + int.from_bytes(held[:4], "big")
    other = wide + 8 + 2 * _place(held, wide)[1]
    yield held[4:wide].decode("latin-1")
    yield held[wide + 8 : other].decode("utf-16-be", "replace")
    yield held[other + 3 : other + 3 + 67].decode("latin-1")


def _translations(held: bytes) -> Iterator[str]:
    """Where they are many the English ones alone, which the others translate."""
    count = int.from_bytes(held[8:12], "big")
    if count > _MOST_NAMES:
        yield OTHER
        return
    rows = [held[at : at + _ENTRY] for at in range(16, 16 + _ENTRY * count, _ENTRY)]
    english = [row for row in rows if row[:2] == b"en"]
    for row in english if english and count >= _TRANSLATED else rows:
        length, start = _place(row, 4)
        yield held[start : start + length].decode("utf-16-be", "replace") if length < _LONGEST else OTHER


def _place(held: bytes, at: int) -> tuple[int, int]:
    """Two numbers."""
    return int.from_bytes(held[at : at + 4], "big"), int.from_bytes(held[at + 4 : at + 8], "big")


def _is_harmless(is_name: bool, text: str) -> bool:
    """Whether a name is a space's, or another text holds nothing besides such names and makers' words."""
    text = text.strip("\0\u200f ")
    if is_name:
        return bool(_SPACE.fullmatch(text))
    return len(text) <= _LONGEST and not _MAKERS.sub("", _SPACE.sub("", text)).strip(_SIGNS)
