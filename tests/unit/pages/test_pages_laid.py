"""A photograph laid over another: shown in that one's frame, and only where both are in the copy."""

from __future__ import annotations

from collections.abc import Callable

import msgspec
import pypdfium2
import pytest

from dossier.model.record import Laid, OpenRecord, laid_name
from dossier.pages.document import PageOptions, draw
from dossier.pages.photographs import Shots
from dossier.words import LANGUAGES, Catalogue

Make = Callable[..., PageOptions]


@pytest.fixture
def pair(rich_record: OpenRecord) -> tuple[str, str]:
    """The names of the first pair's photographs, before and after."""
    shots = Shots(rich_record, {}).pairs[0].shots
    return shots[0].name, shots[-1].name


def with_laid(record: OpenRecord, after: str, laid: Laid) -> OpenRecord:
    details = dict(record.photo_details)
    details[after] = msgspec.structs.replace(details[after], laid=(laid,))
    return msgspec.structs.replace(record, photo_details=details)


def words(pdf: bytes) -> str:
    with pypdfium2.PdfDocument(pdf) as document:
        text = " ".join(page.get_textpage().get_text_range() for page in document)
    return " ".join(text.split())


def test_it_stands_in_the_frame_and_as_it_was_taken(
    rich_record: OpenRecord, rich_pictures: dict[str, bytes], page_options: Make, pair: tuple[str, str]
) -> None:
    before, after = pair
    jpeg = rich_pictures[before]  # any picture: only where it stands is looked at
    record = with_laid(rich_record, after, Laid(over=before, inliers=57, measured=60, shown_sha256="ab"))
    pictures = {**rich_pictures, laid_name(after, before): jpeg}
    shots = Shots(record, pictures)
    (first,) = [one for one in shots.pairs if one.shots[0].name == before]
    assert first.frame(first.shots[-1]) == first.shots[0]
    assert after in [shot.name for shot in shots.others] or shots.by_name[after] in (
        shots.cover,
        *shots.mapped,
        *shots.known_by,
    )
    text = words(draw(record, pictures, page_options()))
    assert "by 57 places seen in both" in text


def test_it_is_not_shown_without_the_other(
    rich_record: OpenRecord, rich_pictures: dict[str, bytes], page_options: Make, pair: tuple[str, str]
) -> None:
    before, after = pair
    record = with_laid(rich_record, after, Laid(over=before, inliers=57, measured=60, shown_sha256="ab"))
    details = {name: one for name, one in record.photo_details.items() if name != before}
    record = msgspec.structs.replace(record, photo_details=details)
    assert "places seen in both" not in words(draw(record, rich_pictures, page_options()))


def test_a_pair_that_could_not_be_laid_says_why(
    rich_record: OpenRecord, rich_pictures: dict[str, bytes], page_options: Make, pair: tuple[str, str]
) -> None:
    before, after = pair
    refused = Laid(over=before, refused="little_in_common", figures={"percent": "31"})
    text = words(draw(with_laid(rich_record, after, refused), rich_pictures, page_options()))
    assert "they have too little in common (31 %)" in text
    later = Laid(over=before, refused="a word of a later version")
    text = words(draw(with_laid(rich_record, after, later), rich_pictures, page_options()))
    assert "a word of a later version" in text


@pytest.mark.parametrize("language", LANGUAGES)
def test_pairs_refused_alike_are_named_together(language: str) -> None:
    """A job of forty pairs had nine paragraphs of one reason, each with other figures."""
    say = Catalogue(language).say
    few = [say("evidence.align.too_few", inliers=n, needed=needed) for n, needed in ((5, 10), (37, 60))]
    unsteady = [say("evidence.align.unsteady", pixels=pixels) for pixels in ("1.7", "2.3")]
    assert few[0] == few[1]
    assert unsteady[0] == unsteady[1]
