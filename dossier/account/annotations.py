"""The places marked on a photograph as W3C Web Annotations, for the record.

Boxes are media fragments (W3C Media Fragments URI 1.0, section 4.2.2: whole pixels), points and outlines SVG,
all in pixels of the upright photograph. Not here: what a place shows on a page.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from dossier.model.annotation import Annotation, Selector, Target, TextualBody
from dossier.model.job import PhotoFacts
from dossier.model.rows import Part, PhotoPlace

FRAGMENTS = "http://www.w3.org/TR/media-frags/"
SVG = "http://www.w3.org/TR/SVG/"
_POINT = 100  # a point is a ring of one hundredth of the longer side


def web_annotations(
    places: Sequence[PhotoPlace], facts: PhotoFacts, name: str, parts: Mapping[str, Part], language: str
) -> tuple[Annotation, ...]:
    """One a place, in order; none where the size of the photograph is not known."""
    width, height = _upright(facts)
    if not width or not height:
        return ()
    return tuple(
        Annotation(
            id=f"{name}#place-{position}",
            type="Annotation",
            motivation="identifying",
            body=tuple(_bodies(place, parts, language)),
            target=Target(type="SpecificResource", source=name, selector=selector(place, width, height)),
        )
        for position, place in enumerate(places, 1)
    )


def selector(place: PhotoPlace, width: int, height: int) -> Selector:
    x = [_pixel(part, width) for part in place.at[0::2]]
    y = [_pixel(part, height) for part in place.at[1::2]]
    if place.kind == "box":
        left, top = min(*x, width - 1), min(*y, height - 1)  # no pixel lies beyond the last
        value = f"xywh={left},{top},{max(1, max(x) - left)},{max(1, max(y) - top)}"
        return Selector(type="FragmentSelector", value=value, conforms_to=FRAGMENTS)
    if place.kind == "point":
        ring = max(1, max(width, height) // _POINT)
        shape = f'<circle cx="{x[0]}" cy="{y[0]}" r="{ring}"/>'
    else:
        shape = f'<polygon points="{" ".join(f"{a},{b}" for a, b in zip(x, y, strict=True))}"/>'
    drawing = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}">{shape}</svg>'
    return Selector(type="SvgSelector", value=drawing, conforms_to=SVG)


def _pixel(per_mille: int, length: int) -> int:
    return (2 * per_mille * length + 1000) // 2000


def _bodies(place: PhotoPlace, parts: Mapping[str, Part], language: str) -> list[TextualBody]:
    """The number on the photograph with the part's number and name, and the note in the job's language."""
    part = parts.get(place.part)
    named = [place.number, *([place.part] if place.part else []), *([part.part] if part else [])]
    bodies = [_body(": ".join(dict.fromkeys(named)), "identifying", language)]
    return bodies + ([_body(place.note, "describing", language)] if place.note else [])


def _body(value: str, purpose: str, language: str) -> TextualBody:
    return TextualBody(
        type="TextualBody",
        value=value,
        format="text/plain",
        purpose="identifying" if purpose == "identifying" else "describing",
        language=language,
    )


def _upright(facts: PhotoFacts) -> tuple[int, int]:
    """Width and height as the photograph is looked at (EXIF orientations 5 to 8 lie on their side)."""
    size = facts.width, facts.height
    return size[::-1] if facts.orientation >= 5 else size
