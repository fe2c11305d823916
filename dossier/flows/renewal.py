"""The flow of an archive's evidence: made over all bags and time-stamped, and checked at an audit.

An old time-stamp holds as long as its hash and its authority's key do; the next one, over it and over all
bags, is made before they age out. Not done here: what evidence is (`archive.evidence`), re-hashing the bags'
files.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from cryptography import x509

from dossier.archive import bags, evidence
from dossier.errors import ArchiveError, NotCanonicalError
from dossier.flows import ask_time
from dossier.seal import stamp, stamp_chain
from dossier.seal.stamp_codes import StampError
from dossier.words import Catalogue

WORDS = Catalogue()
HASH = "sha512"  # of the imprint: the stronger of the two


class Renewed(NamedTuple):
    """What was done: whether there is new evidence, and what to tell the person."""

    made: bool
    message: str
    notes: tuple[str, ...] = ()


class Report(NamedTuple):
    """What the check of one evidence found; `problems` is empty where it holds."""

    number: int
    said: str = ""
    problems: tuple[str, ...] = ()


def renew(archive: Path, asking: ask_time.Asking) -> Renewed:
    """Make the next evidence over all bags of the archive. Raises ArchiveError where one is not whole."""
    if not any(True for _ in bags.bag_folders(archive)):
        return Renewed(False, WORDS.say("renewal.empty"))
    for folder in bags.bag_folders(archive):
        if bags.check_bag(folder).problems:
            raise ArchiveError(WORDS.say("renewal.broken", bag=folder.name))
    before = evidence.kept(archive)
    written = evidence.document(archive, before[-1] if before else None, asking.now.isoformat())
    answer = asking.ask(written, HASH)
    if answer.stamped is None:
        return Renewed(False, WORDS.say("renewal.none"), answer.notes)
    made = evidence.read(written)
    folder = evidence.append(archive, made.number, written, stamp.to_file(answer.stamped.token))
    said = WORDS.say("renewal.done", number=made.number, n=len(made.leaves), folder=folder)
    return Renewed(True, said, (*answer.notes, ask_time.got(answer.stamped)))


def audit(archive: Path, authorities: stamp_chain.Authorities = ()) -> Iterator[Report]:
    """Check every evidence against the one before it, its time-stamp, and the bags as they are."""
    now = {leaf.bag: leaf for leaf in map(evidence.leaf_of, bags.bag_folders(archive))}
    before: evidence.Kept | None = None
    for one in evidence.kept(archive):
        yield _report(one, before, now, authorities)
        before = one


def advice(archive: Path) -> list[str]:
    """What to do next: bags that no evidence covers, and by when to renew."""
    kept = evidence.kept(archive)
    if not kept:
        return []
    try:
        last = evidence.read(kept[-1].document)
        stamped = _stamped(kept[-1])
    except (NotCanonicalError, StampError):
        return []
    known = {leaf.bag for leaf in last.leaves}
    free = [folder for folder in bags.bag_folders(archive) if folder.name not in known]
    said = [WORDS.say("renewal.audit.uncovered", n=len(free))] if free else []
    return [*said, WORDS.say("renewal.audit.until", date=_valid_until(stamped).isoformat())]


def _report(
    one: evidence.Kept,
    before: evidence.Kept | None,
    now: dict[str, evidence.Leaf],
    authorities: stamp_chain.Authorities,
) -> Report:
    try:
        found = evidence.read(one.document)
    except NotCanonicalError:
        return Report(one.number, problems=(WORDS.say("renewal.audit.form"),))
    problems = [*_chain_problems(one, found, before), *_bag_problems(found, now)]
    try:
        stamped = _stamped(one)
    except StampError as error:
        why = WORDS.say(f"stamp.code.{error.code}")
        return Report(one.number, problems=(*problems, WORDS.say("renewal.audit.stamp", why=why)))
    return Report(one.number, _said(found, stamped, authorities), tuple(problems))


def _chain_problems(
    one: evidence.Kept, found: evidence.Evidence, before: evidence.Kept | None
) -> Iterator[str]:
    if not one.number == found.number == (before.number + 1 if before else 1):
        yield WORDS.say("renewal.audit.number")
    if found.previous != (evidence.previous(before) if before else None):
        yield WORDS.say("renewal.audit.previous")
    if not _has_its_root(found):
        yield WORDS.say("renewal.audit.root")


def _has_its_root(found: evidence.Evidence) -> bool:
    names = [leaf.bag for leaf in found.leaves]
    try:
        return names == sorted(set(names)) and evidence.root_of(found.leaves) == found.root
    except ValueError:
        return False


def _bag_problems(found: evidence.Evidence, now: dict[str, evidence.Leaf]) -> Iterator[str]:
    for leaf in found.leaves:
        if leaf.bag not in now:
            yield WORDS.say("renewal.audit.bag_gone", bag=leaf.bag)
        elif now[leaf.bag] != leaf:
            yield WORDS.say("renewal.audit.bag_changed", bag=leaf.bag)


def _stamped(one: evidence.Kept) -> stamp.Stamped:
    return stamp.checked(stamp.read_file(one.stamp), one.document)


def _said(found: evidence.Evidence, stamped: stamp.Stamped, authorities: stamp_chain.Authorities) -> str:
    confirmed = stamp_chain.is_confirmed(stamped, authorities)
    return WORDS.say(
        "renewal.audit.whole",
        number=found.number,
        n=len(found.leaves),
        date=stamped.no_later.date().isoformat(),
        authority=stamped.authority,
        confirmed=WORDS.say("renewal.audit.confirmed") if confirmed else "",
    )


def _valid_until(stamped: stamp.Stamped) -> dt.date:
    return x509.load_der_x509_certificate(stamped.certificates[0]).not_valid_after_utc.date()
