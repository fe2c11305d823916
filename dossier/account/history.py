"""What earlier records say of the parts, and what the account therefore starts from.

The records (and papers typed in) are gone through by date, each part by its number; FORMAT.md section 3.1 has
the rules. All readings stand, and none is called wrong. Not here: arithmetic of pieces (`mix`), which record
is at hand and whether it checks (the flow), words. Invariants: a record of another object, or of none of
these parts, changes nothing; a job without earlier records is left as it is.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

import msgspec

from dossier.account.chain import Chain, Known
from dossier.account.crossed import Span
from dossier.account.likeness import normal
from dossier.account.listed import Listed
from dossier.account.meeting import Met, met, met_apart
from dossier.account.mix import Mix, is_missing, joined, relabelled, whole
from dossier.account.register import Register
from dossier.account.sources import Entry, entry_of, inside, is_related, of_payload, refitted, sources_of
from dossier.account.together import narrowed
from dossier.model.counted import Origin, PartHistory, PartSaid, Pieces
from dossier.model.earlier import EarlierOpened, SaidLater
from dossier.model.job import Job
from dossier.model.rows import EarlierRecord, Part
from dossier.model.words import CAME_AS, CameAs


class Reading(NamedTuple):
    """A part that this job reads otherwise than what was said before."""

    part: str
    before: PartSaid  # the last that was said before and is not what this job reads
    counted_as: tuple[Origin, ...]
    back: bool  # it was taken away or missing, and no refitting is recorded
    reason: str


class Story(NamedTuple):
    """A job with what was said of its parts before.

    `job` is the job with `came_as` as the account counts it; `origins` says the same by pieces.
    """

    job: Job
    origins: Mapping[str, Mix] = {}
    histories: tuple[PartHistory, ...] = ()
    readings: tuple[Reading, ...] = ()
    families: tuple[tuple[str, ...], ...] = ()  # rows that were one part, and are one in the account
    joint: Mapping[frozenset[str], Mix] = {}  # by the rows of a family, all its pieces together
    renamed: tuple[tuple[str, str], ...] = ()  # number, name in the last record
    not_here: tuple[tuple[str, str], ...] = ()  # number, name: in a record, and in no row of the job
    of_others: tuple[EarlierRecord, ...] = ()  # records of another object that no part is said to come from
    wrong_others: tuple[tuple[int, str], ...] = ()  # place in `other_parts`, what does not hold
    said_later: tuple[tuple[str, SaidLater], ...] = ()  # digest of a record, what its workshop said of it


def with_history(job: Job, earlier: Sequence[EarlierOpened] = ()) -> Story:
    """The job with its earlier records and papers; those of another object give only what came from it."""
    donors = {one.path or one.sha256: one for one in earlier}
    from_others = {row.record for row in job.other_parts}
    mine = [one for key, one in donors.items() if key not in from_others]
    own = [one for one in mine if is_related(one.payload, job)]
    sources = sources_of(job, own)
    later = tuple((one.sha256, said) for one in earlier for said in one.later)
    if not (sources or job.other_parts or len(own) < len(mine)):
        return Story(job, said_later=later)
    chain = Chain(Listed(job.parts if any(source.claim for source in sources) else ()))
    for source in sources:
        chain.take(source)
    strangers = {one.sha256 for one in mine} - {one.sha256 for one in own}
    told = _Told(job, chain, _from_others(job, donors))
    return told.story()._replace(
        of_others=tuple(row for row in job.earlier_records if row.sha256 in strangers),
        wrong_others=tuple(_wrong_others(job, donors)),
        said_later=later,
    )


class _Arrived(NamedTuple):
    """A part of the job as it comes in."""

    entry: Entry
    known: Known
    met: Met


class _Told:
    """The last step: how the parts of the job come in."""

    def __init__(self, job: Job, chain: Chain, others: Mapping[str, tuple[PartSaid, ...]]) -> None:
        self.job, self.chain, self.others = job, chain, others
        self.register = Register(job.parts, job.work)
        refits = refitted(job.work, job.parts, self._above())
        self.entries = {p.number: entry_of(p, refits) for p in self.register.counted()}
        self.families = chain.families(self.entries, self._above(), inside(job.parts, self.entries))
        self.arrived = self._arrive()

    def _above(self) -> dict[str, str]:
        headings = self.register.headings
        return {p.number: p.part_of for p in self.job.parts if p.part_of in headings}

    def _arrive(self) -> dict[str, _Arrived]:
        found: dict[str, _Arrived] = {}
        made: dict[tuple[int, Entry], _Arrived] = {}
        in_family = {number for family in self.families for number in family.numbers}
        for number, entry in self.entries.items():
            known = self.chain.known.get(number)
            if known is not None and number not in in_family:
                key = id(known), entry
                if key not in made:
                    made[key] = _Arrived(entry, known, self.chain.meet(entry, known))
                found[number] = made[key]
        for family in self.families:
            for number, known, one in self.chain.meet_family(family, self.entries):
                found[number] = _Arrived(self.entries[number], known, one)
        return found

    def story(self) -> Story:
        origins = {number: one for number, a in self.arrived.items() if (one := _origin(a)) is not None}
        back = {number for number, a in self.arrived.items() if a.met.back}
        parts = tuple(
            _as_counted(part, origins.get(part.number), back=part.number in back) for part in self.job.parts
        )
        families = tuple(family.numbers for family in self.families if len(family.numbers) > 1)
        headed = dict(self._headed())
        joint = dict(self._joint()) | {frozenset(numbers): mix for numbers, mix in headed.items()}
        bound = dict(self._bound(joint))
        return Story(
            job=msgspec.structs.replace(self.job, parts=parts),
            origins=origins,
            histories=tuple(self._histories()),
            readings=tuple(self._readings()),
            families=(*families, *headed, *bound),
            joint=joint | {frozenset(numbers): mix for numbers, mix in bound.items()},
            renamed=tuple(self._renamed()),
            not_here=tuple(self._not_here()),
        )

    def _joint(self) -> Iterator[tuple[frozenset[str], Mix]]:
        """All pieces of a family together, where its rows are read alike."""
        for family in self.families:
            entries = [self.entries[number] for number in family.numbers]
            if len(entries) > 1 and len({_read(entry) for entry in entries}) == 1:
                yield frozenset(family.numbers), _all_met(family.known, entries)

    def _headed(self) -> Iterator[tuple[tuple[str, ...], Mix]]:
        """Rows that stand under one heading as they did before, with all their pieces together."""
        headed = self.register.headed()
        for heading, known in self.chain.headed():
            numbers = tuple(p.number for p in headed.get(heading, ()) if p.number in self.arrived)
            arrived = [self.arrived[number] for number in numbers]
            total = sum(a.entry.pieces for a in arrived)
            alike = len({_read(a.entry) for a in arrived}) == 1
            if frozenset(numbers) != self.chain.under[heading] or total != known.mix.n:
                continue
            entries = [a.entry for a in arrived]
            if alike:
                yield numbers, _all_met(known, entries)
            elif not any(entry.reason or entry.refitted[1] for entry in entries):
                read: dict[CameAs, int] = defaultdict(int)
                for entry in entries:
                    read[entry.came_as] += entry.pieces
                if mix := met_apart(known.mix, tuple(read.items())):
                    yield numbers, _public(narrowed(mix, joined([a.met.mix for a in arrived])))

    def _bound(self, joint: Mapping[frozenset[str], Mix]) -> Iterator[tuple[tuple[str, ...], Mix]]:
        """Rows that were one part before, also where this job lists them as the record before did."""
        bounds = self.chain.bounds
        self.chain.bind(self.families, self.entries)
        bounds.go_on(
            self.entries, lambda number: self.arrived[number].met.mix if number in self.arrived else None
        )
        for rows in bounds:
            numbers = tuple(number for number in self.entries if number in rows)
            each = {number: _public(self.arrived[number].met.mix) for number in numbers}
            mix = joint.get(rows)
            yield numbers, bounds.within(rows, mix) if mix else bounds.together(each)

    def _histories(self) -> Iterator[PartHistory]:
        """One for all parts of which the same is said."""
        alike: dict[tuple[object, ...], list[str]] = {}
        for number in self.entries:
            a, others = self.arrived.get(number), self.others.get(number, ())
            if a is not None:
                alike.setdefault((a.met, a.known.node, a.known.differs, a.known.was, others), []).append(
                    number
                )
            elif others:
                alike.setdefault((number, others), []).append(number)
        for numbers in alike.values():
            yield self._history(numbers)

    def _history(self, numbers: list[str]) -> PartHistory:
        a, entry = self.arrived.get(numbers[0]), self.entries[numbers[0]]
        others = self.others.get(numbers[0], ())
        if a is None:
            return PartHistory(
                parts=tuple(numbers), counted_as=_origins(whole(entry.came_as, entry.pieces)), said=others
            )
        was = a.known.was if numbers != [a.known.was] else ""
        return PartHistory(
            parts=tuple(numbers),
            counted_as=_origins(_public(a.met.mix)),
            said=(*others, *self.chain.said(a.known.node, numbers[0] if was else "", was)),
            differs=a.met.differs or a.known.differs,
            was=was,
        )

    def _readings(self) -> Iterator[Reading]:
        for number, a in self.arrived.items():
            if a.met.differs:
                before = _read_otherwise(self.chain.said(a.known.node), a.entry.came_as)
                counted = _origins(_public(a.met.mix))
                yield Reading(number, before, counted, a.met.back, a.entry.reason)

    def _renamed(self) -> Iterator[tuple[str, str]]:
        """Numbers under which the last record in this language has something called quite otherwise."""
        for part in self.job.parts:
            before = self.chain.name(part.number, self.job.language)
            if before not in ("", part.part) and not set(normal(before).split()) & set(
                normal(part.part).split()
            ):
                yield part.number, before

    def _not_here(self) -> Iterator[tuple[str, str]]:
        here = {part.number for part in self.job.parts} | self.chain.headings
        here |= {a.known.was for a in self.arrived.values()}
        taken = {lost for family in self.families for lost in family.lost}
        for number, known in self.chain.known.items():
            gone = all(is_missing(label) for label, _, _ in known.mix.counts)
            if number not in here and number not in taken and not gone:
                yield number, self.chain.name(number)


_LEFT: Mapping[str, CameAs] = {"original": "original", "new": "earlier replacement", "taken away": "missing"}
_LEFT_BY: Mapping[str, CameAs] = {"replaced": "earlier replacement", "taken away": "missing"}


def _read_otherwise(said: Sequence[PartSaid], came_as: CameAs) -> PartSaid:
    """The last that leaves the part as something else than what it is read as here; else the last."""
    return next((one for one in reversed(said) if _left(one, came_as) != {came_as}), said[-1])


def _left(said: PartSaid, came_as: CameAs) -> set[str]:
    """What the pieces would come as next; a paper that says nothing of it leaves them as they are read."""
    if said.done:
        return {_LEFT_BY.get(said.done, came_as)}
    states = (row.now.split(",")[0] for row in said.now if row.high)
    return {_LEFT.get(state, state) for state in states}


def _read(entry: Entry) -> tuple[CameAs, str, Span]:
    """What rows that are read alike have in common."""
    return entry.came_as, entry.reason, entry.refitted


def _all_met(known: Known, entries: Sequence[Entry]) -> Mix:
    """The pieces of rows that are read alike, together."""
    first, total = entries[0], sum(entry.pieces for entry in entries)
    each = [(min(e.refitted[0], e.pieces), min(e.refitted[1], e.pieces)) for e in entries]
    back = sum(low for low, _ in each), sum(high for _, high in each)
    return _public(met(known.mix, first.came_as, total, refitted=back, reasoned=bool(first.reason)).mix)


def _public(mix: Mix) -> Mix:
    """The mix in words of `CameAs`: what was taken away is missing."""
    return relabelled(mix, lambda label: "missing" if is_missing(label) else label)


def _origin(a: _Arrived) -> Mix | None:
    """What the account needs to know beside the part's own row; None where that says it."""
    mix = _public(a.met.mix)
    if a.met.differs and a.entry.reads_apart:
        mix = mix.read_otherwise()
    same = mix == whole(a.entry.came_as, mix.n)
    return None if same and mix.label in ("original", "not known") else mix


def _as_counted(part: Part, origin: Mix | None, *, back: bool) -> Part:
    """The part with what it counts as having come as, where that is one thing and not what is typed; that
    what was gone and is `back` is another stands in no paper.
    """
    if origin is None or not origin.label or origin.label == part.came_as:
        return part
    return msgspec.structs.replace(
        part, came_as=_word(origin.label), known_from="not known" if back else "paper"
    )


def _word(label: str) -> CameAs:
    return next(word for word in CAME_AS if word == label)


def _origins(mix: Mix) -> tuple[Origin, ...]:
    return tuple(Origin(came_as=_word(label), low=low, high=high) for label, low, high in mix.counts)


def _from_others(job: Job, donors: Mapping[str, EarlierOpened]) -> dict[str, tuple[PartSaid, ...]]:
    """By part, what the record of the object it came from says of it."""
    found: dict[str, tuple[PartSaid, ...]] = {}
    for row in job.other_parts:
        donor = donors.get(row.record)
        if donor is None:
            continue
        source = of_payload(donor.payload, donor.sha256)
        entry, thing = source.entries.get(row.number), donor.payload.object.type
        carried = tuple(
            msgspec.structs.replace(said, object=said.object or thing, part=said.part or row.number)
            for history in donor.payload.part_history
            if row.number in history.parts
            for said in history.said
        )
        own = (
            ()
            if entry is None
            else (_said_there(source.sha256, source.date, source.workshop, entry, row.number, thing),)
        )
        found[row.part] = (*found.get(row.part, ()), *carried, *own)
    return found


def _said_there(sha256: str, date: str, workshop: str, entry: Entry, number: str, thing: str) -> PartSaid:
    return PartSaid(
        sha256=sha256,
        date=date,
        workshop=workshop,
        part=number,
        object=thing,
        came_as=entry.came_as,
        pieces=entry.pieces,
        now=tuple(Pieces(now=row.now, low=row.low, high=row.high) for row in entry.rows),
        altered=entry.is_altered,
    )


def _wrong_others(job: Job, donors: Mapping[str, EarlierOpened]) -> Iterator[tuple[int, str]]:
    """Rows of `other_parts` that do not hold: the part came otherwise, or is not in that record."""
    by_number = {part.number: part for part in job.parts}
    for place, row in enumerate(job.other_parts, 1):
        part, donor = by_number.get(row.part), donors.get(row.record)
        if part is not None and part.came_as != "from another object":
            yield place, "other-part-came-otherwise"
        if donor is not None and all(there.number != row.number for there in donor.payload.parts):
            yield place, "other-part-not-there"
