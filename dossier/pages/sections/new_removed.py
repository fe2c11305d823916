"""Page 9: each new or removed part: old and new, why, how told, how undone, where the old piece is."""

from __future__ import annotations

from collections.abc import Container, Sequence

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.model.rows import Part
from dossier.pages import blocks, close_up
from dossier.pages.close_up import Window
from dossier.pages.photographs import Shot
from dossier.pages.plain import plain
from dossier.pages.sections.map import now_words
from dossier.pages.setting import Setting, beside_label, capital, markup
from dossier.pages.tagging import Bullets, Columns, Loose, Space

_WHOLLY_NEW = ("new, like for like", "new, with a difference", "new, likeness not known")
_NEW = (*_WHOLLY_NEW, "original, part renewed")  # the last also by an earlier record, without work here
_GONE = ("taken away",)
# What a reader will look for: of a new part, and of one that was renewed in part or taken away.
_OWED = ("old", "new", "made_by", "difference", "told_by", "undone_by", "why", "old_piece")
_OWED_OF_A_PART = ("new", "told_by", "undone_by", "why")
_SIDE, _SIDE_DEPTH = 34 * mm, 25.5 * mm  # of a photograph beside what is said
_AS_CLOSE = 2  # parts in a photograph that shows each as close as a window on one place of it does
_View = tuple[Shot, Window | None]
_EMPTY = 0.15  # of a page: most that is left empty to keep what is under a heading on one
_LEAST = 5 * 14.0  # points of it on either page
_SAID = ("new_material", "made_by", "why", "difference", "told_by", "undone_by", "old_piece")
_SAID_OF_GONE = ("why", "old_piece")
_NAMES = {"new": "new_material"}  # fields that have another name here
_WORK = ("replaced", "added", "part renewed", "taken away")


def section(s: Setting) -> list[Flowable]:
    if empty(s):
        return []
    body: list[Flowable] = [flow for part, names in told(s) for flow in _part(s, part, names)]
    body = body or [blocks.say(s, "new_removed.none")]
    return blocks.section(s, s.say("new_removed.title"), [*body, *_kept(s)])


def told(s: Setting) -> list[tuple[Part, frozenset[str]]]:
    """The parts that have a place here; of a heading that work was done under alone, the fields of its row
    that stand for those of its parts which say nothing themselves.
    """
    concerned = {part.number: part for part in s.payload.parts if _concerned(s, part)}
    under: dict[str, list[Part]] = {}
    left: dict[str, set[str]] = {}
    for part in concerned.values():
        for above in s.shots.with_headings(part.number)[1:]:
            under.setdefault(above, []).append(part)
        for name, heading in _said_above(s, part).items():
            left.setdefault(heading, set()).add(name)
    found: list[tuple[Part, frozenset[str]]] = []
    for part in s.payload.parts:
        if part.number in concerned:
            if not _is_told(part, under.get(part.number, [])):
                found.append((part, frozenset()))
        elif part.number in left:
            found.append((part, frozenset(left[part.number])))
    return found


def _said_above(s: Setting, part: Part) -> dict[str, str]:
    """By field that a part leaves blank, the nearest heading that has a word for it."""
    if part.number not in s.now:
        return {}
    is_new = any(row.now in _NEW for row in s.now[part.number]) or bool(part.new_material)
    names = (name for name in (_SAID if is_new else _SAID_OF_GONE) if not getattr(part, name))
    above = [s.parts[number] for number in s.shots.with_headings(part.number)[1:]]
    said = {name: next((one.number for one in above if getattr(one, name)), "") for name in names}
    if part.came_as == "missing":
        said.pop("old_piece", None)
    return {name: heading for name, heading in said.items() if heading}


def _is_told(heading: Part, under: Sequence[Part]) -> bool:
    """Whether all that a heading says of new work is said of each part under it that is told."""
    said = {name: text for name in _SAID if (text := getattr(heading, name))}
    there = [part for part in under if part.came_as != "missing"] or under  # of what was missing no old piece
    return bool(under) and all(
        getattr(part, name) == said[name]
        for name in said
        for part in (there if name == "old_piece" else under)
    )


def empty(s: Setting) -> list[str]:
    told = any(part.kept_why or _concerned(s, part) for part in s.payload.parts)
    return [] if told else [s.say("new_removed.none")]


def _concerned(s: Setting, part: Part) -> bool:
    now = {row.now for row in s.now.get(part.number, ())}
    done = {work.done for work in s.work_on.get(part.number, ())}
    return bool(now & {*_WHOLLY_NEW, *_GONE}) or bool(done & set(_WORK)) or bool(part.new_material)


def _part(s: Setting, part: Part, names: Container[str] = ()) -> list[Flowable]:
    """One part, or these fields of a heading; what is not said, nor by a heading, is named in one line."""
    rows = _rows(s, part)
    if names:
        facts = [(key, value) for key, value in rows if _NAMES.get(key, key) in names]
        return [_under(s, s.part_name(part.number), blocks.facts(s, facts)), Space(1 * mm)]
    above = _said_above(s, part)
    owed = [key for key in _owed(s, part) if _NAMES.get(key, key) not in above]
    unsaid = [s.say(f"unsaid.{key}") for key, value in rows if not value and key in owed]
    said = [(key, value) for key, value in rows if value]
    if unsaid:
        said.append(("unsaid", capital(s.listed(unsaid))))
    return [_under(s, s.part_name(part.number), _shown(s, part, said)), Space(1 * mm)]


def _under(s: Setting, title: str, body: Sequence[Flowable]) -> Flowable:
    """A heading and what stands under it, on one page where that leaves little of it empty."""

    def again() -> Flowable:
        return plain(s.say("new_removed.continued", part=title), s.styles.group)

    return Loose([blocks.heading(s, beside_label(title)), *body], s.grid.depth * _EMPTY, _LEAST, again)


def _shown(s: Setting, part: Part, said: Sequence[tuple[str, str]]) -> list[Flowable]:
    """What is said of a part, beside it at most two photographs: of the old and of the new."""
    views = closest(_shots(s, part), part.number)
    if not views:
        return blocks.facts(s, said)
    room = s.grid.text - _SIDE - s.grid.gap
    pictures: list[Flowable] = []
    for view in views:
        pictures += [_view(s, *view), Space(1.5 * mm)]
    return [Columns([blocks.facts(s, said, across=room), pictures[:-1]], [room, _SIDE], s.grid.gap)]


def _view(s: Setting, shot: Shot, seen: Window | None) -> Flowable:
    """A photograph, or a window of it; its side and number stand below."""
    if seen is None:
        return blocks.small_picture(s, shot, _SIDE, _SIDE_DEPTH)
    words = blocks.beside_side(s, shot, close_up.title(s, shot))
    return close_up.picture(s, shot, seen, _SIDE, _SIDE_DEPTH, words)


def closest(shots: Sequence[Shot], part: str) -> list[_View]:
    """Of a part's photographs the one from before or during the work and the one from after it that show it
    closest: with the fewest other parts, or, of one that shows many, the window on its place of the part.
    Where both of a pair show it as close as a window does, these: somebody took them for each other. Of two
    as close, the one nearer to the two ends of the work. One of the whole that it is counted under is shown
    where none names the part. A private one stands behind all others: what is shown is then the same in a
    copy without it.
    """
    views = [(shot, _window(shot, part)) for shot in shots if shot.shown]
    ends = [
        _own([view for view in views if (view[0].side == "after") == late], part) for late in (False, True)
    ]
    chosen = [min(end, key=_distance) for end in ends if end]
    one, other = map(_of_pairs, ends)
    both = [[one[pair], other[pair]] for pair in one.keys() & other.keys()]
    return min(both, key=lambda views: [*map(_distance, views)], default=chosen)


def _own(end: list[_View], part: str) -> list[_View]:
    return [view for view in end if part in view[0].photograph.parts] or end


def _of_pairs(end: Sequence[_View]) -> dict[str, _View]:
    """Of each pair that somebody made the closest view that is as close as a window, private ones aside."""
    found: dict[str, _View] = {}
    for view in sorted(end, key=_distance, reverse=True):
        shot = view[0]
        if shot.photograph.pair and _others(view) <= _AS_CLOSE and not shot.details.private:
            found[shot.photograph.pair] = view
    return found


def _window(shot: Shot, part: str) -> Window | None:
    return close_up.on_part(shot, part) if len(shot.photograph.parts) > _AS_CLOSE else None


def _others(view: _View) -> int:
    """How many parts it shows; a window as few as are shown as close."""
    shot, seen = view
    return _AS_CLOSE if seen else len(shot.photograph.parts)


def _distance(view: _View) -> tuple[bool, int, bool, int]:
    shot = view[0]
    return (shot.details.private, _others(view), shot.side == "during", shot.number)


def _rows(s: Setting, part: Part) -> list[tuple[str, str]]:
    is_heading = part.number not in s.now  # it says what it does of its parts
    is_new = is_heading or any(row.now in _NEW for row in s.now[part.number]) or part.new_material
    rows = [("now", now_words(s, part.number)), ("old", part.material), ("work", _work(s, part))]
    if is_new:
        rows += [
            ("new", part.new_material),
            ("made_by", s.maker(part.made_by)),
            ("difference", part.difference),
            ("told_by", part.told_by),
            ("undone_by", part.undone_by),
        ]
    rows += [("why", part.why), ("old_piece", part.old_piece)]
    if not is_heading or _shots(s, part):  # else its parts say what was photographed
        rows.append(("pictures", _pictures(s, part)))
    if part.came_as == "missing":  # there was no old piece to speak of
        rows = [(key, value) for key, value in rows if value or key not in ("old", "old_piece")]
    return rows


def _owed(s: Setting, part: Part) -> tuple[str, ...]:
    """What is like for like owes no difference; a heading owes nothing where its parts are told."""
    if part.number not in s.now and any(
        part.number in s.shots.with_headings(other.number)
        for other in s.payload.parts
        if _concerned(s, other)
    ):
        return ()
    new = {row.now for row in s.now.get(part.number, ()) if row.now in _WHOLLY_NEW}
    if new == {"new, like for like"}:
        return tuple(key for key in _OWED if key != "difference")
    gone = any(row.now in _GONE for row in s.now.get(part.number, ()))
    return _OWED if new else (*_OWED_OF_A_PART, "old_piece") if gone else _OWED_OF_A_PART


def _work(s: Setting, part: Part) -> str:
    """The lines of work that made it new, with their dates; on what it is counted under, too."""
    met = {work.number: work for n in s.shots.with_headings(part.number) for work in s.work_on.get(n, ())}
    lines = [work for _, work in sorted(met.items()) if work.done in _WORK]
    return s.and_also(
        s.say(
            "new_removed.line",
            done=s.token(work.done),
            date=s.date(work.date) or s.say("not_said"),
            how=work.how,
        )
        if work.how
        else s.in_row([s.token(work.done), s.date(work.date) or s.say("not_said")])
        for work in lines
    )


def _shots(s: Setting, part: Part) -> tuple[Shot, ...]:
    return s.shots.of_part(part, {row.now for row in s.now.get(part.number, ())})


def _pictures(s: Setting, part: Part) -> str:
    shots = _shots(s, part)
    shown = blocks.numbers_of(s, (shot for shot in shots if shot.shown))
    gone = sum(1 for shot in shots if not shot.in_copy)
    if gone:
        return s.say("new_removed.some_gone", numbers=shown or s.say("none_shown"), gone=gone, all=len(shots))
    return shown or s.say("not_photographed")


def _kept(s: Setting) -> list[Flowable]:
    """Parts kept on purpose, each with the reason; worn or sound, the register says."""
    kept = [s.labelled(s.part_name(part.number), part.kept_why) for part in s.payload.parts if part.kept_why]
    if not kept:
        return []
    listed = Bullets([markup(text) for text in kept], s.styles.in_body)
    return [Space(4 * mm), *blocks.hung(s, s.say("new_removed.kept"), [listed])]
