"""What has no page of its own in this copy: every section that is empty says so here, in one line each.

What is not recorded is said, but ten headings over ten such sentences would hide what is there. Not done
here: when a section is empty, which it says itself.
"""

from __future__ import annotations

from collections.abc import Callable

from reportlab.platypus import Flowable

from dossier.pages import blocks
from dossier.pages.sections import (
    agreements,
    before_after,
    covered,
    history,
    manifest,
    map,
    new_removed,
)
from dossier.pages.setting import Setting

# In the order of their pages: the name of each in the words, and what it says where it has no page.
_EMPTY: tuple[tuple[str, Callable[[Setting], list[str]]], ...] = (
    ("map", map.empty),
    ("before_after", before_after.empty),
    ("covered", covered.empty),
    ("new_removed", new_removed.empty),
    ("history", history.empty),
    ("agreements", agreements.empty),
    ("manifest", manifest.empty),
)


def section(s: Setting) -> list[Flowable]:
    said = [(name, empty(s)) for name, empty in _EMPTY]
    body = [flow for name, lines in said if lines for flow in blocks.group(s, s.say(f"{name}.title"), lines)]
    return blocks.section(s, s.say("nothing.title"), body) if body else []
