"""Page 2: what is original and what was done, in the sentences that were signed.

The sentences stand as the record has them; the groups stand in one order, and a group without a sentence
says so. No share is given as one figure: the account is a table of counts with its bars.
"""

from __future__ import annotations

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.model.record import Group
from dossier.pages import blocks
from dossier.pages.account_figure import account
from dossier.pages.setting import Setting, capital
from dossier.pages.tagging import Space

# Groups that always have a line, and those that have one only where there is something to say.
ALWAYS: tuple[Group, ...] = (
    "kept",
    "worked_on",
    "part_renewed",
    "new",
    "earlier",
    "not_known",
    "changed",
    "undone",
)
WHERE_SAID: tuple[Group, ...] = ("gone", "hidden")
ORDER: tuple[Group, ...] = (
    "kept", "worked_on", "part_renewed", "new", "gone", "earlier", "not_known", "hidden", "changed", "undone"
)  # fmt: skip


def section(s: Setting) -> list[Flowable]:
    """On one page if it can be: set closer where that brings it onto one."""
    return blocks.fresh_page(s, s.say("disclosure.title"), (_body(s, dense=dense) for dense in (False, True)))


def _body(s: Setting, *, dense: bool) -> list[Flowable]:
    flows = [flow for name in ORDER for flow in group(s, name, dense=dense)]
    return [*flows, *not_in_copy(s, dense=dense), Space((2.5 if dense else 5) * mm), *account(s)]


def sentences(s: Setting, name: Group) -> list[str]:
    """What the record says in one group; for one that always speaks, at least that nothing is recorded."""
    said = [sentence.text for sentence in s.payload.disclosure if sentence.group == name]
    if said or name in WHERE_SAID:
        return said
    return [s.say(f"none.{name}")]


def group(s: Setting, name: Group, *, dense: bool = False) -> list[Flowable]:
    said = sentences(s, name)
    return blocks.group(s, s.say(f"group.{name}"), said, dense=dense) if said else []


def not_in_copy(s: Setting, *, dense: bool) -> list[Flowable]:
    said = capital(s.listed(s.not_in_copy))
    text = s.say("disclosure.not_in_copy", what=said) if said else s.say("disclosure.all_in_copy")
    return blocks.group(s, s.say("label.not_in_copy"), [text], dense=dense)
