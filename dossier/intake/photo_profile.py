"""A picture's colour profile: its name, and whether it is that of a well-known space and no more.

A screen's own profile, which pictures of the screen and some editing programs carry, can hold its owner's
name and the screen's number. Tags: ICC.1:2022, clause 9; names of spaces: those of files from cameras,
common practice, no source. Not found: what hides in a well-known profile's curves or in the texts
beside its name, as a note of rights.
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
# Generic RGB as that maker writes it, without spaces.
_GENERIC = re.compile(
    "allgemeinesrgb-profil|algemeenrgb-profiel|általánosrgbprofil|cấuhìnhrgbchung|generelrgb-(beskrivelse|profil)|"
    "generičkirgbprofil|generiskrgb-profil|genelrgbprofili|obecnýrgbprofil|perfilrgbgen(èric|érico)|"
    "profilgénériquervb|profilrgbgeneric|profilorgbgenerico|uniwersalnyprofilrgb|všeobecnýrgbprofil|"
    "yleinenrgb-profiili|γενικόπροφίλrgb|загальнийпрофайлrgb|общийпрофильrgb|פרופילrgbכללי|ملفتعريفrgbالعام|"
    "โปรไฟล์rgbทั่วไป|一般rgbプロファイル|普通rgb描述文件|通用rgb色彩描述|일반rgb프로파일"
)


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
    """Whether there is none, or it names a space that many files share and has the tags of colours alone.

    Named so in every language.
    """
    if not icc:
        return True
    if not {tag for tag, _ in _tags(icc)} <= _TAGS or name(icc) in {"", OTHER}:
        return False
    named = (text for tag, place in _tags(icc) if tag in _NAMES for text in _texts(tag, icc[place]))
    return all(map(_is_space, named))


def _tags(icc: bytes) -> Iterator[tuple[bytes, slice]]:
    """Each that it lists, at most as many as have room, and where it lies."""
    count = min(int.from_bytes(icc[_HEAD : _HEAD + 4], "big"), len(icc) // _ENTRY)
    for at in range(_HEAD + 4, _HEAD + 4 + _ENTRY * count, _ENTRY):
        start, length = _place(icc, at + 4)
        yield icc[at : at + 4], slice(start, start + length)


def _texts(tag: bytes, held: bytes) -> Iterator[str]:
    """Of a name in many languages each (ICC.1:2022, 10.15); of a plain one none, which `name` has read."""
    if held[:4] != b"mluc" and tag == b"desc":
        return
    count = int.from_bytes(held[8:12], "big")
    if held[:4] != b"mluc" or count > _MOST_NAMES:
        yield OTHER
        return
    for at in range(16, 16 + _ENTRY * count, _ENTRY):
        length, start = _place(held, at + 4)
        yield held[start : start + length].decode("utf-16-be", "replace") if length < _LONGEST else OTHER


def _place(held: bytes, at: int) -> tuple[int, int]:
    """Two numbers."""
    return int.from_bytes(held[at : at + 4], "big"), int.from_bytes(held[at + 4 : at + 8], "big")


def _is_space(text: str) -> bool:
    text = text.strip("\0\u200f ")
    return bool(_SPACE.fullmatch(text) or _GENERIC.fullmatch("".join(text.split()).casefold()))
