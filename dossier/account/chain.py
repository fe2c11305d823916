"""The parts carried from record to record: what each piece counts as.

Numbers are never given to another part, so a part is followed by its number. A row split off (4 -> 4.2), or
standing under a heading that was one part before, is followed as some of those pieces; a row that grew
takes up the split rows that are gone. A part inside another that keeps all its pieces (hinges 3.2 in a
bellows 3) is no split row, whatever its number. Not here: reading records (`sources`), who said what
(`nodes`), arithmetic (`mix`, `meeting`). Invariant: parts of which the same is said share what is known of
them, so that thousands of parts cost little.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence, Set
from typing import NamedTuple

import msgspec

from dossier.account import papers_told
from dossier.account.bounds import Bounds
from dossier.account.crossed import Span
from dossier.account.listed import SPLIT, Listed
from dossier.account.meeting import Met, after, met, unheard_in, worked_on
from dossier.account.mix import Mix, grown, joined, only, some_of, still_here, whole
from dossier.account.nodes import Nodes
from dossier.account.sources import Entry, Source, fits, label_of
from dossier.account.together import all_above, narrowed
from dossier.model.counted import PartSaid, Pieces
from dossier.model.rows import HistoryClaim, Part

Entries = Mapping[str, Entry]


class Known(NamedTuple):
    """What is known of a part after a record: its pieces, the chain's last node, whether readings differ."""

    mix: Mix
    node: int
    differs: bool = False
    was: str = ""  # its number before it was split off
    unheard: int = 0  # at most so many pieces the last record knows to be another, and nothing before it


class Family(NamedTuple):
    """Rows that were one part before, with what is known of its pieces."""

    base: str  # the number of that part
    numbers: tuple[str, ...]
    known: Known
    lost: tuple[str, ...] = ()  # split rows that are gone and taken up again
    gone: tuple[str, ...] = ()  # rows under the heading `base` in whose place these are


class Chain:
    def __init__(self, listed: Listed | None = None) -> None:
        """`listed`: the parts of the job, for its papers."""
        self._listed = listed or Listed()
        self.known: dict[str, Known] = {}
        self._registers: list[tuple[str, Sequence[Part]]] = []  # language and parts of each, oldest first
        self._named: dict[int, dict[str, str]] = {}
        self.headings: set[str] = set()
        self.under: dict[str, frozenset[str]] = {}  # by heading, the parts that it still stands for
        self._member: dict[str, set[str]] = defaultdict(set)
        self._taken: set[object] = set()  # of the records and papers so far: `Source.key`
        self._nodes = Nodes()
        self.bounds = Bounds()

    def said(self, node: int, number: str = "", was: str = "") -> tuple[PartSaid, ...]:
        """What was said up to this node, oldest first."""
        return self._nodes.said(node, number, was)

    def take(self, source: Source) -> None:
        """Go on by one record or paper."""
        if source.claim is not None:
            self._take_paper(source, source.claim)
            self._taken.add(source.key)
            return
        # By what is known and what is said, each held by its object, and by the papers told before it.
        made: dict[tuple[int, int, tuple[PartSaid, ...]], Known] = {}
        families = self.families(source.entries, source.above, source.inside)
        new: dict[str, Known] = {}
        known, entries = self.known, source.entries
        apart = {number for family in families for number in family.numbers}
        for number, entry in entries.items():
            if number in apart:
                continue
            old = known.get(number)
            key = id(old), id(entry), source.told.get(number, ())
            found = made.get(key)
            if found is None:
                found = made[key] = self._after(source, number, old, self.meet(entry, old))
            new[number] = found
        met_before = {number: known.get(number) for number in source.above}
        self.bind(families, entries)
        for family in families:
            for gone in family.lost:
                del known[gone]
            for number, old, one in self.meet_family(family, entries):
                new[number] = self._after(source, number, old, one)
                met_before[number] = old
        self.known.update(new)
        self._gather(entries, {family.base for family in families})
        self.bounds.go_on(
            entries,
            lambda number: one.mix if (one := self.known.get(number)) else None,
            {number: one.unheard for number, one in new.items() if one.unheard},
        )
        self._headings(source, met_before)
        self._taken.add(source.key)
        if source.parts:
            self._registers.append((source.language, source.parts))

    def headed(self) -> Iterator[tuple[str, Known]]:
        """The headings that still stand for all parts under them, with what is known of these together."""
        yield from ((heading, self.known[heading]) for heading in self.under)

    def name(self, number: str, language: str = "") -> str:
        """What the last record calls a part, or the last in that language; "" where none does."""
        for place in reversed(range(len(self._registers))):
            spoken, parts = self._registers[place]
            if language in ("", spoken):
                if place not in self._named:
                    self._named[place] = {part.number: part.part for part in parts}
                if name := self._named[place].get(number):
                    return name
        return ""

    def meet(self, entry: Entry, old: Known | None) -> Met:
        """How the pieces come in, by what is known of them."""
        if old is None:
            return Met(whole(entry.came_as, entry.pieces), differs=False)
        return met(
            old.mix,
            entry.came_as,
            entry.pieces,
            refitted=entry.refitted,
            reasoned=bool(entry.reason),
        )

    def families(
        self, entries: Entries, above: Mapping[str, str], inside: Container[str] = ()
    ) -> list[Family]:
        """The rows that are not simply the row of that number before; `inside` as in `Source`."""
        if entries.keys() == self.known.keys():
            return []
        members: dict[str, list[str]] = defaultdict(list)
        new = entries.keys() - self.known.keys()
        split = self._split_off(new, entries)
        kept = {one for one in self.under if self._keeps_its_rows(one, entries, split)} if new else set()
        for number in new:
            base = self._base(number, above, kept)
            if base and not (number in inside and self._keeps_its_pieces(base, entries)):
                members[base].append(number)
        lost: dict[str, list[str]] = defaultdict(list)
        for number in self.known.keys() - entries.keys():
            match = SPLIT.fullmatch(number)
            if match and match[1] in self.known and (match[1] in entries or match[1] in members):
                lost[match[1]].append(number)
        for base in lost:
            if base in entries and entries[base].pieces > self.known[base].mix.n:
                members.setdefault(base, [])
        here = entries.keys() | members.keys() if members else set()
        return [
            self._family(base, sorted(some), lost.get(base, ()), entries, here)
            for base, some in sorted(members.items())
        ]

    def _keeps_its_pieces(self, number: str, entries: Entries) -> bool:
        return number in entries and entries[number].pieces >= self.known[number].mix.n

    def meet_family(self, family: Family, entries: Entries) -> Iterator[tuple[str, Known, Met]]:
        """Each row of a family with what it comes from."""
        mine = {number: entries[number] for number in family.numbers}
        total = sum(entry.pieces for entry in mine.values())
        before = grown(still_here(family.known.mix, total), total)
        they_fit = fits(before, list(mine.values()), total)
        node = self._nodes.as_rows(family.base, family.known.node)
        for number, entry in mine.items():
            if they_fit:
                mix = only(before, label_of(before, entry), entry.pieces)
            else:
                mix = some_of(before, entry.pieces)
            old = family.known._replace(mix=mix, node=node)
            yield number, old, self.meet(entry, old)

    def _split_off(self, new: Iterable[str], entries: Entries) -> Mapping[str, int]:
        """By row, how many pieces of it stand in rows of their own now."""
        found: dict[str, int] = defaultdict(int)
        for number in new:
            at = number
            while (match := SPLIT.fullmatch(at)) and at not in self.known:
                at = match[1]
            if at in self.known:
                found[at] += entries[number].pieces
        return found

    def _keeps_its_rows(self, heading: str, entries: Entries, split: Mapping[str, int]) -> bool:
        """Whether each row of a heading is there with all its pieces, some of them perhaps split off."""
        return all(
            row in self.known
            and row in entries
            and entries[row].pieces + split.get(row, 0) >= self.known[row].mix.n
            for row in self.under[heading]
        )

    def _base(self, number: str, above: Mapping[str, str], kept: Set[str] = frozenset()) -> str:
        """The row that this one was a part of, none of the headings that keep theirs; "" if there is none."""
        at = number
        while match := SPLIT.fullmatch(at):
            at = match[1]
            if at in self.known and at not in kept:
                return at
        return next((one for one in all_above(number, above) if one in self.known and one not in kept), "")

    def _family(
        self, base: str, some: Sequence[str], lost: Sequence[str], entries: Entries, here: Set[str]
    ) -> Family:
        known = self.known[base]
        gone = [
            one for one in self.under.get(base, ()) if one in self.known and not self._is_in(here, one, base)
        ]
        if base not in entries and 0 < len(gone) < len(self.under[base]):  # the others are still here
            known = self._together(base, sorted(gone), known)
        if lost:
            known = self._together(base, (base, *sorted(lost)), known)
        numbers = (base, *some) if base in entries else tuple(some)
        return Family(base, numbers, known._replace(was=known.was or base), tuple(lost), tuple(gone))

    def bind(self, families: Iterable[Family], entries: Entries) -> None:
        """The rows of each family have together what was known of what they are in the place of, and what is
        one part again what was known of its rows.
        """
        for family in families:
            rows = self.under.get(family.base)
            if rows is None:
                self.bounds.move({family.base, *family.lost}, family.numbers)
                self.bounds.add(family.numbers, family.known.mix)
            else:
                self.bounds.add(rows, self.known[family.base].mix)
                self.bounds.move({*family.gone, *family.lost}, family.numbers)
        for heading in self.under.keys() & entries.keys():
            self.bounds.move(self.under[heading] - entries.keys(), [heading])

    def _is_in(self, here: Set[str], row: str, base: str) -> bool:
        """Whether a row under a heading is here: as itself, as its own rows, or in one with others."""
        over = {one for one in self._member[row] if row in self.under.get(one, ())}
        return not here.isdisjoint({row} | {one for one in over if self.under[one] < self.under[base]})

    def _together(self, number: str, rows: Iterable[str], like: Known) -> Known:
        """Rows that are one part of this number, or some of one."""
        every = {row: self.known[row] for row in rows}
        last = {row: known.node for row, known in every.items()}
        mix = self.bounds.together({row: known.mix for row, known in every.items()})
        return like._replace(mix=mix, node=self._nodes.as_one(number, last))

    def _after(self, source: Source, number: str, old: Known | None, coming: Met) -> Known:
        entry, before = source.entries[number], old.node if old else 0
        for paper in source.told.get(number, ()):
            before = self._tell(before, paper)
        said = PartSaid(
            sha256=source.sha256,
            date=source.date,
            workshop=source.workshop,
            came_as=entry.came_as,
            pieces=entry.pieces,
            now=tuple(Pieces(now=row.now, low=row.low, high=row.high) for row in entry.rows),
            reason=entry.reason,
            altered=entry.is_altered,
        )
        node = self._nodes.add(before, said)
        mix = coming.mix.read_otherwise() if coming.differs and entry.reads_apart else coming.mix
        for done, (least, most) in entry.worked:
            mix = worked_on(mix, done, (min(least, mix.n), min(most, mix.n)), entry.came_as)
        unheard = unheard_in(mix, entry.rows)
        mix = after(mix, entry.came_as, entry.rows, self._taken <= source.knows)
        differs, was = coming.differs or bool(old and old.differs), old.was if old else ""
        return Known(mix, node, differs, was, unheard)

    def _take_paper(self, source: Source, claim: HistoryClaim) -> None:
        listed = source.listed or self._listed
        sizes, above_of = listed.sizes, listed.above
        met: set[str] = set()
        for number in claim.parts:
            self._as_listed(above_of.get(number, number), listed)
            self._take_up(number, sizes)
            beside = listed.beside(number, source.inside)
            if len(beside) > 1 and beside.isdisjoint(self.known):
                self.known.update((one, Known(whole("not known", sizes[one]), 0)) for one in beside)
            own = number in self.known or number in source.inside
            base = number if own else self._base(number, above_of) or number
            old = self.known.get(base) or Known(whole("not known", sizes.get(number, 1)), 0)
            n = old.mix.n
            is_whole = base == number and beside <= self.known.keys()
            every = n if is_whole else min(n, sizes.get(number, n))  # of the row among the others
            of = n if claim.pieces or every < n else 0
            done = PartSaid(
                date=claim.date, workshop=claim.by, done=claim.done, pieces=claim.pieces or every, of=of
            )
            if source.again:  # as it was told: once of what was one part then, and of as many pieces
                if base in met:
                    continue
                done = msgspec.structs.replace(done, pieces=source.again.pieces, of=source.again.of)
            met.add(base)
            # A record that tells of it has told it.
            statement = None if source.again else (source.key, base)
            k = min(done.pieces, n)
            self.known[base] = self._by_paper(old, done, (k, k), statement=statement)
            mine = self.under.get(base, frozenset({base}))
            self.bounds.touch(mine)
            above = {
                heading for number in mine for heading in self._member.get(number, ())
            } & self.under.keys()
            for heading in sorted(above - {base}):
                some = (k, k) if mine <= self.under[heading] else self._share(heading, k, n)
                self.known[heading] = self._by_paper(self.known[heading], done, some, statement=statement)
                self.bounds.add(self.under[heading], self.known[heading].mix)
            for under in sorted(mine - {base}):
                self.known[under] = self._by_paper(
                    self.known[under], done, self._share(under, k, n), statement=statement
                )

    def _take_up(self, number: str, sizes: Mapping[str, int]) -> None:
        """Rows split off that the job has as one with their part again are so for its papers."""
        old = self.known.get(number)
        if old and number not in self.under and sizes.get(number, 0) > old.mix.n:
            split = (one for one in self.known.keys() - sizes.keys() if SPLIT.fullmatch(one))
            if lost := [one for one in split if one.rpartition(".")[0] == number]:
                self.known[number] = self._together(number, (number, *sorted(lost)), old)
                for one in lost:
                    del self.known[one]

    def _share(self, number: str, k: int, n: int) -> tuple[int, int]:
        """Of k among n pieces, at least and at most so many are of this part or heading among them."""
        mine = self.known[number].mix.n
        return max(0, k - (n - mine)), min(k, mine)

    def _as_listed(self, number: str, listed: Listed) -> None:
        """Headings over and under this one, where no record has any, stand for their parts."""
        rows, sizes = listed.headings(number), listed.sizes
        if not rows or not self.known.keys().isdisjoint(rows):
            return
        under_them = {under for numbers in rows.values() for under in numbers}
        if any(under in self.known and self.known[under].mix.n != sizes[under] for under in under_them):
            return  # the list is of a later day: rows of it were one part when the paper was written
        for under in under_them:
            self.known.setdefault(under, Known(whole("not known", sizes[under]), 0))
        for heading, numbers in [*rows.items()]:
            some = [self.known[under] for under in numbers]
            mix = joined([one.mix for one in some])
            if mix.n == sizes[heading]:
                self.known[heading] = Known(mix, 0)
            else:
                del rows[heading]
        self._forget(under_them, rows)

    def _by_paper(self, old: Known, done: PartSaid, met_by: Span, *, statement: object) -> Known:
        """After a paper says that something was done to so many of the pieces; told with a `statement`."""
        node = self._tell(old.node, done, statement) if statement else old.node
        return old._replace(mix=worked_on(old.mix, done.done, met_by), node=node)

    def _tell(self, node: int, paper: PartSaid, statement: object = None) -> int:
        """The node at which a paper is told, once however many of its rows are one part here."""
        if any(papers_told.is_same(paper, said) for said in self._nodes.said(node)):
            return node
        return self._nodes.add(node, paper, statement)

    def _headings(self, source: Source, before: Mapping[str, Known | None]) -> None:
        """A heading is known as the parts under it together; `before`: what was known of each."""
        under: dict[str, list[str]] = defaultdict(list)
        for number in source.above:
            if number in source.entries:
                for heading in all_above(number, source.above):
                    under[heading].append(number)
        self.headings.update(under)
        for heading, numbers in under.items():
            if heading not in source.entries:
                known = self._together(heading, numbers, self.known[numbers[0]])
                self.known[heading] = known = self._as_one(source, heading, numbers, known, before)
                self.bounds.add(numbers, known.mix)
        moved = {number for number in source.entries if number in self._member}
        self._forget(moved, {heading: frozenset(numbers) for heading, numbers in under.items()})

    def _gather(self, entries: Entries, rearranged: Set[str]) -> None:
        """Rows that a record has as one part again, or as other rows, are known by those from then on."""
        for heading in [heading for heading in self.under if heading in entries or heading in rearranged]:
            rows = self.under.pop(heading) - entries.keys()
            over = {other for number in rows for other in self._member[number]} - entries.keys()
            beside = (self._member.keys() & self.known.keys()) - rows
            between = over - {other for number in beside for other in self._member[number]}
            for number in rows | between:
                self.under.pop(number, None)
                self.known.pop(number, None)

    def _forget(self, here: set[str], under: Mapping[str, frozenset[str]]) -> None:
        """A heading is what its parts are, wherever a record has these; if others have some, it is none."""
        for heading in {heading for number in here for heading in self._member[number]} - under.keys():
            rows = sorted(self.under.get(heading, ()))
            pieces = [self.known[row].mix.n if row in self.known else 0 for row in rows]
            if rows and all(pieces) and sum(pieces) == self.known[heading].mix.n:
                self.known[heading] = self._together(heading, rows, self.known[heading])
            elif rows:
                del self.under[heading], self.known[heading]
        for heading, numbers in under.items():
            self.under[heading] = numbers
            for number in numbers:
                self._member[number].add(heading)

    def _as_one(
        self,
        source: Source,
        heading: str,
        numbers: Sequence[str],
        known: Known,
        before: Mapping[str, Known | None],
    ) -> Known:
        """A heading as the lines of the account have it, where its parts are read alike."""
        entries, rows = [source.entries[number] for number in numbers], source.together.get(heading)
        if not rows or len({(e.came_as, e.reason, e.refitted) for e in entries}) > 1:
            return known
        came = joined([self.meet(e, before.get(n)).mix for n, e in zip(numbers, entries, strict=True)])
        one = entries[0]._replace(pieces=known.mix.n, rows=rows, worked=())
        old = self.known.get(heading) if self.under.get(heading) == frozenset(numbers) else None
        if old and old.mix.n == known.mix.n:
            came = narrowed(came, self.meet(one, old).mix)
        if any(entry.worked for entry in entries):
            return known
        return known._replace(
            mix=narrowed(known.mix, after(came, one.came_as, rows, self._taken <= source.knows))
        )
