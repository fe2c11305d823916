"""A place on a photograph as the W3C Web Annotation Data Model says it (Recommendation of 23 February 2017).

Only what the record uses of it: one target with one selector, bodies of text. Names are the standard's.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from dossier.model.rows import Row

CONTEXT = "http://www.w3.org/ns/anno.jsonld"


class Selector(Row, frozen=True, kw_only=True):
    """Section 4.2: a box as a media fragment (4.2.1), a point or an outline as SVG (4.2.7)."""

    type: Literal["FragmentSelector", "SvgSelector"]
    value: str
    conforms_to: str = msgspec.field(default="", name="conformsTo")


class Target(Row, frozen=True, kw_only=True):
    """Section 4.1: some of the photograph, upright, under its neutral name."""

    type: Literal["SpecificResource"]
    source: str
    selector: Selector


class TextualBody(Row, frozen=True, kw_only=True):
    """Section 3.2.4."""

    type: Literal["TextualBody"]
    value: str
    format: Literal["text/plain"]
    purpose: Literal["identifying", "describing"]
    language: str = ""


class Annotation(Row, frozen=True, kw_only=True):
    """Section 3.1: what stands at one numbered place."""

    context: str = msgspec.field(default=CONTEXT, name="@context")
    id: str
    type: Literal["Annotation"]
    motivation: Literal["identifying"]
    body: tuple[TextualBody, ...]
    target: Target
