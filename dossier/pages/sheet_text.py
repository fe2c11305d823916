"""The one-page sheet as plain text, for a listing that takes no PDF: the same sentences, in the same order.

UTF-8, lines of at most 78 letters (numbers and links apart), LF line ends. Drawn from the record of one copy
alone, so it holds nothing that the copy does not have. Not done here: the sheet as pages (`sheet`).
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Sequence
from unicodedata import category

from dossier.model.counted import Account
from dossier.model.record import OpenRecord
from dossier.model.words import SEEN
from dossier.pages.options import PageOptions
from dossier.pages.sections import disclosure
from dossier.pages.sections.checking import groups
from dossier.pages.sections.cover import beneath, fact_rows
from dossier.pages.sections.know_it import feature_words
from dossier.pages.setting import Setting

_JOIN = "\N{WORD JOINER}"  # stands for a space while lines are made
_JOINERS = "\N{ZERO WIDTH JOINER}\N{ZERO WIDTH NON-JOINER}"
_APART = re.compile(r"(?<=«)\u00a0|\u00a0(?=[:;?!»%])")
WIDTH = 78


def text(record: OpenRecord, options: PageOptions) -> str:
    """The whole file, ending in a line end."""
    s = Setting(record, {}, options)
    blocks = [*_top(s), *_sentences(s), *_know_it(s), *_counted(s), *_check(s)]
    return "\n\n".join(block for block in blocks if block) + "\n"


def one_line(text: str) -> str:
    """`text` on one line, without the characters that a terminal or a listing would act on.

    Marks of direction and soft hyphens leave nothing behind; the two joiners are letters' own spelling.
    """
    return " ".join("".join(map(_shown, text)).split())


def _shown(character: str) -> str:
    if character.isprintable() or character in _JOINERS:
        return character
    return "" if category(character) == "Cf" else " "


def filled(text: str, first: str = "", after: str = "") -> str:
    """`text` in short lines; a colon that stands apart from its word (in French) never begins one."""
    joined = _JOIN.join(map(one_line, _APART.split(text)))
    lines = textwrap.fill(
        joined,
        WIDTH,
        initial_indent=first,
        subsequent_indent=after,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return lines.replace(_JOIN, " ")


def _filled(text: str, first: str = "", after: str | None = None) -> str:
    return filled(text, first, first if after is None else after)


def _titled(title: str, body: Iterable[str], mark: str = "-") -> str:
    heading = _filled(title)
    return "\n".join([heading, mark * min(len(one_line(title)), WIDTH), *body])


def _items(lines: Iterable[str]) -> list[str]:
    return [_filled(line, "- ", "  ") for line in lines]


def _facts(s: Setting, rows: Iterable[tuple[str, str]]) -> list[str]:
    return [_filled(s.labelled(label, value), "", "  ") for label, value in rows if value]


def _top(s: Setting) -> list[str]:
    below = beneath(s)
    named = _titled(s.object_name, [_filled(below)] if below else [], "=")
    rows = [(s.say(f"label.{key}"), value) for key, value in fact_rows(s) if key != "not_in_copy"]
    return [*_notices(s), _filled(s.say("sheet.kicker")), named, "\n".join(_facts(s, rows))]


def _notices(s: Setting) -> list[str]:
    return [_filled(s.say("running.trial"))] if s.options.trial_key else []


def _sentences(s: Setting) -> list[str]:
    blocks = []
    for name in disclosure.ORDER:
        if said := disclosure.sentences(s, name):
            blocks.append(_titled(s.say(f"group.{name}"), _items(said)))
    return [*blocks, _titled(s.say("label.not_in_copy"), _items([disclosure.said_not_in_copy(s)]))]


def _know_it(s: Setting) -> list[str]:
    said = [feature_words(s, number, row) for number, row in enumerate(s.payload.know_it_by, 1)]
    body = [_filled(line, "", "   ") for line in said] or _items([s.say("know_it.none")])
    return [_titled(s.say("sheet.know_it"), body)]


def _counted(s: Setting) -> list[str]:
    """Counts as the record has them, low to high; never added up to a share."""
    rows = s.payload.account
    if not rows:
        return []
    lines = [
        s.labelled(s.say(f"head.{seen}"), s.and_also(_line(s, row) for row in rows if row.seen == seen))
        for seen in SEEN
        if any(row.seen == seen for row in rows)
    ]
    return [_titled(s.say("sheet.counted"), _items(lines))]


def _line(s: Setting, row: Account) -> str:
    """Parts, and pieces where these are others: where it is open which parts, the pieces often are not."""
    counted = [_span(s, "parts", row.parts_low, row.parts_high)]
    if (row.parts_low, row.parts_high) != (row.pieces_low, row.pieces_high):
        counted.append(_span(s, "pieces", row.pieces_low, row.pieces_high))
    return s.labelled(s.token(row.now), s.in_row(counted))


def _span(s: Setting, name: str, low: int, high: int) -> str:
    if low == high:
        return s.say(f"count.{name}", n=low)
    return s.say(f"count.{name}_range", low=low, high=high, n=high)


def _check(s: Setting) -> list[str]:
    shop, options = s.payload.workshop, s.options
    said: Sequence[str] = (s.of_code("papers.sheet_text.check"), s.say("sheet.cannot"))
    rows = (
        (s.say("label.workshop"), s.in_row(t for t in (shop.name, shop.address) if t)),
        (s.say("label.telephone"), shop.telephone),
        (s.say("label.fingerprint"), options.fingerprint),
        (s.say("label.record"), s.payload.record),
        (s.say("label.digest"), groups(s.record.digest, line=32)),
        (s.of_code("papers.sheet_text.code"), options.code_text),
    )
    body = [*(_filled(words) for words in said), *_facts(s, rows)]
    return [_titled(s.say("sheet.check"), body), _filled(s.say("cover.independent"))]
