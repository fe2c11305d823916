"""Page 2: what is original and what was done, in the sentences that were signed, and the parts counted.

Where the sentences fill more than a page, this page lists the parts by name instead, and the sentences stand
in full after page 3 (`section_in_full`). The groups stand in one order, and one with nothing to say says so.
No share is given as one figure: the account is a table of counts with its bars.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.model.counted import PartNow
from dossier.model.record import Group, Sentence
from dossier.model.words import NOW, Done, Now
from dossier.pages import blocks, some_pieces
from dossier.pages.account_figure import FAMILY_OF, account, account_bars, account_tables
from dossier.pages.setting import Setting, capital
from dossier.pages.tagging import NewPage, Space

# Groups that have a line only where there is something to say; all others always have one.
WHERE_SAID: tuple[Group, ...] = ("gone", "hidden")
ORDER: tuple[Group, ...] = (
    "kept", "worked_on", "part_renewed", "new", "gone", "earlier", "not_known", "hidden", "changed", "undone"
)  # fmt: skip
# Named in one group, each under its own state; counted they are never one figure.
_WORKED_ON: dict[Now, Group] = {"original, treated": "worked_on", "original, new surface": "worked_on"}
_BY_WORK: dict[Now, Done] = {"original, new surface": "new surface", "original, part renewed": "part renewed"}
MOST_NAMES = 24  # in a line; more are no longer read, and stand in the sentences and the register
_FEW_NAMES = 8  # where there is room for fewer in a line, at most one line says that there is more
# What is said there of a part that is in no state of the group is a reason, or what others said of it.
_QUOTED: tuple[Group, ...] = ("kept", "earlier")
_MOST_SAID = 240  # letters of sentences that are of no part, beside the names
FEWER_NAMES = (15, 8, 4, 2, 1)  # where so many fill more than the page


def section(s: Setting) -> list[Flowable]:
    """On one page if it can be: set closer, then with the parts by name, then with the first of them."""
    tries = [partial(body, s, dense=dense) for body in (_body, _overview) for dense in (False, True)]
    tries += [partial(_overview, s, dense=True, most=most) for most in FEWER_NAMES]
    return blocks.fresh_page(s, s.say("disclosure.title"), tries)


def section_in_full(s: Setting) -> list[Flowable]:
    """The sentences and tables, where page 2 had no room for them; the bars stand there already."""
    if blocks.fits(s, [NewPage(), *blocks.section(s, s.say("disclosure.title"), _body(s, dense=True))]):
        return []
    body = [*[flow for name in ORDER for flow in group(s, name)], Space(5 * mm), *account_tables(s)]
    return blocks.section(s, s.say("disclosure.in_full"), body)


def _body(s: Setting, *, dense: bool) -> list[Flowable]:
    flows = [flow for name in ORDER for flow in group(s, name, dense=dense)]
    return [*flows, *_below(s, dense=dense, table=True)]


def _below(s: Setting, *, dense: bool, table: bool) -> list[Flowable]:
    return [
        *not_in_copy(s, dense=dense),
        Space((2.5 if dense else 5) * mm),
        *(account(s) if table else account_bars(s)),
    ]


def sentences(s: Setting, name: Group) -> list[str]:
    """What the record says in one group; for one that always speaks, at least the parts that an earlier
    record has put there, or that nothing is recorded.
    """
    said = [sentence.text for sentence in s.payload.disclosure if sentence.group == name]
    if said:
        stop = s.words.say("sentences.grammar.stop")
        return [*said, *(f"{line}{stop}" for line in _states(s, name, MOST_NAMES, now=False))]
    if name in WHERE_SAID:
        return []
    return _lines(s, name, MOST_NAMES) or [none(s, name)]


def none(s: Setting, name: Group) -> str:
    """That nothing is recorded in a group; of what was left undone, beside what was refused."""
    refused = [row.number for row in s.payload.agreements if row.answer == "refused"]
    if name == "undone" and refused:
        return s.say("none.undone_but_refused", names=s.listed(refused))
    return s.say(f"none.{name}")


def group(s: Setting, name: Group, *, dense: bool = False) -> list[Flowable]:
    said = sentences(s, name)
    return blocks.group(s, s.say(f"group.{name}"), said, dense=dense) if said else []


def not_in_copy(s: Setting, *, dense: bool) -> list[Flowable]:
    return blocks.group(s, s.say("label.not_in_copy"), [said_not_in_copy(s)], dense=dense)


def said_not_in_copy(s: Setting) -> str:
    """What is not in this copy, in a sentence."""
    said = capital(s.listed(s.not_in_copy))
    return s.say("disclosure.not_in_copy", what=said) if said else s.say("disclosure.all_in_copy")


def _overview(s: Setting, *, dense: bool, most: int = MOST_NAMES) -> list[Flowable]:
    """The parts by name, group by group, at most so many in a line, and where the sentences stand."""
    flows = [flow for name in ORDER for flow in named_group(s, name, dense=dense, most=most)]
    where = blocks.group(s, s.say("disclosure.more"), [s.say("disclosure.where_in_full")], dense=dense)
    return [*flows, *where, *_below(s, dense=dense, table=False)]


def named_group(s: Setting, name: Group, *, dense: bool, most: int = MOST_NAMES) -> list[Flowable]:
    """One group with its parts by name, at most so many in a line."""
    lines = _lines(s, name, most)
    if not lines or (most >= _FEW_NAMES and name not in _QUOTED):
        lines += _said_besides(s, name, most)
    if not lines and name in WHERE_SAID:
        return []
    return blocks.group(s, s.say(f"group.{name}"), lines or [none(s, name)], dense=dense)


def _lines(s: Setting, name: Group, most: int) -> list[str]:
    if name == "hidden":
        return _named(s, some_pieces.met(s, [w for w in s.payload.work if w.covered == "yes"]), most)
    if name == "changed":
        return _named(s, _altered(s), most)
    if name == "undone":
        advised = [capital(row.what) for row in s.payload.advised]
        rest = advised[most - 1 :]
        return [*advised[: most - 1], _shortened(s, rest, 1)] if len(rest) > 1 else advised
    return [capital(line) for line in _states(s, name, most)]


def _said_besides(s: Setting, name: Group, most: int) -> list[str]:
    """What the sentences of a group say of other parts than those in its states, and of none (a place that
    could not be seen): by name, or in a few sentences.
    """
    if name == "undone":  # its lines are of what was advised, not of parts
        return []
    told = _told(s, name)
    said = [(one, _parts_of(one)) for one in s.payload.disclosure if one.group == name and one.rows]
    rest = [(one.text, parts) for one, parts in said if told.isdisjoint(parts)]
    if rest and most < _FEW_NAMES:
        return [_more(s, len(rest))]
    if rest and name in _QUOTED:
        return [_more(s, len(rest))]
    numbers = dict.fromkeys(number for _, parts in rest for number in parts)
    names = [capital(_shortened(s, [s.short_name(n) for n in numbers], most))] if numbers else []
    loose = [text for text, parts in rest if not parts]
    if sum(map(len, loose)) > _MOST_SAID:
        loose = [_more(s, len(loose))]
    return [*names, *loose]


def _more(s: Setting, n: int) -> str:
    return s.say("disclosure.more_said", n=n, more=s.say("disclosure.more"))


def _told(s: Setting, name: Group) -> set[str]:
    """The parts that the lines of a group name."""
    if name == "hidden":
        return {number for work in s.payload.work if work.covered == "yes" for number in work.parts}
    if name == "changed":
        return set(_altered(s))
    return {row.part for row in s.payload.parts_now if _group_of(row.now) == name}


def _parts_of(sentence: Sentence) -> list[str]:
    return [row.removeprefix("parts/") for row in sentence.rows if row.startswith("parts/")]


def _group_of(now: Now) -> str:
    return _WORKED_ON.get(now, FAMILY_OF[now])


def _states(s: Setting, name: Group, most: int, *, now: bool = True) -> list[str]:
    """The parts of a group by their states, those apart that no work of this job left so; of one that is no
    group of states nothing. `now`: also what this job left so.
    """
    states = [state for state in NOW if _group_of(state) == name]
    alone = len(states) == 1
    lines: list[str] = []
    for state in states:
        rows = [row for row in s.payload.parts_now if row.now == state]
        before = [row for row in rows if state in _BY_WORK and not _is_of_job(s, row)]
        if now:
            lines.append(_state(s, state, [row for row in rows if row not in before], most, alone=alone))
        lines.append(_state(s, state, before, most, alone=alone, before=True))
    return [line for line in lines if line]


def _is_of_job(s: Setting, row: PartNow) -> bool:
    """Whether work of this job left some of these pieces so."""
    done = {work.number: work.done for work in s.payload.work}
    return any(done.get(number) == _BY_WORK[row.now] for number in row.work)


def _altered(s: Setting) -> dict[str, tuple[int, int]]:
    """By part, how many pieces; of one that no line of its own tells of, it is not said."""
    told = some_pieces.met(s, [work for work in s.payload.work if work.done == "altered"])
    numbers = dict.fromkeys(row.part for row in s.payload.parts_now if row.altered)
    return {number: told.get(number, some_pieces.every(s, number)) for number in numbers}


def _named(s: Setting, counts: Mapping[str, tuple[int, int]], most: int) -> list[str]:
    names = [some_pieces.short(s, number, *span) for number, span in counts.items()]
    return [capital(_shortened(s, names, most))] if names else []


def _state(
    s: Setting, now: Now, rows: Sequence[PartNow], most: int, *, alone: bool, before: bool = False
) -> str:
    """One state and the parts in it; a state that is alone in its group needs no name."""
    if not rows:
        return ""
    listed = _shortened(
        s, [some_pieces.short(s, row.part, row.pieces_low, row.pieces_high) for row in rows], most
    )
    if alone:
        return s.say("disclosure.before", parts=listed) if before else listed
    key = "disclosure.state_before" if before else "disclosure.state"
    return s.say(key, state=s.say(f"now.{_key(now)}"), parts=listed)


def _key(now: Now) -> str:
    return now.replace(", ", "_").replace(" ", "_")


def _shortened(s: Setting, names: Sequence[str], most: int) -> str:
    if len(names) <= most:
        return s.listed(names)
    return s.say("disclosure.and_more", parts=s.begun(names[:most]), n=len(names) - most)
