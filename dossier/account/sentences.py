"""The sentences of the disclosure, from what is kept to what is hidden now.

Each sentence names the rows it is made from and says no more than they do; like parts share one, or several
where they are too many to be read in one. Nothing that a copy may leave out is read here: no people, prices,
values, private marks or notes, no photographs. What is new has its own module (`sentences_new`). Templates
stand in words/<language>/sentences.toml.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from dossier.account import sentences_history, sentences_new
from dossier.account.naming import STATE_OF
from dossier.account.phrases import listed, readable
from dossier.account.speech import Thing
from dossier.account.telling import Telling, keys_of
from dossier.model.counted import PartHistory, PartNow
from dossier.model.job import Job
from dossier.model.record import Sentence
from dossier.model.rows import Part, Work
from dossier.model.words import DONE, KNOWN_FROM, Done, Now
from dossier.words import Catalogue

_KEPT: tuple[Now, ...] = ("original, left as found", "original, no work recorded")
_WORK: tuple[Done, ...] = tuple(
    done for done in DONE if STATE_OF[done] in ("treated", "new surface") and done != "altered"
)


def disclosure(
    job: Job,
    now: Sequence[PartNow],
    words: Catalogue,
    histories: Sequence[PartHistory] = (),
    typed: Sequence[Part] = (),
) -> tuple[Sentence, ...]:
    """All sentences, in the order of `model.record.Group`.

    `job` has each part as the account counts it, `typed` as this record reads it where earlier ones speak
    of it.
    """
    telling = Telling(job, now, words, histories)
    before = [*sentences_history.history(telling, histories, typed)]
    groups = ([*tell(telling), *(before if tell is _earlier else ())] for tell in _GROUPS)
    return tuple(said for group in groups for said in group)


def _kept(telling: Telling) -> Iterator[Sentence]:
    for state in _KEPT:
        rows = [row for row in telling.now if row.now == state]
        for known in KNOWN_FROM:
            alike = [row for row in rows if telling.part(row).known_from == known and telling.is_told(row)]
            for some in readable(alike):
                things = [telling.thing(row) for row in some]
                text = telling.say(f"kept.{state}", things=things, known=telling.say(f"known.{known}"))
                yield telling.sentence("kept", [text], keys_of(things, [n for row in some for n in row.work]))
    yield from _kept_why(telling)


def _kept_why(telling: Telling) -> Iterator[Sentence]:
    for part in telling.counted:
        if part.kept_why and not telling.wholly(part, "new", "taken away", "missing"):
            rows = telling.rows(part)
            whole = all(row.done == "left as found" and not telling.of_some(part, row) for row in rows)
            thing = telling.still_here(part)
            head = telling.say("kept.why_as_found" if rows and whole else "kept.why", things=[thing])
            yield telling.sentence("kept", telling.speech.with_reason(head, part.kept_why), [thing.key])


def _worked_on(telling: Telling) -> Iterator[Sentence]:
    """Work on what came as original: a sentence for each way of working, or several of many parts."""
    ways: dict[tuple[Done, str], list[tuple[Part, Work]]] = {}
    for part in telling.counted:
        if part.came_as == "original" and not telling.wholly(part, "new", "taken away"):
            for row in telling.rows(part):
                if row.done in _WORK:
                    ways.setdefault((row.done, telling.speech.inside(row.how, "how")), []).append((part, row))
    for (done, how), alike in sorted(ways.items(), key=lambda way: DONE.index(way[0][0])):
        for met in _met(telling, alike):
            things = telling.worked(met)
            key = "work.full" if how else "work.short"
            text = telling.say(key, things=things, done=telling.say(f"done.{done}"), how=how)
            yield telling.sentence("worked_on", [text], _keys(telling, things, met))


def _met(telling: Telling, met: Sequence[tuple[Part, Work]]) -> Iterator[list[tuple[Part, Work]]]:
    """Parts and the rows that met them, so many as a sentence may name; what is named once stays together."""
    named: dict[str, list[tuple[Part, Work]]] = {}
    for part, row in met:
        named.setdefault(telling.spoken_of(part, row).number, []).append((part, row))
    for some in readable([*named.values()]):
        yield [one for same in some for one in same]


def _keys(telling: Telling, things: list[Thing], met: list[tuple[Part, Work]]) -> list[str]:
    """The things, the parts that were met, the headings that stand for them, and the rows of work."""
    parts = [f"parts/{p.number}" for part, row in met for p in (part, telling.spoken_of(part, row))]
    return [*keys_of(things), *parts, *(f"work/{row.number}" for _, row in met)]


def _earlier(telling: Telling) -> Iterator[Sentence]:
    """What came as something else than original, and what was done to it."""
    alike: dict[object, list[Part]] = {}
    for part in telling.counted:
        if part.came_as in sentences_new.NOT_THE_FIRST and not telling.wholly(part, "new", "taken away"):
            alike.setdefault(_came_key(telling, part), []).append(part)
    for parts in alike.values():
        for some in readable(parts):
            yield _came(telling, some)


def _came_key(telling: Telling, part: Part) -> object:
    """Parts of which the same is said; one of which only some pieces were worked on, or that was partly
    renewed, stands alone.
    """
    rows = telling.treatments(part)
    if any(telling.of_some(part, row) or row.done == "part renewed" for row in rows):
        return part.number
    said = tuple((row.done, row.how) for row in rows)
    return part.came_as, part.known_from, bool(telling.rows(part)), said


def _came(telling: Telling, parts: Sequence[Part]) -> Sentence:
    things = [telling.speech.whole(part) for part in parts]
    known = telling.say(f"known.{parts[0].known_from}")
    texts = [telling.say(f"earlier.{parts[0].came_as}", things=things, known=known)]
    texts += _thens(telling, parts[0], things)
    if not telling.rows(parts[0]):
        them = telling.speech.number("them", len(things) > 1 or things[0].many)
        texts.append(telling.speech.say("earlier.no_work", them=them))
    met = [(part, row) for part in parts for row in telling.treatments(part)]
    return telling.sentence("earlier", texts, _keys(telling, things, met))


def _thens(telling: Telling, part: Part, whole: list[Thing]) -> list[str]:
    """What was done to a part of which a sentence has just spoken, each way once; behind a sentence on some
    of its pieces, it is named again. Last, what was renewed of it.
    """
    texts, some = [], False
    rows = telling.treatments(part)
    renewed = [row for row in rows if row.done == "part renewed"]
    for row in rows:
        if row not in renewed:
            some = some or telling.of_some(part, row)
            texts.append(_then(telling, row, telling.worked([(part, row)]) if some else whole, named=some))
    return [*dict.fromkeys(texts), *(sentences_new.renewed(telling, part, renewed) if renewed else ())]


def _then(telling: Telling, row: Work, things: list[Thing], *, named: bool) -> str:
    how, done = telling.speech.inside(row.how, "how"), telling.say(f"done.{row.done}")
    key = "work.full" if how else "work.short"
    if not named:
        key = "earlier.then_how" if how else "earlier.then"
    return telling.say(key, things=things, done=done, how=how)


def _not_known(telling: Telling) -> Iterator[Sentence]:
    yield from _not_examined(telling)
    for part in telling.counted:
        if telling.left_open(part):
            yield _container(telling, part)
    unknown = [
        p for p in telling.counted if p.came_as == "not known" and not telling.wholly(p, "new", "taken away")
    ]
    yield from _origin(telling, [p for p in unknown if not telling.left_open(p)])
    for what in telling.job.looked_at.could_not_see:
        text = telling.speech.say("not_known.could_not_see", what=telling.speech.inside(what, "seen"))
        yield telling.sentence("not_known", [text], ["job/looked_at"])


def _not_examined(telling: Telling) -> Iterator[Sentence]:
    met = [(p, row) for p in telling.counted for row in telling.rows(p) if row.done == "not examined"]
    for some in _met(telling, met):
        things = telling.worked(some)
        text = telling.say("not_known.not_examined", things=things)
        yield telling.sentence("not_known", [text], _keys(telling, things, some))


def _container(telling: Telling, part: Part) -> Sentence:
    container, row = telling.left_open(part)[0]
    thing, outer = telling.speech.whole(part), telling.worked([(container, row)])[0]
    values = {
        "name": telling.inside(thing),
        "what": telling.speech.number("them", thing.many),
        "container": telling.inside(outer),
        "container_was": telling.speech.number("was", outer.many),
        "done": telling.say(f"done.{row.done}"),
    }
    text = telling.say("not_known.container", things=[thing], **values)
    return telling.sentence("not_known", [text], keys_of([thing, outer], [row.number]))


def _origin(telling: Telling, parts: list[Part]) -> Iterator[Sentence]:
    """Parts of which it is not known whether they are original; what was done to them, one by one."""
    plain = [p for p in parts if not telling.treatments(p)]
    untouched = [p for p in plain if all(row.done == "not examined" for row in telling.rows(p))]
    others = [p for p in plain if p not in untouched]
    for key, alike in (("not_known.origin_no_work", untouched), ("not_known.origin", others)):
        for things in readable([thing for p in alike for thing in telling.open(p)]):
            yield telling.sentence("not_known", [telling.say(key, things=things)], keys_of(things))
    for part in parts:
        rows = telling.treatments(part)
        if rows:
            thing = next(iter(telling.open(part)), telling.speech.whole(part))
            name = telling.inside(thing)
            texts = [telling.say("not_known.origin_one", things=[thing], name=name)]
            texts += _thens(telling, part, [thing])
            yield telling.sentence("not_known", texts, _keys(telling, [thing], [(part, row) for row in rows]))


def _changed(telling: Telling) -> Iterator[Sentence]:
    """Changes of size, shape or use, also those of earlier records, or that none is recorded."""
    found = [(p, row) for p in telling.counted for row in telling.rows(p) if row.done == "altered"]
    spoken = {(telling.spoken_of(p, row).number, row.number): (p, row) for p, row in found}
    for part, row in spoken.values():
        things = telling.worked([(part, row)])
        head = telling.say("changed.altered", things=things)
        how = telling.speech.inside(row.how, "how")
        texts = [telling.speech.detailed(head, how)]
        yield telling.sentence("changed", texts, keys_of(things, [row.number]))
    own = {part.number for part, _ in found}
    before = list(dict.fromkeys(row.part for row in telling.now if row.altered and row.part not in own))
    for some in readable(before):
        names = listed([telling.speech.name(telling.register.parts[n]) for n in some], telling.words)
        text = telling.speech.say("changed.before", names=names)
        yield telling.sentence("changed", [text], [f"parts/{n}" for n in some])
    if not found and not before:
        yield telling.sentence("changed", [telling.speech.say("changed.none")], [])


def _undone(telling: Telling) -> Iterator[Sentence]:
    for place, advice in enumerate(telling.job.advised, 1):
        head = telling.speech.say("undone.advised", what=telling.speech.inside(advice.what, "advised"))
        why = telling.speech.reason(advice.why_not)
        reason = telling.speech.say("grammar.reason", why=why) if why else ""
        rows = [f"advised/{place}", *(f"parts/{number}" for number in advice.parts)]
        yield telling.sentence("undone", [head, reason], rows)


def _gone(telling: Telling) -> Iterator[Sentence]:
    for row in telling.now:
        if row.now == "taken away":
            part, thing = telling.part(row), telling.thing(row)
            many = thing.many or row.pieces_high > 1
            texts = sentences_new.came(telling, [part])
            texts += telling.speech.with_reason(telling.say("gone.taken", things=[thing]), part.why)
            texts.append(sentences_new.old_piece(telling, part, many=many, ask=True))
            yield telling.sentence("gone", texts, keys_of([thing], row.work))
    for missing in readable([telling.thing(row) for row in telling.now if row.now == "missing"]):
        yield telling.sentence("gone", [telling.say("gone.missing", things=missing)], keys_of(missing))


def _hidden(telling: Telling) -> Iterator[Sentence]:
    for row in telling.job.work:
        parts = [telling.register.parts[n] for n in row.parts if n in telling.register.parts]
        for met in _met(telling, [(part, row) for part in parts if row.covered == "yes"]):
            things = telling.worked(met)
            text = telling.say("hidden.covered", things=things, done=telling.words.token(row.done))
            yield telling.sentence("hidden", [text], keys_of(things, [row.number]))


_GROUPS = (
    _kept,
    _worked_on,
    sentences_new.part_renewed,
    sentences_new.new,
    _earlier,
    _not_known,
    _changed,
    _undone,
    _gone,
    _hidden,
)
