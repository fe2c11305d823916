"""How the objects of a dossier hang together: catalogue, pages, bookmarks, attachments, the signature.

Each `look_*` gives what it found and adds findings; none of them stops at the first. Not done here: the
bytes of objects (`scan`), what may stand in any of them (`rules`), whether a signature holds (`seal`).
Invariant: every walk is bounded by the limits, whatever refers to whatever.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from dossier.container import layout
from dossier.container.attachment import is_safe_name
from dossier.container.layout import ROOT
from dossier.container.said import finding, unreadable
from dossier.container.scan import Objects
from dossier.container.values import Name, Ref, Value, text_of
from dossier.errors import NotCanonicalError
from dossier.model import signature_slot
from dossier.model.container import MOST_TIME_PLACES, AttachmentFound, ContainerFinding, SignatureInfo

_CATALOGUE = frozenset(
    [
        "/Type",
        "/Pages",
        "/Version",
        "/Lang",
        "/MarkInfo",
        "/Metadata",
        "/Names",
        "/Dests",
        "/Outlines",
        "/OutputIntents",
        "/PageLabels",
        "/PageMode",
        "/PageLayout",
        "/StructTreeRoot",
        "/ViewerPreferences",
        "/AF",
        "/AcroForm",
        "/Extensions",
    ]
)
_FORM = frozenset(["/Fields", "/SigFlags", "/DA", "/DR"])
_FILE_SPEC = frozenset(["/Type", "/F", "/UF", "/AFRelationship", "/Desc", "/EF"])
_RELATIONSHIPS = ("/Source", "/Data", "/Alternative", "/Supplement", "/Unspecified")  # any value is compared
_OUTLINE_ITEMS = 20_000


class Look:
    """One look at a dossier's objects; gathers findings."""

    def __init__(self, objects: Objects) -> None:
        self.objects = objects
        self.limits = objects.limits
        self.findings: list[ContainerFinding] = []
        self.root = objects.dictionary(ROOT)
        self.attached: dict[int, str] = {}  # names, by the numbers of the two objects that each is made of

    def say(self, code: str, *where: str) -> None:
        self.findings.append(finding(code, *where))

    def follow(self, value: Value) -> dict[Name, Value]:
        """The dictionary that `value` is or refers to; empty when there is none."""
        if isinstance(value, Ref):
            return self.objects.dictionary(value.number)
        return value if isinstance(value, dict) else {}

    def items(self, value: Value) -> list[Value]:
        """The array that `value` is or refers to; empty when there is none."""
        if isinstance(value, Ref):
            try:
                value = self.objects.value(value.number)
            except NotCanonicalError:
                return []
        return value if isinstance(value, list) else []


def look_at_catalogue(look: Look) -> None:
    if look.root.get(Name("/Type")) != "/Catalog":
        look.say("catalogue")
    unknown = sorted(set(look.root) - _CATALOGUE)
    names = look.follow(look.root.get(Name("/Names")))
    unknown += sorted(Name(f"/Names{key}") for key in set(names) - {"/EmbeddedFiles", "/Dests"})
    if look.root.get(Name("/Extensions"), layout.EXTENSION) != layout.EXTENSION:
        unknown.append(Name("/Extensions"))
    if unknown:
        look.say("catalogue", *unknown)


def look_at_pages(look: Look) -> list[int]:
    """The object numbers of the pages in order."""
    top = look.root.get(Name("/Pages"))
    pages: list[int] = []
    seen: set[int] = set()
    stack: list[tuple[Value, int, Value]] = [(top, 0, None)]
    sound = True
    while stack and len(pages) <= look.limits.pages and len(stack) <= look.objects.count:
        ref, depth, parent = stack.pop()
        if not isinstance(ref, Ref) or ref.number in seen or depth > look.limits.depth:
            sound = False
            continue
        seen.add(ref.number)
        kids = _page_or_kids(look, ref.number, pages)
        # What a page inherits, viewers take from above it by the one way or by the other.
        leads_back = look.objects.dictionary(ref.number).get(Name("/Parent")) == parent
        sound = sound and kids is not None and leads_back
        stack.extend((kid, depth + 1, ref) for kid in reversed(kids or []))
    if len(pages) > look.limits.pages:
        raise unreadable("too-large")
    if stack or not sound or not pages or look.follow(top).get(Name("/Count")) != len(pages):
        look.say("page-tree")
    return pages


def _page_or_kids(look: Look, number: int, pages: list[int]) -> list[Value] | None:
    """The kids of a node; a page is added to `pages` and has none; None for anything else."""
    node = look.objects.dictionary(number)
    kind = node.get(Name("/Type"))
    if kind == "/Page":
        pages.append(number)
        return []
    return look.items(node.get(Name("/Kids"))) if kind == "/Pages" else None


def look_at_outline(look: Look) -> None:
    """Bookmarks form one finite tree: nothing is reached twice."""
    seen: set[int] = set()
    stack: list[tuple[Value, int]] = [(look.root.get(Name("/Outlines")), 0)]
    while stack:
        ref, depth = stack.pop()
        if ref is None:
            continue
        number = ref.number if isinstance(ref, Ref) else 0
        if not number or number in seen or depth > look.limits.depth or len(seen) > _OUTLINE_ITEMS:
            look.say("outline")
            return
        seen.add(number)
        node = look.objects.dictionary(number)
        stack.append((node.get(Name("/Next")), depth))
        stack.append((node.get(Name("/First")), depth + 1))


def look_at_annotations(look: Look, pages: list[int]) -> None:
    """Links, and the widgets of the fields."""
    fields = _field_numbers(look)
    for count, number in enumerate(pages, 1):
        for ref in look.items(look.objects.dictionary(number).get(Name("/Annots"))):
            subtype = look.follow(ref).get(Name("/Subtype"))
            is_field = subtype == "/Widget" and isinstance(ref, Ref) and ref.number in fields
            if subtype != "/Link" and not is_field:
                look.say("annotation", f"page {count}")


def look_at_attachments(look: Look) -> tuple[AttachmentFound, ...]:
    """The attachments of the one list, which stands twice in the catalogue and must say the same."""
    tree = look.follow(look.follow(look.root.get(Name("/Names"))).get(Name("/EmbeddedFiles")))
    listed = look.items(tree.get(Name("/Names")))
    names, refs = listed[::2], listed[1::2]
    if len(refs) > look.limits.attachments:
        raise unreadable("too-large")
    if set(tree) - {"/Names"} or not _is_list(names, refs, look.items(look.root.get(Name("/AF")))):
        look.say("attachment-list")
    found = [_attachment(look, name, ref) for name, ref in zip(names, refs, strict=False)]
    _look_at_names(look, [a.name for a in found if a])
    return tuple(a for a in found if a)


def _is_list(names: list[Value], refs: list[Value], associated: list[Value]) -> bool:
    strings = [name for name in names if isinstance(name, bytes)]
    return len(strings) == len(refs) == len(names) and strings == sorted(strings) and refs == associated


def _attachment(look: Look, name: Value, ref: Value) -> AttachmentFound | None:
    spec = look.follow(ref)
    files = spec.get(Name("/EF"))
    stream = files.get(Name("/F")) if isinstance(files, dict) else None
    shape = set(spec) == _FILE_SPEC and isinstance(ref, Ref) and isinstance(files, dict)
    same = spec.get(Name("/F")) == spec.get(Name("/UF")) == name and files == {"/F": stream, "/UF": stream}
    typed = spec.get(Name("/Type")) == "/Filespec"
    body = _attached_stream(look, stream)
    if not isinstance(name, bytes) or body is None:
        look.say("attachment-list", text_of(name) if isinstance(name, bytes) else "")
        return None
    if not (shape and same and typed) or spec.get(Name("/AFRelationship")) not in _RELATIONSHIPS:
        look.say("attachment-list", text_of(name))
    for part in (ref, stream):
        if isinstance(part, Ref):
            look.attached[part.number] = text_of(name)
    offset, length, media_type, modified = body
    described = spec.get(Name("/Desc"))
    return AttachmentFound(
        name=name.decode("latin-1"),
        media_type=media_type,
        relationship=str(spec.get(Name("/AFRelationship"), ""))[1:],
        description=text_of(described) if isinstance(described, bytes) else "",
        modified=modified,
        offset=offset,
        length=length,
    )


def _attached_stream(look: Look, ref: Value) -> tuple[int, int, str, str] | None:
    """Offset, length, media type and date of an attachment's stream of exactly the form that is written."""
    if not isinstance(ref, Ref):
        return None
    try:
        piece = look.objects.piece(ref.number)
    except NotCanonicalError:
        return None
    said = layout.read_attached(piece.text)
    if said is None or not piece.is_stream or said[0] != piece.stream_length:
        return None
    subtype = look.objects.dictionary(ref.number).get(Name("/Subtype"))
    return piece.stream_at, piece.stream_length, str(subtype)[1:], said[1]


def _look_at_names(look: Look, names: list[str]) -> None:
    for name in names:
        if not is_safe_name(name):
            look.say("attachment-name", name)
    for name, count in Counter(name.lower() for name in names).items():
        if count > 1:
            look.say("attachment-twice", name)


def look_for_strays(look: Look, attaching: Iterable[int], associating: Iterable[int]) -> None:
    """Attached files that the list does not lead to, and lists of files in other places.

    `attaching`, `associating`: the objects where something of the kind was seen (`rules`).
    """
    listed = {ROOT} | _reached_by_list(look)
    strays = [n for n in attaching if n not in listed]
    elsewhere = [n for n in associating if n != ROOT]
    if strays:
        look.say("attachment-stray", *(f"object {n}" for n in strays[:10]))
    if elsewhere:
        look.say("attached-elsewhere", *(f"object {n}" for n in elsewhere[:10]))


def look_for_unused(look: Look, refers: Sequence[Sequence[int]]) -> None:
    """Objects that neither the catalogue nor the trailer leads to: nobody sees what they hold.

    `refers`: of each object, from 1, the numbers that it refers to.
    """
    information = look.objects.trailer().get(Name("/Info"))
    reached, ahead = {ROOT}, [ROOT, *([information.number] if isinstance(information, Ref) else [])]
    while ahead:
        number = ahead.pop()
        reached.add(number)
        if number <= len(refers):
            ahead += {one for one in refers[number - 1] if one not in reached}
            reached.update(refers[number - 1])
    unused = [number for number in range(1, len(refers) + 1) if number not in reached]
    if unused:
        look.say("object-unused", *(f"object {number}" for number in unused[:10]))


def _reached_by_list(look: Look) -> set[int]:
    specs = [ref.number for ref in look.items(look.root.get(Name("/AF"))) if isinstance(ref, Ref)]
    reached = set(specs)
    for number in specs:
        files = look.objects.dictionary(number).get(Name("/EF"))
        if isinstance(files, dict):
            reached |= {ref.number for ref in files.values() if isinstance(ref, Ref)}
    return reached


def _field_numbers(look: Look) -> list[int]:
    """The object numbers of the fields: the signature's, then those for time-stamps of later years."""
    fields = look.items(look.follow(look.root.get(Name("/AcroForm"))).get(Name("/Fields")))
    return [ref.number for ref in fields[: 1 + MOST_TIME_PLACES] if isinstance(ref, Ref)]


def look_at_signature(look: Look, file_size: int) -> SignatureInfo | None:
    """The signature's dictionary, from its slot; the slot and the first field belong together."""
    form = look.follow(look.root.get(Name("/AcroForm")))
    numbers = _field_numbers(look)
    if set(form) - _FORM or not _are_fields(look, form, numbers):
        look.say("form")
    field = look.objects.dictionary(numbers[0]) if numbers else {}
    last = _slot(look)
    points_there = bool(last) and field.get(Name("/V")) == Ref(look.objects.count)
    named = field.get(Name("/FT")) == "/Sig" and field.get(Name("/T")) == layout.FIELD_NAME.encode()
    if (field or last) and (not named or (Name("/V") in field or bool(last)) != points_there):
        look.say("signature-field")
    return _signature(look, last, file_size) if last else None


def _are_fields(look: Look, form: dict[Name, Value], numbers: list[int]) -> bool:
    """Whether these are all, none twice, and those behind the first are free and named in order."""
    later = [look.objects.dictionary(number) for number in numbers[1:]]
    free = all(
        field.get(Name("/FT")) == "/Sig"
        and field.get(Name("/T")) == (layout.TIME_FIELD_NAME % count).encode()
        and Name("/V") not in field
        for count, field in enumerate(later, 1)
    )
    whole = len(look.items(form.get(Name("/Fields")))) == len(numbers) == len(set(numbers))
    return whole and free


def _slot(look: Look) -> bytes:
    """The last object's text when it is a signature's slot."""
    try:
        piece = look.objects.piece(look.objects.count)
    except NotCanonicalError:
        return b""
    return piece.text if piece.is_slot else b""


def _signature(look: Look, slot: bytes, file_size: int) -> SignatureInfo | None:
    info = signature_slot.read(slot)
    if info is None:
        look.say("signature-dictionary")
        return None
    if not covers(info, look.objects.xref_at, file_size):
        look.say("byte-range")
    return info


def covers(info: SignatureInfo, xref_at: int, end: int) -> bool:
    """Whether a signature whose slot ends at `xref_at` is over all before `end` but its own contents."""
    return info.byte_range == signature_slot.byte_range(xref_at - signature_slot.LENGTH, end)
