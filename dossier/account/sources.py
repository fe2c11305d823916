"""Earlier records and papers as what they say of each part, in the order of their dates.

Not here: what it comes to (`chain`). A record also brings what it carries of the records before it, so
that the chain does not end where a file is lost. Invariant: no record is taken twice.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from itertools import pairwise
from operator import attrgetter
from typing import NamedTuple

from dossier.account import papers_told
from dossier.account.crossed import Span
from dossier.account.likeness import normal
from dossier.account.listed import Listed
from dossier.account.mix import ALL, Mix, Row, is_missing
from dossier.account.register import Register, in_order, pieces_of
from dossier.account.together import all_above, rows_of
from dossier.model.counted import PartNow, PartSaid
from dossier.model.earlier import EarlierOpened
from dossier.model.job import Job
from dossier.model.record import Payload, moment
from dossier.model.rows import HistoryClaim, Part, Work
from dossier.model.words import CameAs, Done, Now

_PART_OF = attrgetter("part_of")
_DATE = re.compile(r"\d{4}(?:-\d\d(?:-\d\d)?)?")
REFITTED = "taken off and refitted"
_MOVED: frozenset[Done] = frozenset({"taken off and refitted", "taken away"})
NONE: Span = (0, 0)
_STAYS: frozenset[Done] = frozenset({"part renewed", "new surface", "altered", "replaced", "added"})
_STAYS_UNKNOWN: frozenset[Done] = frozenset({"part renewed", "new surface"})  # the states say the others


class Entry(NamedTuple):
    """What one record says of one part. `refitted`: at least and at most so many pieces were put back."""

    came_as: CameAs
    pieces: int
    rows: tuple[Row, ...]
    reason: str
    refitted: Span
    worked: tuple[tuple[Done, Span], ...] = ()  # what stays done to pieces then taken away or not known

    @property
    def reads_apart(self) -> bool:
        """Whether it reads the pieces as something else than original."""
        return self.came_as not in ("original", "not known")

    @property
    def is_altered(self) -> bool:
        return any(row.altered for row in self.rows) or any(done == "altered" for done, _ in self.worked)


class Source(NamedTuple):
    """One record by part number, or one paper (`claim`)."""

    sha256: str
    date: str
    workshop: str
    entries: Mapping[str, Entry]
    parts: Sequence[Part]  # for their names, which are asked for few
    above: Mapping[str, str]  # part -> the heading it stands under
    claim: HistoryClaim | None = None
    inside: frozenset[str] = frozenset()  # parts that stand in one which counts for itself
    language: str = ""  # of the names
    knows: frozenset[object] = frozenset()  # of the sources that it counted in: `Source.key`
    together: Mapping[str, tuple[Row, ...]] = {}  # by heading, what it says of all the parts under it
    listed: Listed | None = None  # of a paper that a record tells of: how that lists the parts
    again: PartSaid | None = None  # of a paper that a record tells of, and that is typed in again
    told: Mapping[str, tuple[PartSaid, ...]] = {}  # by part, papers of records before it that are not at hand

    @property
    def key(self) -> object:
        """What it is told by: a record's digest, or what a paper says."""
        claim = self.claim
        if claim is None:
            return self.sha256
        return claim.date, claim.by, claim.done, claim.parts, claim.pieces


def sources_of(job: Job, earlier: Sequence[EarlierOpened]) -> list[Source]:
    """All that is said of the parts of this object before the job, oldest first."""
    opened = {one.sha256: one for one in earlier}
    built_on = _built_on(earlier)
    direct = _oldest_first([of_payload(one.payload, one.sha256) for one in opened.values()], built_on)
    found = {source.sha256: source for source in direct}
    papers: dict[object, Source] = {}
    known: dict[object, frozenset[object]] = {}
    for one in (opened[source.sha256] for source in direct):
        listed = Listed(one.payload.parts) if one.payload.history else None
        for paper in _papers(one.payload.history, found[one.sha256].inside):
            papers.setdefault(paper.key, _as_read(paper, listed))
    typed = {sha256: papers_told.Typed(one.payload) for sha256, one in opened.items()}
    for paper in _papers(job.history, _inside_of(job)):
        again = next((said for one in typed.values() if (said := _told_of(paper, one))), None)
        papers.setdefault(paper.key, paper._replace(again=again))
    told: dict[str, papers_told.ByPart] = defaultdict(dict)
    for one in (opened[source.sha256] for source in direct):
        before = [*_carried(one.payload)]
        own = _papers(one.payload.history, frozenset())
        keys = frozenset(source.key for source in (*before, *own))
        keys |= {key for key, paper in papers.items() if _told_of(paper, typed[one.sha256])}
        knows = known[one.sha256] = keys.union(*(known.get(key, ()) for key in keys))  # and what these knew
        found[one.sha256] = found[one.sha256]._replace(knows=knows)
        for source in before:
            found.setdefault(source.sha256, source)
        for sha256, some in papers_told.by_record(one.payload).items():
            for number, every in some.items():
                papers_told.add(told[sha256 or one.sha256], number, every)
    records = [source._replace(told=told.get(sha256, {})) for sha256, source in found.items()]
    return _oldest_first([*papers.values(), *records], built_on)


def _told_of(paper: Source, typed: papers_told.Typed) -> PartSaid | None:
    """What a record tells of a paper, if of all parts that it speaks of."""
    return typed.told(paper.claim) if paper.claim else None


def _built_on(earlier: Iterable[EarlierOpened]) -> dict[str, set[str]]:
    """By record, those that come before it: it names them, or some record tells them before it."""
    found: dict[str, set[str]] = defaultdict(set)
    for one in earlier:
        found[one.sha256].update(record.sha256 for record in one.payload.earlier_records)
        for history in one.payload.part_history:
            told = [said.sha256 for said in history.said if said.sha256]
            for before, after in pairwise([*told, one.sha256]):
                found[after].add(before)
    return found


def _oldest_first(sources: Sequence[Source], built_on: Mapping[str, set[str]]) -> list[Source]:
    """By date; of one day what others are built on first, else as they were given."""
    days: dict[str, set[str]] = defaultdict(set)
    for source in sources:
        days[sort_date(source.date)].add(source.sha256)

    def place(source: Source) -> tuple[str, int]:
        day = sort_date(source.date)
        return day, len(_all_before(source.sha256, built_on) & days[day]) if len(days[day]) > 1 else 0

    return sorted(sources, key=place)


def _all_before(sha256: str, built_on: Mapping[str, set[str]]) -> set[str]:
    found: set[str] = set()
    waiting = [sha256]
    while waiting:
        new = built_on.get(waiting.pop(), set()) - found
        found |= new
        waiting.extend(new)
    return found


def sort_date(text: str) -> str:
    """The first date in a text ("about 1970"), "" where there is none."""
    found = _DATE.search(text)
    return found[0] if found else ""


def of_payload(payload: Payload, sha256: str) -> Source:
    rows, parts = _rows(payload.parts_now), payload.parts
    within = any(map(_PART_OF, parts))  # in most registers no part is said to be part of another
    above = {p.number: p.part_of for p in parts if p.part_of and p.part_of not in rows} if within else {}
    return Source(
        sha256,
        date_of(payload),
        payload.workshop.name,
        _entries(parts, rows, refitted(payload.work, parts, above), _worked_unsaid(rows, payload, above)),
        parts,
        above,
        inside=inside(parts, rows) if within else frozenset(),
        language=payload.language,
        together=rows_of(payload.account, payload.parts_now, above) if above else {},
    )


def inside(parts: Iterable[Part], counted: Container[str]) -> frozenset[str]:
    """The parts that stand in one which counts for itself, as a lining does in a lid."""
    return frozenset(part.number for part in parts if part.part_of in counted)


def _inside_of(job: Job) -> frozenset[str]:
    if not job.history:
        return frozenset()
    return inside(job.parts, {part.number for part in Register(job.parts).counted()})


def date_of(payload: Payload) -> str:
    """When the work was done, as far as it is said; else when the record was signed."""
    dates = payload.dates
    signed = moment(payload.iat).date().isoformat()
    return dates.returned or dates.done or signed


def refitted(work: Sequence[Work], parts: Sequence[Part], above: Mapping[str, str]) -> dict[str, Span]:
    """At least and at most so many pieces that were taken off and refitted, by part (`ALL`: all of them); of
    some pieces, some may be what was taken away in the same record. `above`: the heading over each part.
    """
    found: dict[str, Span] = {}
    for number, some in _met(work, parts, above, _MOVED).items():
        back = [span for done, span in some if done == REFITTED]
        away = sum(most for done, (_, most) in some if done != REFITTED)
        if back:
            least = max(low if low == ALL else max(0, low - away) for low, _ in back)
            found[number] = least, sum(high for _, high in back)
    return found


def _met(
    work: Sequence[Work], parts: Sequence[Part], above: Mapping[str, str], wanted: Container[Done]
) -> dict[str, list[tuple[Done, Span]]]:
    """By part, the work of these kinds that met it, in order, with at least and at most so many pieces. Work
    on a heading is work on the parts under it; a number beside several parts says nothing of any one.
    """
    found: dict[str, list[tuple[Done, Span]]] = defaultdict(list)
    under: dict[str, list[str]] = defaultdict(list)
    for number in above:
        for heading in all_above(number, above):
            under[heading].append(number)
    pieces = {part.number: pieces_of(part) for part in parts} if under else {}
    for row in in_order(work) if any(row.date for row in work) else work:
        if row.done not in wanted:
            continue
        most = row.pieces if row.pieces > 0 else ALL
        least = 0 if row.pieces > 0 and len(row.parts) > 1 else most
        for number in row.parts:
            found[number].append((row.done, (least, most)))
            for one in under.get(number, ()):
                others = pieces.get(number, 0) - pieces.get(one, 0)
                share = least if least == ALL else max(0, least - others)
                found[one].append((row.done, (share, most)))
    return found


def entry_of(part: Part, refits: Mapping[str, Span]) -> Entry:
    """A part as the job itself reads it."""
    return Entry(part.came_as, pieces_of(part), (), part.why_otherwise, refits.get(part.number, NONE))


def is_related(payload: Payload, job: Job) -> bool:
    """True for a record of an object of the same type, or with a part of the same number and name; in another
    language nothing can be told from names, and the job counts it among the earlier records of the object.
    """
    if payload.language != job.language:
        return True
    if normal(payload.object.type) == normal(job.object.type):
        return True
    mine = {(part.number, normal(part.part)) for part in job.parts}
    return any((part.number, normal(part.part)) in mine for part in payload.parts)


def _worked_unsaid(
    rows: Mapping[str, tuple[Row, ...]], payload: Payload, above: Mapping[str, str]
) -> dict[str, tuple[tuple[Done, Span], ...]]:
    """What was done to parts that the record leaves as taken away or as not known, of which its states say no
    more; by part, with at least and at most so many pieces.
    """
    found: dict[str, tuple[tuple[Done, Span], ...]] = {}
    for number, some in _met(payload.work, payload.parts, above, _STAYS).items():
        left = {row.now for row in rows.get(number, ())}
        stays = _STAYS if "taken away" in left else _STAYS_UNKNOWN if "not known" in left else ()
        if own := tuple(one for one in some if one[0] in stays):
            found[number] = own
    return found


def _entries(
    parts: Iterable[Part],
    rows: Mapping[str, tuple[Row, ...]],
    refits: Mapping[str, Span],
    worked: Mapping[str, tuple[tuple[Done, Span], ...]],
) -> dict[str, Entry]:
    """The entries by part number; equal ones are one object, so that thousands of parts cost little."""
    made: dict[tuple[CameAs, int, int, str, Span, tuple[tuple[Done, Span], ...]], Entry] = {}
    found: dict[str, Entry] = {}
    for part in parts:
        number = part.number
        own = rows.get(number)
        if own is None:
            continue
        refit = refits.get(number, NONE) if refits else NONE
        done = worked.get(number, ()) if worked else ()
        key = (part.came_as, part.pieces, id(own), part.why_otherwise, refit, done)
        entry = made.get(key)
        if entry is None:
            entry = made[key] = Entry(key[0], max(key[1], 1), own, *key[3:])
        found[number] = entry
    return found


def _rows(now: Iterable[PartNow]) -> dict[str, tuple[Row, ...]]:
    """The rows by part number; of parts with one row, equal ones are one object."""
    made: dict[tuple[Now, int, int, bool], tuple[Row, ...]] = {}
    found: dict[str, tuple[Row, ...]] = {}
    for row in now:
        key = (row.now, row.pieces_low, row.pieces_high, row.altered)
        one = made.get(key)
        if one is None:
            one = made[key] = (Row(*key),)
        number = row.part
        found[number] = found[number] + one if number in found else one
    return found


def _papers(history: Iterable[HistoryClaim], within: frozenset[str]) -> Iterator[Source]:
    """The papers that say what was done to which parts."""
    for claim in history:
        if claim.done and claim.parts and claim.known_from == "paper":
            yield Source("", claim.date, claim.by, {}, (), {}, claim, within)


def _as_read(paper: Source, listed: Listed | None) -> Source:
    """The paper with how the record lists the parts, where that has a row for each that it speaks of."""
    parts = paper.claim.parts if paper.claim else ()
    every = listed is not None and all(number in listed.sizes for number in parts)
    return paper._replace(listed=listed if every else None)


def _carried(payload: Payload) -> Iterator[Source]:
    """What the record carries of records before it. What had a number of its own stood under the part that it
    was one with later.
    """
    entries: dict[str, dict[str, Entry]] = defaultdict(dict)
    above: dict[str, dict[str, str]] = defaultdict(dict)
    heads: dict[str, PartSaid] = {}
    for history in payload.part_history:
        for said in history.said:
            if said.sha256 and not said.object:
                heads[said.sha256] = said
                entry, whole = _entry(said), [history.was or number for number in history.parts]
                entries[said.sha256].update((said.part or number, entry) for number in whole)
                above[said.sha256].update((said.part, number) for number in whole if said.part)
    within = inside(payload.parts, {row.part for row in payload.parts_now}) if heads else frozenset()
    for sha256, said in heads.items():
        rows = entries[sha256]
        over = {number: heading for number, heading in above[sha256].items() if heading not in rows}
        yield Source(sha256, said.date, said.workshop, rows, (), over, inside=within)


def _entry(said: PartSaid) -> Entry:
    rows = tuple(Row(row.now, row.low, row.high, said.altered) for row in said.now)
    back = said.came_as == "missing" and any(row.now.startswith("original") for row in rows)
    return Entry(said.came_as, said.pieces, rows, said.reason, (ALL, ALL) if back else NONE)


def fits(before: Mix, rows: Sequence[Entry], total: int) -> bool:
    """Whether rows read in several ways surely are those pieces, whatever is left open of them: no more that
    may be original, no fewer of anything else, and what is read as original is so in every case.

    Rows that are all read alike are told apart by nothing, and are some of the pieces each.
    """
    if total != before.n or len({row.came_as for row in rows}) == 1:
        return False
    read: dict[str, int] = defaultdict(int)
    for row in rows:
        read[row.came_as] += row.pieces
    least, most = before.of("original", "not known")
    away, most_away = before.of(*[label for label, _, _ in before.counts if is_missing(label)])
    unsure = read["not known"]
    return (
        read["original"] <= least
        and read["original"] + unsure <= most
        and away <= read["missing"]
        and most_away <= read["missing"] + unsure
    )


def label_of(before: Mix, entry: Entry) -> str:
    """What a row that fits counts as; one that is missing keeps what it was before it was taken away."""
    if entry.came_as != "missing":
        return entry.came_as
    labels = [label for label, _, _ in before.counts if is_missing(label)]
    return labels[0] if len(labels) == 1 else "missing"
