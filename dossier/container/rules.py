"""What no object of a dossier may hold, looked for in every dictionary of every object.

A dossier is paper that can be read on a screen: nothing in it runs, fetches, hides or plays. Not done here:
how objects hang together (`structure`). Rules are kept by name and by kind of value, wherever they stand:
a reader that ignores a /Type must not find what this check passed over.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from dossier.container.values import Name, Value

# A key that may stand nowhere, and the code of the finding it gives.
_FORBIDDEN_KEYS = {
    "/JS": "script",
    "/JavaScript": "script",
    "/AA": "action",
    "/OpenAction": "action",
    "/OC": "optional-content",
    "/OCGs": "optional-content",
    "/OCProperties": "optional-content",
    "/XFA": "form",
    "/NeedAppearances": "form",
    "/ByteRange": "second-signature",
    "/RichMediaContent": "active-content",
    "/RichMediaSettings": "active-content",
    "/Collection": "active-content",
    "/Encrypt": "active-content",
    "/Perms": "active-content",
    "/Requirements": "active-content",
    "/Threads": "active-content",
    "/Alternates": "active-content",
    "/OPI": "active-content",
    "/Ref": "active-content",
    "/FFilter": "active-content",
    "/FDecodeParms": "active-content",
}
# ISO 32000-1 table 198 and ISO 32000-2, but /GoTo and /URI.
_ACTIONS = frozenset(
    [
        "/Launch",
        "/GoToR",
        "/GoToE",
        "/GoToDp",
        "/Thread",
        "/Sound",
        "/Movie",
        "/Hide",
        "/Named",
        "/SubmitForm",
        "/ResetForm",
        "/ImportData",
        "/SetOCGState",
        "/Rendition",
        "/Trans",
        "/GoTo3DView",
        "/RichMediaExecute",
    ]
)
_SCHEMES = (b"https://", b"http://", b"mailto:", b"tel:")
_SUBTYPES = frozenset(
    ["/RichMedia", "/Screen", "/Movie", "/Sound", "/3D", "/FileAttachment", "/PS", "/U3D", "/PRC"]
)
_TYPES = frozenset(
    [
        "/OCG",
        "/OCMD",
        "/XRef",
        "/ObjStm",
        "/Sig",
        "/DocTimeStamp",
        "/Rendition",
        "/MediaClip",
        "/3D",
        "/Collection",
        "/Encrypt",
    ]
)
_TYPE_CODES = {
    "/OCG": "optional-content",
    "/OCMD": "optional-content",
    "/Sig": "second-signature",
    "/DocTimeStamp": "second-signature",
}


class Seen(NamedTuple):
    """What was seen in one object."""

    codes: frozenset[str]  # of the findings it gives
    attaches: bool  # is, or holds, an attached file
    associates: bool  # says that a file belongs to it


def look_over(value: Value) -> Seen:
    """Look at every dictionary in `value`."""
    codes: set[str] = set()
    attaches = associates = False
    for entries in _dictionaries(value):
        codes.update(_codes(entries))
        kind = entries.get(Name("/Type"))
        attaches = attaches or "/EF" in entries or kind in ("/Filespec", "/EmbeddedFile")
        associates = associates or "/AF" in entries
    return Seen(frozenset(codes), attaches, associates)


def _dictionaries(value: Value) -> Iterator[dict[Name, Value]]:
    """Every dictionary in `value`, outermost first, without recursion."""
    stack = [value]
    while stack:
        here = stack.pop()
        if isinstance(here, dict):
            yield here
            stack.extend(v for v in here.values() if isinstance(v, dict | list))
        elif isinstance(here, list):
            stack.extend(v for v in here if isinstance(v, dict | list))


def _codes(entries: dict[Name, Value]) -> Iterator[str]:
    for key in entries:
        if key in _FORBIDDEN_KEYS:
            yield _FORBIDDEN_KEYS[key]
    yield from _action_codes(entries)
    yield from _kind_codes(entries)


def _action_codes(entries: dict[Name, Value]) -> Iterator[str]:
    kind = entries.get(Name("/S"))
    if kind == "/JavaScript":
        yield "script"
    elif isinstance(kind, Name) and kind in _ACTIONS:
        yield "action"
    if "/URI" in entries and not _is_web_link(entries[Name("/URI")]):
        yield "action"


def _is_web_link(value: Value) -> bool:
    """A link as a string of this very object (never by reference), to a page, a mailbox or a telephone."""
    return isinstance(value, bytes) and value.lower().startswith(_SCHEMES)


def _kind_codes(entries: dict[Name, Value]) -> Iterator[str]:
    subtype, kind = entries.get(Name("/Subtype")), entries.get(Name("/Type"))
    if isinstance(subtype, Name) and subtype in _SUBTYPES:
        yield "active-content"
    if isinstance(kind, Name) and kind in _TYPES:
        yield _TYPE_CODES.get(kind, "active-content")
    if "/Length" in entries and "/F" in entries:  # a stream whose bytes stand in another file
        yield "active-content"
