"""One thing found, before it has words; and its words, for the workshop and for the record.

Not here: the looking. Invariant: the record's text (`gap`) never holds a photograph's file name.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import groupby
from typing import NamedTuple

from dossier.account.codes import CODES
from dossier.account.phrases import listed, sentence
from dossier.account.view import View
from dossier.model.finding import Finding
from dossier.model.record import Gap
from dossier.words import Catalogue

_LISTED = 20
_ORDER = {code: place for place, code in enumerate(CODES)}


class Found(NamedTuple):
    code: str
    key: str = ""  # row it stands in ("parts/7"), as in Job.where
    values: Mapping[str, object] = {}
    parts: tuple[str, ...] = ()
    label: str = ""  # how the record names it; "" for the row's own name


def findings(found: Iterable[Found], view: View, words: Catalogue) -> list[Finding]:
    """Findings in the order of the codes, each located."""
    return [_finding(f, view, words) for f in sorted(found, key=lambda f: _ORDER[f.code])]


def gaps(found: Iterable[Found], view: View, words: Catalogue) -> tuple[Gap, ...]:
    """The gaps as the record says them, one for each code."""
    level = sorted((f for f in found if CODES[f.code] == "gap"), key=lambda f: _ORDER[f.code])
    return tuple(_gap(code, list(some), view, words) for code, some in groupby(level, key=lambda f: f.code))


def _finding(found: Found, view: View, words: Catalogue) -> Finding:
    values = {"thing": label(found, view, words), **found.values}
    return Finding(
        code=found.code,
        level=CODES[found.code],
        message=words.say(f"findings.{found.code}.message", **values),
        hint=words.say(f"findings.{found.code}.hint", **values),
        at=view.at(found.key),
        parts=found.parts,
    )


def _gap(code: str, some: list[Found], view: View, words: Catalogue) -> Gap:
    things = list(dict.fromkeys(filter(None, (label(f, view, words) for f in some))))
    text = words.say(f"findings.{code}.gap", things=_first(things, words), n=len(some), **some[0].values)
    rows = dict.fromkeys(f.key for f in some if not f.key.startswith("photos/") and "/" in f.key)
    return Gap(code=code, text=sentence(text, words), rows=tuple(rows))


def _first(things: list[str], words: Catalogue) -> str:
    """All of a short list; the first of a long one and how many more (the gap's rows name them all)."""
    more = len(things) - _LISTED
    if more > 1:
        things = [*things[:_LISTED], words.say("findings.label.more", n=more)]
    return listed(things, words)


def label(found: Found, view: View, words: Catalogue) -> str:
    """How to name what was found: "lining of the lid (part 3)", "line 4 (cleaned)"."""
    return found.label or "".join(_labels(found.key, view, words))


def _labels(key: str, view: View, words: Catalogue) -> Iterator[str]:
    kind, _, name = key.partition("/")
    if kind == "parts" and (part := view.part(name)):
        yield words.say("findings.label.part", name=part.part, number=name)
    elif kind == "work":
        row = view.work.get(name)
        yield words.say("findings.label.work", number=name, done=words.token(row.done) if row else "")
    elif kind == "agreements":
        yield name
