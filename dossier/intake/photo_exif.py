"""What the EXIF block of a photograph says: time, zone, camera, orientation, position present.

Not done here: finding the block in a file (`photo_header`), judging what it says. Invariants: whatever the
block holds, `read` gives an `ExifFacts` and never raises; a value that breaks its own rule is taken as not
said, never guessed. The file's own time is never used. Tag numbers: EXIF 2.32 (CIPA DC-008) section 4.6.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from contextlib import suppress
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from typing import Any

import msgspec

MAKE, MODEL, ORIENTATION, SOFTWARE = 0x010F, 0x0110, 0x0112, 0x0131
EXIF_IFD, GPS_IFD = 0x8769, 0x8825
DATE_TIME_ORIGINAL, OFFSET_TIME_ORIGINAL, SUB_SEC_ORIGINAL = 0x9003, 0x9011, 0x9291
TIME_ZONE_OFFSET = 0x882A  # TIFF/EP: whole hours, the first value is that of DateTimeOriginal
BODY_SERIAL = 0xA431
GPS_LATITUDE, GPS_LONGITUDE = 2, 4
GPS_TIME, GPS_DATE = 7, 0x1D  # UTC: three rationals; "2026:03:14"

MAX_TEXT = 200  # characters kept of a camera's or program's name
_DATE = re.compile(r"(\d{4})[:\-/](\d\d)[:\-/](\d\d)[ T](\d\d):(\d\d):(\d\d)")
_OFFSET = re.compile(r"([+-])(\d\d):?(\d\d)")
_DIGITS = re.compile(r"[0-9]{1,9}")
_FARTHEST = timedelta(hours=14)  # no civil time is further from UTC


class ExifFacts(msgspec.Struct, frozen=True, kw_only=True):
    """The fields of `model.job.PhotoFacts` that come from EXIF; same names, same meaning."""

    orientation: int = 1
    taken: str = ""
    taken_zone: str = ""
    satellite: str = ""
    camera: str = ""
    body_digest: str = ""
    software: str = ""
    has_position: bool = False


def read(root: Mapping[int, Any], exif: Mapping[int, Any], gps: Mapping[int, Any], zone: tzinfo) -> ExifFacts:
    """What the three directories (IFD0, Exif, GPS) say; `zone` is used for a time without an offset."""
    taken, taken_zone = _taken(exif, root, zone)
    return ExifFacts(
        orientation=_orientation(root),
        taken=taken,
        taken_zone=taken_zone,
        satellite=_satellite(gps),
        camera=_camera(clean(root.get(MAKE)), clean(root.get(MODEL))),
        body_digest=_digest(clean(exif.get(BODY_SERIAL))),
        software=clean(root.get(SOFTWARE)),
        has_position=GPS_LATITUDE in gps or GPS_LONGITUDE in gps,
    )


def _orientation(root: Mapping[int, Any]) -> int:
    value = root.get(ORIENTATION)
    return value if isinstance(value, int) and 1 <= value <= 8 else 1


def _taken(exif: Mapping[int, Any], root: Mapping[int, Any], zone: tzinfo) -> tuple[str, str]:
    """ISO 8601 with offset and sub-seconds as written, and where the offset comes from."""
    local = _local_time(clean(exif.get(DATE_TIME_ORIGINAL)))
    if local is None:
        return "", ""
    stated = _stated_zone(exif, root)
    when = _with_zone(local, stated or zone)
    if when is None:
        return "", ""
    clock, offset = when[:19], when[19:]
    return clock + _fraction(exif) + offset, "file" if stated else "job"


def _satellite(gps: Mapping[int, Any]) -> str:
    """The time from satellites, to the second; EXIF 2.32, 4.6.6: UTC, whatever the camera's zone."""
    day, clock = clean(gps.get(GPS_DATE)), gps.get(GPS_TIME)
    try:
        hour, minute, second = (int(float(figure)) for figure in clock or ())
    except (TypeError, ValueError, ArithmeticError):
        return ""
    when = _local_time(f"{day} {hour:02}:{minute:02}:{second:02}")
    return when.replace(tzinfo=UTC).isoformat() if when else ""


def _local_time(text: str) -> datetime | None:
    found = _DATE.fullmatch(text)
    if not found:
        return None
    try:
        return datetime(*(int(group) for group in found.groups()))  # type: ignore[arg-type]
    except ValueError:  # "0000:00:00 00:00:00", 31 February, second 60
        return None


def _with_zone(local: datetime, zone: tzinfo) -> str | None:
    try:
        return local.replace(tzinfo=zone).isoformat(timespec="seconds")
    except (ValueError, OverflowError):  # the first and last day of the calendar
        return None


def _fraction(exif: Mapping[int, Any]) -> str:
    digits = _DIGITS.fullmatch(clean(exif.get(SUB_SEC_ORIGINAL)))
    return "." + digits.group() if digits else ""


def _stated_zone(exif: Mapping[int, Any], root: Mapping[int, Any]) -> tzinfo | None:
    return _offset_tag(clean(exif.get(OFFSET_TIME_ORIGINAL))) or _legacy_offset(
        exif.get(TIME_ZONE_OFFSET, root.get(TIME_ZONE_OFFSET))
    )


def _offset_tag(text: str) -> tzinfo | None:
    """OffsetTimeOriginal: "+09:00"; blanks between the signs mean unknown (EXIF 2.32, 4.6.5)."""
    if text == "Z":
        return UTC
    found = _OFFSET.fullmatch(text)
    if not found or int(found[3]) > 59:
        return None
    return _fixed(found[1] + "1", hours=int(found[2]), minutes=int(found[3]))


def _legacy_offset(value: Any) -> tzinfo | None:
    if isinstance(value, tuple | list):
        value = value[0] if value else None
    if not isinstance(value, int) or isinstance(value, bool):
        return None
    return _fixed("+1", hours=value - 0x10000 if value > 0x7FFF else value, minutes=0)


def _fixed(sign: str, *, hours: int, minutes: int) -> tzinfo | None:
    if abs(hours) > 14:
        return None
    offset = int(sign) * timedelta(hours=hours, minutes=minutes)
    return timezone(offset) if abs(offset) <= _FARTHEST else None


def _camera(make: str, model: str) -> str:
    first = make.split(" ", maxsplit=1)[0].casefold()
    if not make or (first and model.casefold().startswith(first)):
        return model or make
    return f"{make} {model}".strip()


def _digest(serial: str) -> str:
    return hashlib.sha256(serial.encode("utf-8")).hexdigest() if serial.strip("0- ") else ""


def clean(value: Any) -> str:
    """A tag's text up to its first NUL, without control characters, blanks folded, cut to MAX_TEXT."""
    if isinstance(value, str):
        value = _as_written(value[: 4 * MAX_TEXT])
    if isinstance(value, bytes):
        value = value[: 4 * MAX_TEXT].decode("utf-8", "replace")
    if not isinstance(value, str):
        return ""
    kept = value.split("\0", 1)[0]
    plain = "".join(c if c.isprintable() else " " for c in kept)
    return " ".join(plain.split())[:MAX_TEXT].strip()


def _as_written(text: str) -> str:
    """The picture library takes each byte for a letter of Latin-1, where many programs write UTF-8."""
    with suppress(UnicodeError):
        return text.encode("latin-1").decode("utf-8")
    return text
