"""Check 7: whether the pages are the ones that the record gives, or what speaks for them instead.

Not done here: drawing and comparing (`pages_again`).
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from dossier.errors import DossierError, TooMuchError
from dossier.flows import dossier_files as files
from dossier.flows.verifying import checks, drawable
from dossier.flows.verifying.given import Dossier
from dossier.model.record import OpenRecord
from dossier.model.result import Check
from dossier.pages.drawing import PROGRAM
from dossier.seal.record import RecordCheck
from dossier.seal.standing import REVOKED, others_may_have
from dossier.seal.trust import Trust
from dossier.words import Catalogue

_PROGRAM = re.compile(r"dossier [0-9.]{1,20}, pages [0-9]{1,6}", re.ASCII)


def others_may_sign(trust: Trust, checked: RecordCheck) -> bool:
    """Whether others may have had a key of the record, by a card or by its authority's list."""
    return others_may_have(trust.cards, checked.kids) or any(one.code in REVOKED for one in checked.checks)


def look(dossier: Dossier, checked: RecordCheck, signature: Check, *, draw: bool | None) -> Iterator[Check]:
    """Check 7: the pages are the ones drawn from the record. `draw`: asked for; None: needed all the same.

    Where the PDF's signature holds over an untouched file, the workshop signed these pages together with the
    record; they are drawn again only when asked, where the record has more signatures than pages can have
    (PAdES: one, by P-256), or where others may have had a key: who can make that one signature could sign
    other pages around a record that stands by another key or by a time-stamp.
    """
    speaks = signature.verdict == "matches" and not dossier.file.findings
    if checked.record is None or not checked.kids:
        yield checks.answer("pages-not-drawn", dossier.words)
    elif speaks and draw is False and len(checked.kids) == 1:
        yield checks.answer("pages-signed-with-record", dossier.words)
    elif not draw and drawable.is_large(checked.opening):
        yield _too_large(dossier.words)
    else:
        yield from _drawn_again(dossier, checked.record, checked, None if draw else drawable.MOST_EFFORT)


def _too_large(words: Catalogue) -> Check:
    return checks.answer("pages-not-drawn", words, [words.say("verify.too_large_to_draw")])


def _drawn_again(
    dossier: Dossier, record: OpenRecord, checked: RecordCheck, most: int | None
) -> Iterator[Check]:
    from dossier.flows.verifying.pages_again import differences  # noqa: PLC0415 - reportlab, only where pages are drawn

    words = dossier.words
    try:
        drawn = files.drawn_from(dossier.bytes_of(files.PAGES))
        how_to = dossier.bytes_of(files.HOW_TO) if files.HOW_TO in dossier.by_name else b""
        found = differences(dossier.path, record, drawn, checked, how_to, dossier.file.attachments, most)
    except TooMuchError:
        yield _too_large(words)
        return
    except (DossierError, ValueError) as error:
        why = error.message if isinstance(error, DossierError) else ""
        yield checks.answer("pages-not-drawn", words, [why] if why else [])
        return
    if found.pictures:
        yield checks.answer("picture-differs", words, found.pictures)
    if found.how_to:
        yield checks.answer("how-to-differs", words, [files.HOW_TO])
    where = [words.say("verify.page", n=n) for n in found.pages] + list(found.others)
    if not where:
        if not dossier.file.changes_certain:  # what the file shows may be others
            yield checks.answer("pages-not-drawn", words, [words.say("verify.changes_unclear")])
        elif not found.pictures:
            yield checks.answer("pages-match", words)
    elif found.same_program:
        yield checks.answer("pages-differ", words, where)
    else:
        yield checks.answer("pages-other-program", words, [*_by_other(drawn.program, words), *where])


def _by_other(program: str, words: Catalogue) -> list[str]:
    """Which program, and what helps. Nothing signs that name: only one of our own form is repeated."""
    is_ours = _PROGRAM.fullmatch(program)
    return [words.say("verify.pages_by_other", program=program, own=PROGRAM)] if is_ours else []
