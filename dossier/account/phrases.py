"""Small grammar shared by sentences and findings: lists, sentence ends, noun phrases of parts.

The words of the grammar stand in the catalogue (words/<language>/sentences.toml, table "grammar").
Not here: what is said.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import TypeVar

from dossier.words import Catalogue
from dossier.words.compare import joint

MOST_IN_A_SENTENCE = 12  # parts: of fifty in a row the first is forgotten at the verb
_Item = TypeVar("_Item")
_COMMA = re.compile(r"[,、，]")
_ENDS = (".", "!", "?", "…", "。")
_SPACE = re.compile(r"[^\S\u00a0\u202f]+")  # a space that joins, as before a French colon, stays one


def spaced(text: str) -> str:
    """One space between words, none at the ends."""
    return _SPACE.sub(" ", text).strip()


def readable(items: Sequence[_Item]) -> Iterator[Sequence[_Item]]:
    """The same in order, so many at once as one sentence may name, each time about as many."""
    count = -(-len(items) // MOST_IN_A_SENTENCE)
    for n in range(count):
        yield items[n * len(items) // count : (n + 1) * len(items) // count]


def listed(items: Sequence[str], words: Catalogue) -> str:
    """ "handle, straps and body"; by semicolons where commas stand in them: "case, front; and case, top"."""
    if len(items) < 2:
        return "".join(items)
    if any(_COMMA.search(item) for item in items):
        most = words.say("sentences.grammar.also").join(items[:-1])
        key = joint(words, items[-1], "last_apart")
        return words.say(f"sentences.grammar.{key}", most=most, last=items[-1])
    most = in_row(items[:-1], words)
    return words.say(f"sentences.grammar.{joint(words, items[-1])}", most=most, last=items[-1])


def in_row(items: Sequence[str], words: Catalogue) -> str:
    """ "handle, straps, body", with the comma of the language."""
    return words.say("sentences.grammar.comma").join(items)


def sentence(text: str, words: Catalogue) -> str:
    """One sentence: first letter up, one full stop."""
    text = spaced(text)
    if not text:
        return ""
    text = text[0].upper() + text[1:]
    stop = words.say("sentences.grammar.stop")
    return text if text.endswith((stop, *_ENDS)) else text + stop


def clause(text: str) -> str:
    """Typed words as the end of a sentence of ours: without their own full stop or trailing space."""
    return spaced(text).rstrip(".;, 。、")
