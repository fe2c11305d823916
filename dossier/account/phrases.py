"""Small grammar shared by sentences and findings: lists, sentence ends, noun phrases of parts.

The words of the grammar stand in the catalogue (words/<language>/sentences.toml, table "grammar").
Not here: what is said.
"""

from __future__ import annotations

from collections.abc import Sequence

from dossier.words import Catalogue

_ENDS = (".", "!", "?", "…")


def listed(items: Sequence[str], words: Catalogue) -> str:
    """ "handle, straps and body"."""
    if len(items) < 2:
        return "".join(items)
    return words.say("sentences.grammar.last", most=", ".join(items[:-1]), last=items[-1])


def sentence(text: str) -> str:
    """One sentence: first letter up, one full stop."""
    text = " ".join(text.split())
    if not text:
        return ""
    text = text[0].upper() + text[1:]
    return text if text.endswith(_ENDS) else f"{text}."


def clause(text: str) -> str:
    """Typed words as the end of a sentence of ours: without their own full stop or trailing space."""
    return " ".join(text.split()).rstrip(".;, ")
