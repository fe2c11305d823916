"""One page for a listing, lot or insurer: the same truth in less space, how to check it, the code.

The sentences are the record's own, set smaller where they must be. Where they do not fit a page at all, the
parts are listed by name instead, and the sheet says that the full record has the rest.
"""

from __future__ import annotations

from bisect import bisect
from collections.abc import Mapping
from functools import cache, partial

import msgspec
from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.model.record import OpenRecord
from dossier.pages import account_figure, blocks
from dossier.pages.options import PageOptions
from dossier.pages.running import OnePage, finished
from dossier.pages.sections import disclosure
from dossier.pages.sections.checking import groups
from dossier.pages.sections.cover import beneath, facts_of
from dossier.pages.sections.know_it import feature_words
from dossier.pages.setting import Setting, cut, markup, unbroken
from dossier.pages.style import Grid, grid
from dossier.pages.tagging import Columns, Heading, Rule, Space, Stack, Text

CODE_MM = 40.0
_ALL = 10_000


class Closeness(msgspec.Struct, frozen=True):
    """How close a sheet is set: size of type, depth of picture; sentences or names, and the most of each; the
    most letters of the object's name, which in the full record stands whole.
    """

    scale: float
    picture: float
    sentences: bool = True
    names: int = _ALL
    features: int = _ALL
    title: int = 160


_SAID = (
    Closeness(1.0, 66 * mm),
    Closeness(0.94, 56 * mm),
    Closeness(0.88, 48 * mm),
    Closeness(0.82, 42 * mm),
)
_NAMED = (
    *(
        Closeness(scale, depth * mm, sentences=False)
        for scale, depth in ((1.0, 60), (0.94, 54), (0.88, 48), (0.82, 42))
    ),
    Closeness(0.78, 36 * mm, sentences=False, features=4),
    *(Closeness(0.78, 34 * mm, sentences=False, names=n, features=3) for n in (40, 20, 12, 6)),
    Closeness(0.78, 30 * mm, sentences=False, names=2, features=1, title=70),
)


def draw_sheet(record: OpenRecord, pictures: Mapping[str, bytes], options: PageOptions) -> bytes:
    """The sheet as a finished PDF of one page."""
    s, story = _fitting(record, pictures, options)
    title = s.say("sheet.title", object=s.object_name)
    return finished(s, story, title, signed=False, running=OnePage(s))


def _fitting(
    record: OpenRecord, pictures: Mapping[str, bytes], options: PageOptions
) -> tuple[Setting, list[Flowable]]:
    """With all sentences where they fit a page, else by name; each step takes less room than the last."""
    on = grid(options.paper, top=19 * mm, bottom=20 * mm)
    # Kept: the step that is found was mostly laid out in the search.
    tried = cache(partial(_tried, record, pictures, options, on))

    def fits(step: Closeness) -> bool:
        return _fits(tried(step))

    if fits(_SAID[0]):
        return tried(_SAID[0])
    steps = _SAID if fits(_SAID[-1]) else _NAMED
    return tried(steps[bisect(steps, False, hi=len(steps) - 1, key=fits)])


def _tried(
    record: OpenRecord, pictures: Mapping[str, bytes], options: PageOptions, on: Grid, step: Closeness
) -> tuple[Setting, list[Flowable]]:
    s = Setting(record, pictures, options, on=on, scale=step.scale)
    return s, _story(s, step)


def _fits(tried: tuple[Setting, list[Flowable]]) -> bool:
    s, story = tried
    return bool(Stack(story).wrap(s.grid.text, s.grid.depth)[1] <= s.grid.depth)


def _story(s: Setting, step: Closeness) -> list[Flowable]:
    return [
        *_top(s, step),
        Space(3 * mm),
        *_sentences(s, step),
        *_features(s, step),
        *_counted(s),
        *_check(s),
    ]


def _top(s: Setting, step: Closeness) -> list[Flowable]:
    """Picture beside name and facts."""
    shot = s.shots.cover
    width = s.grid.text * 0.46
    wide = blocks.fitted(shot, width, step.picture)[0] if shot else 0.0
    room = s.grid.text - wide - (s.grid.gap if shot else 0)
    words = [
        Text(s.set("sheet.kicker"), s.styles.dense_hanging),
        *_named(s, step),
        Space(1.5 * mm),
        *facts_of(s, room, left_out=False),
    ]
    if shot is None:
        return words
    picture = blocks.picture(s, shot, width, step.picture, captioned=False)
    return [Columns([[picture], words], [wide, room], s.grid.gap)]


def _named(s: Setting, step: Closeness) -> list[Flowable]:
    below = cut(beneath(s), step.title)
    name: list[Flowable] = [Heading(markup(cut(s.object_name, step.title)), 1, s.styles.long_title)]
    return [*name, Text(markup(below), s.styles.in_note)] if below else name


def _sentences(s: Setting, step: Closeness) -> list[Flowable]:
    flows: list[Flowable] = [Rule(s.grid.text, 0.8, space_before=0, space_after=1)]
    for name in disclosure.ORDER:
        if step.sentences:
            said = " ".join(disclosure.sentences(s, name))
            flows += blocks.group(s, s.say(f"group.{name}"), [said], dense=True) if said else []
        else:
            flows += disclosure.named_group(s, name, dense=True, most=step.names)
    if not step.sentences:
        flows += blocks.group(s, s.say("disclosure.more"), [s.say("sheet.in_full")], dense=True)
    return [*flows, *disclosure.not_in_copy(s, dense=True)]


def _features(s: Setting, step: Closeness) -> list[Flowable]:
    rows = s.payload.know_it_by
    said = [feature_words(s, number, row) for number, row in enumerate(rows[: step.features], 1)]
    if len(rows) > step.features:
        said.append(s.say("sheet.more_features", n=len(rows) - step.features))
    return blocks.group(s, s.say("sheet.know_it"), said or [s.say("know_it.none")], dense=True)


def _counted(s: Setting) -> list[Flowable]:
    rows = s.payload.account
    if not rows:
        return []
    title = Heading(s.set("sheet.counted"), 2, s.styles.dense_hanging, bookmark=False)
    return [Space(3 * mm), title, Space(1 * mm), account_figure.keyed(s, rows)]


def _check(s: Setting) -> list[Flowable]:
    rule = Rule(s.grid.text, 0.8, space_before=6, space_after=4)
    if not s.options.code_text:
        return [rule, *_check_words(s)]
    code_width = CODE_MM * mm
    room = s.grid.text - code_width - s.grid.gap
    return [rule, Columns([[blocks.code(s, CODE_MM)], _check_words(s)], [code_width, room], s.grid.gap)]


def _check_words(s: Setting) -> list[Flowable]:
    shop = s.payload.workshop
    lines = (
        s.of_code("pages.sheet.check_words"),
        s.say("sheet.cannot"),
        s.in_row(
            text
            for text in (shop.name, shop.address, unbroken(shop.telephone), shop.verification_page)
            if text
        ),
        s.labelled(s.say("label.fingerprint"), s.options.fingerprint) if s.options.fingerprint else "",
        s.labelled(s.say("label.record"), s.payload.record),
        s.labelled(s.say("label.digest"), groups(s.record.digest)),
    )
    title = Heading(s.set("sheet.check"), 2, s.styles.dense_hanging, bookmark=False)
    said = (blocks.linked(line, shop.verification_page) for line in lines if line)
    return [title, *[Text(line, s.styles.in_note) for line in said]]
