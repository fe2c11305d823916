"""The flow of an archive's evidence: made over all bags and time-stamped, checked at an audit, handed out.

An old time-stamp holds as long as its hash and its authority's key do; the next one, over it and over all
bags, is made before they age out. What a holder is handed is of their record alone (`archive.record_path`).
Not done here: what evidence is (`archive.evidence`), re-hashing the bags' files.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

from cryptography import x509

from dossier import ordinary
from dossier.archive import bag_check, bags, evidence, leaves, record_path
from dossier.errors import ArchiveError, NotCanonicalError, UnreadableError, UsageError
from dossier.flows import ask_time
from dossier.flows import dossier_files as files
from dossier.seal import record as seal
from dossier.seal import stamp, stamp_chain, stamp_codes, stamp_token
from dossier.seal.stamp_codes import StampError
from dossier.words import Catalogue

WORDS = Catalogue(days=True)
_DOSSIER = Path("data", "dossier")  # in a bag
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
        if bag_check.check_bag(folder).problems:
            broken = WORDS.say("renewal.broken", bag=folder.name)
            raise ArchiveError(broken, hint=WORDS.say("renewal.broken_hint"))
        if not leaves.can_be_listed(folder.name):
            raise ArchiveError(WORDS.say("renewal.name", bag=ascii(folder.name)))
    before = evidence.kept(archive)
    listed = leaves.of_archive(archive, _record_of)
    written = evidence.document(listed, before[-1] if before else None, asking.now.isoformat())
    answer = asking.ask(written, HASH)
    if answer.stamped is None:
        return Renewed(False, WORDS.say("renewal.none"), answer.notes)
    made = evidence.read(written)
    token = stamp.to_file(answer.stamped.token)
    folder = evidence.append(archive, made.number, written, leaves.write(listed), token)
    said = WORDS.say("renewal.done", number=made.number, n=len({one.bag for one in listed}), folder=folder)
    damaged = _damaged(before, _sound(before))
    return Renewed(True, said, (*answer.notes, ask_time.got(answer.stamped), *damaged))


def audit(archive: Path, authorities: stamp_chain.Authorities = ()) -> Iterator[Report]:
    """Check every evidence against the one before it, its time-stamp, and the bags as they are."""
    kept = evidence.kept(archive)
    now = {leaf.name: leaf for bag in bags.bag_folders(archive) for leaf in _leaves_of(bag)} if kept else {}
    before: evidence.Kept | None = None
    for one in kept:
        yield _report(one, before, now, authorities)
        before = one


def _leaves_of(bag: Path) -> list[leaves.Leaf]:
    """None of a folder that is no bag, or no more: the audit of bags names it, and goes on."""
    try:
        return list(leaves.of_bag(bag, _record_of))
    except ArchiveError:
        return []


def for_holder(archive: Path, bag: str) -> tuple[bytes, tuple[str, ...]]:
    """`record-evidence.json` of the record in a bag, by all evidence of it that holds, and what to tell.

    Raises UsageError where there is no such bag or nothing covers it, ArchiveError where that is damaged.
    """
    everything = evidence.kept(archive)
    kept = _sound(everything)
    folder = next((one for one in bags.bag_folders(archive) if one.name == bag.strip("/\\")), None)
    if folder is None:
        raise UsageError(WORDS.say("renewal.no_bag", bag=bag), hint=WORDS.say("renewal.no_bag_hint"))
    try:
        made = record_path.make(kept, folder.name, _stamp_of(folder))
        leads = record_path.leads(record_path.read(made), _record_of(folder))
    except KeyError:
        raise UsageError(WORDS.say("renewal.not_covered", bag=bag)) from None
    except NotCanonicalError:
        leads = False
    if not leads:
        raise ArchiveError(WORDS.say("renewal.not_its_own", bag=bag))
    return made, _damaged(everything, kept)


def _sound(kept: list[evidence.Kept]) -> list[evidence.Kept]:
    """The newest evidence that is as it was, and those before it, back to one that is not.

    A damaged one proves nothing, and would make whatever it is handed out with read as changed.
    """
    found: list[evidence.Kept] = []
    for one in reversed(kept):
        over = evidence.read(found[0].document).previous if found else None
        if _is_whole(one) and (not found or over == evidence.previous(one.document, one.stamp)):
            found.insert(0, one)
        elif found:
            break
    return found


def _is_whole(one: evidence.Kept) -> bool:
    try:
        evidence.read_leaves(one)
        _stamped(one)
    except NotCanonicalError:
        return False
    except StampError as error:
        return error.code == stamp_codes.OTHER_WAY  # by an algorithm that is struck, say: it may be whole
    return True


def _damaged(kept: list[evidence.Kept], sound: list[evidence.Kept]) -> tuple[str, ...]:
    return (WORDS.say("renewal.damaged"),) if len(sound) < len(kept) else ()


def _record_of(bag: Path) -> bytes:
    """What the leaf of the record in a bag is over; nothing where the bag holds none that can be read."""
    try:
        sealed = seal.from_json(ordinary.whole(bag / _DOSSIER / files.RECORD, files.MAX_RECORD))
    except (OSError, UnreadableError, NotCanonicalError):
        return b""
    return seal.to_archive(sealed, _stamp_of(bag))


def _stamp_of(bag: Path) -> bytes:
    try:
        return ordinary.read(bag / _DOSSIER / files.STAMP, stamp_token.MOST_BYTES)
    except OSError:
        return b""


def advice(archive: Path) -> list[str]:
    """What to do next: bags that no evidence covers, and by when to renew; and what was renewed too late."""
    kept = evidence.kept(archive)
    if not kept:
        return []
    try:
        known = {leaf.bag for leaf in evidence.read_leaves(kept[-1])}
        stamped = [_stamped(one) for one in kept]
    except (NotCanonicalError, StampError):
        return []
    free = [folder for folder in bags.bag_folders(archive) if folder.name not in known]
    said = [WORDS.say("renewal.audit.uncovered", n=len(free))] if free else []
    until = WORDS.say("renewal.audit.until", date=_valid_until(stamped[-1]).isoformat())
    return [*_too_late(stamped), *said, until]


def _too_late(stamped: list[stamp.Stamped]) -> Iterator[str]:
    """Each evidence of which a certificate had run out when the next was made (RFC 4998 section 5)."""
    for number, (one, after) in enumerate(pairwise(stamped), 1):
        if after.no_later.date() > (end := _valid_until(one)):
            date = after.no_later.date().isoformat()
            yield WORDS.say("renewal.audit.too_late", number=number, end=end.isoformat(), date=date)


def _report(
    one: evidence.Kept,
    before: evidence.Kept | None,
    now: dict[str, leaves.Leaf],
    authorities: stamp_chain.Authorities,
) -> Report:
    try:
        found = evidence.read(one.document)
    except NotCanonicalError:
        return Report(one.number, problems=(WORDS.say("renewal.audit.form"),))
    listed = _listed(one)
    problems = [
        *_chain_problems(one, found, before, has_its_leaves=bool(listed)),
        *_bag_problems(listed, now),
    ]
    try:
        stamped = _stamped(one)
    except StampError as error:
        why = WORDS.say(f"stamp.code.{error.code}")
        return Report(one.number, problems=(*problems, WORDS.say("renewal.audit.stamp", why=why)))
    said = _said(found.number, len({leaf.bag for leaf in listed}), stamped, authorities)
    return Report(one.number, said, tuple(problems))


def _chain_problems(
    one: evidence.Kept, found: evidence.Evidence, before: evidence.Kept | None, *, has_its_leaves: bool
) -> Iterator[str]:
    if not one.number == found.number == (before.number + 1 if before else 1):
        yield WORDS.say("renewal.audit.number")
    if found.previous != (evidence.previous(before.document, before.stamp) if before else None):
        yield WORDS.say("renewal.audit.previous")
    if not has_its_leaves:
        yield WORDS.say("renewal.audit.root")


def _listed(one: evidence.Kept) -> list[leaves.Leaf]:
    """The leaves of an evidence, none where its list is not the one whose roots it has."""
    try:
        return evidence.read_leaves(one)
    except NotCanonicalError:
        return []


def _bag_problems(listed: list[leaves.Leaf], now: dict[str, leaves.Leaf]) -> Iterator[str]:
    gone = dict.fromkeys(leaf.bag for leaf in listed if leaf.bag not in now)
    changed = dict.fromkeys(leaf.bag for leaf in listed if now.get(leaf.name) != leaf)
    yield from (WORDS.say("renewal.audit.bag_gone", bag=bag) for bag in gone)
    yield from (WORDS.say("renewal.audit.bag_changed", bag=bag) for bag in changed if bag not in gone)


def _stamped(one: evidence.Kept) -> stamp.Stamped:
    return stamp.checked(stamp.read_file(one.stamp), one.document)


def _said(number: int, count: int, stamped: stamp.Stamped, authorities: stamp_chain.Authorities) -> str:
    confirmed = stamp_chain.is_confirmed(stamped, authorities)
    return WORDS.say(
        "renewal.audit.whole",
        number=number,
        n=count,
        date=stamped.no_later.date().isoformat(),
        authority=stamped.authority,
        confirmed=WORDS.say("renewal.audit.confirmed") if confirmed else "",
    )


def _valid_until(stamped: stamp.Stamped) -> dt.date:
    """When the first of its certificates runs out: an issuer's counts too (`stamp_chain.end`)."""
    some = map(x509.load_der_x509_certificate, stamped.certificates)
    return min(one.not_valid_after_utc for one in some).date()
