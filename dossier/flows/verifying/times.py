"""Check 9: the time-stamps at hand, over the record and the signature of the pages (FORMAT.md section 8).

One over an archive that the record lies in is a time-stamp of the record too. Not done here: asking for one
(`ask_time`), what a time means for a key (check 5). Invariant: only a time-stamp that holds, of an authority
the reader confirmed, whose certificates have not run out or which later evidence covers, gives a time that
others may rest on; of several that do, the earliest.
"""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Collection, Iterator, Sequence
from itertools import groupby
from pathlib import Path
from typing import NamedTuple

import msgspec

from dossier import ordinary
from dossier.archive import record_path
from dossier.archive.evidence import as_bytes
from dossier.container.read import read_dossier
from dossier.container.time_revisions import token as token_in
from dossier.errors import DossierError, NotCanonicalError
from dossier.flows import dossier_files as files
from dossier.flows.verifying import days
from dossier.model.container import DocumentTimeStamp
from dossier.model.record import Sealed
from dossier.model.result import Check
from dossier.seal import kept as seal_kept
from dossier.seal import record as seal
from dossier.seal import stamp, stamp_chain, stamp_codes, stamp_token
from dossier.seal.stamp_algorithms import Hashed
from dossier.seal.stamp_chain import Authorities
from dossier.seal.stamp_codes import StampError
from dossier.words import Catalogue


class Unopened(NamedTuple):
    """What lies here by the name of a time-stamp or of evidence, and is no file that could be opened."""

    name: str


File = bytes | Unopened | None
CLOCKS = dt.timedelta(minutes=5)  # by so much a workshop's clock may be fast
_OWN_NAMES = (files.RECORD, files.COMPACT, files.DOSSIER)


class Times(NamedTuple):
    """What the time-stamp over a record comes to."""

    answers: tuple[Check, ...] = ()
    stamped: dt.datetime | None = None  # proven, by an authority the reader confirmed
    certificates: frozenset[bytes] = frozenset()  # in the token
    record_stamp: bytes | None = None  # a `record.tsr` that came along, and that an archive's evidence covers

    def __or__(self, other: Times) -> Times:
        proven = [one for one in (self.stamped, other.stamped) if one]
        came = self.record_stamp or other.record_stamp
        return Times(self.answers + other.answers, min(proven, default=None), self.certificates, came)

    def covers(self, end: dt.datetime) -> bool:
        """Whether this evidence proves a time, and none after `end`, when a certificate ran out."""
        return self.stamped is not None and self.stamped <= end


_NO_TIMES = Times()


class _Reader(NamedTuple):
    """Who reads the result. `today`: None leaves aside whether a certificate has run out since."""

    authorities: Authorities
    words: Catalogue
    today: dt.date | None

    def says(self, stamped: stamp.Stamped, where: str, later: Times = _NO_TIMES) -> Check:
        """The answer of a time-stamp that holds. `later`: evidence that covers it, if there is any.

        Whoever has the key of a certificate that ran out is not known to guard it still (RFC 3161 section 4);
        what was stamped again before then needs it no more (RFC 4998 section 5).
        """
        end = stamp_chain.end(stamped, self.authorities)
        confirmed = stamp_chain.is_confirmed(stamped, self.authorities)
        code = stamp_codes.MATCHES if confirmed else stamp_codes.NOT_CONFIRMED
        if self.today and self.today > end.date() and not later.covers(end):
            code = stamp_codes.RAN_OUT
        if self.today and stamped.time.date() > self.today + days.ZONES:
            code = stamp_codes.AHEAD
        return stamp_codes.answer(
            code,
            self.words,
            [where],
            date=(stamped.time if code == stamp_codes.AHEAD else stamped.no_later).date().isoformat(),
            authority=_safe(stamped.authority, confirmed=code == stamp_codes.MATCHES),
            end=end.date().isoformat(),
        )


def beside(path: Path) -> File:
    """The `record.tsr` beside a record or dossier; of a file with another name, the `.tsr` of that name."""
    found = place(path)
    return None if found == path else _opened(found, stamp_token.MOST_BYTES)


def evidence_beside(path: Path) -> File:
    """The `record-evidence.json` beside a record, dossier or dossier folder that has its usual name."""
    found = (path if path.is_dir() else path.parent) / files.EVIDENCE
    named = path.is_dir() or path.name in _OWN_NAMES
    return _opened(found, record_path.MOST_BYTES) if named else None


def _opened(path: Path, most: int) -> File:
    """The bytes of a file, up to more than it may have; links are not followed."""
    if not os.path.lexists(path):
        return None
    if path.is_symlink():
        return Unopened(path.name)
    try:
        return ordinary.read(path, most + 1)
    except OSError:
        return Unopened(path.name)


def read_evidence(path: Path) -> bytes:
    """The bytes of a record's evidence, up to more than one may have. Raises OSError."""
    return ordinary.read(path, record_path.MOST_BYTES + 1)


def place(path: Path) -> Path:
    """Where the time-stamp of a record, dossier or dossier folder lies."""
    if path.is_dir():
        return path / files.STAMP
    return path.with_name(files.STAMP) if path.name in _OWN_NAMES else path.with_suffix(".tsr")


def inside(path: Path) -> bool:
    """Whether a dossier's PDF, alone or in its folder, carries a time-stamp of its record."""
    pdf = path / files.DOSSIER if path.is_dir() else path
    try:
        return read_dossier(pdf).attachment(files.STAMP) is not None
    except (DossierError, OSError):
        return False


def of_record(
    sealed: Sealed,
    file: File,
    authorities: Authorities,
    words: Catalogue,
    *,
    evidence: File = None,
    around: Times = _NO_TIMES,
    today: dt.date | None = None,
) -> Times:
    """What the bytes of a `record.tsr`, and of a record's evidence, prove of a record.

    The evidence carries the `record.tsr` that it covers: where another one is at hand, that is looked at too,
    and the evidence does nothing for it. `around`: what the time-stamps of the PDF around it prove.
    """
    reader = _Reader(authorities, words, today)
    archived = _of_evidence(sealed, evidence, reader)
    covered = archived.record_stamp
    if covered is None or file is None or file == covered:
        later = archived if covered is not None else _NO_TIMES
        file = covered if file is None else file
        return _of_stamp(sealed, file, reader, later | around) | archived
    own = _of_stamp(sealed, file, reader, around)
    where = words.say("stamp.where.covered")
    return own | _of_stamp(sealed, covered, reader, archived, where) | archived


def _of_evidence(sealed: Sealed, evidence: File, reader: _Reader) -> Times:
    """What the time-stamp over an archive proves of a record that lies in it (FORMAT.md section 18)."""
    if not isinstance(evidence, bytes):
        return _none_of(evidence, reader)
    words, where = reader.words, reader.words.say("stamp.where.evidence")
    try:
        found = record_path.read(evidence)
    except NotCanonicalError:
        return Times((stamp_codes.answer("evidence-shape", words, [where]),))
    covered = bytes.fromhex(found.record_stamp)
    if not record_path.leads(found, seal.to_archive(sealed, covered)):
        code = "time-stamp-of-whole" if _lacks_signatures(sealed) else "evidence-other"
        return Times((stamp_codes.answer(code, words, [where]),))
    times, told = _NO_TIMES, list[_Told]()
    for way in found.ways:  # a later one is over those before it
        place = where if way is found else words.say("stamp.where.earlier", n=way.evidence.number)
        this, authority = _of_way(way, covered, sealed, reader, times, place)
        times = this | times
        told = [_Told(one, authority, way.evidence.number) for one in this.answers] + told
    return times._replace(answers=tuple(_told_once(told, words)))


class _Told(NamedTuple):
    """What was found of one evidence of an archive."""

    answer: Check
    authority: str
    number: int


def _told_once(told: Sequence[_Told], words: Catalogue) -> Iterator[Check]:
    """Each answer once: what holds in a row of evidence by one authority, of the first of them."""
    for _, alike in groupby(told, lambda one: (one.answer.code, one.authority)):
        first, *others = alike
        span = {"first": first.number, "last": others[-1].number} if others else {}
        where = (words.say("stamp.where.span", **span),) if span else first.answer.where
        yield msgspec.structs.replace(first.answer, where=where)


def _of_way(
    way: record_path.Way, covered: bytes, sealed: Sealed, reader: _Reader, later: Times, where: str
) -> tuple[Times, str]:
    """One evidence of an archive, to which the record leads, and the authority that stamped it."""
    try:
        stamped = stamp.checked(stamp.read_file(bytes.fromhex(way.stamp)), as_bytes(way.evidence))
    except StampError as error:
        return Times((stamp_codes.answer(error.code, reader.words, [where]),)), ""
    times = _holding(stamped, reader.says(stamped, where, later), where, sealed, reader.words)
    return times._replace(record_stamp=covered or None), stamped.authority


def _of_stamp(sealed: Sealed, file: File, reader: _Reader, later: Times, where: str = files.STAMP) -> Times:
    """`later`: the evidence of which the file is a part."""
    if not isinstance(file, bytes):
        return _none_of(file, reader)
    try:
        stamped = stamp.checked(stamp.read_file(file), seal.to_stamp(sealed))
    except StampError as error:
        short = error.code == "time-stamp-other" and _lacks_signatures(sealed)
        code = "time-stamp-of-whole" if short else error.code
        return Times((stamp_codes.answer(code, reader.words, [where]),), certificates=_certificates(file))
    answer = reader.says(stamped, where, later)
    return _holding(stamped, answer, where, sealed, reader.words)


def _certificates(file: bytes) -> frozenset[bytes]:
    """Those in a time-stamp, whatever it comes to: one that is not checked names its issuers too."""
    try:
        return frozenset(stamp_token.read(stamp.read_file(file)).certificates)
    except StampError:
        return frozenset()


def _none_of(file: Unopened | None, reader: _Reader) -> Times:
    if file is None:
        return _NO_TIMES
    return Times((stamp_codes.answer(stamp_codes.NOT_READ, reader.words, [file.name]),))


def of_pages(
    token: bytes,
    signature: bytes,
    known: frozenset[bytes],
    authorities: Authorities,
    words: Catalogue,
    *,
    around: Times = _NO_TIMES,
    today: dt.date | None = None,
) -> list[Check]:
    """What the time-stamp inside the signature of the pages proves.

    Nothing signs the token's own certificates there, so the last of them must vouch for itself or be among
    `known`: those in the record's time-stamp inside, which the signature covers. `around`: what the later
    time-stamps of the PDF prove.
    """
    where = words.say("stamp.where.pages")
    try:
        if stamp_token.without(token, known) != token:
            raise StampError("time-stamp-shape")
        stamped = stamp.checked(token, signature)
    except StampError as error:
        return [stamp_codes.answer(error.code, words, [where])]
    return [_Reader(authorities, words, today).says(stamped, where, around)]


def of_document(
    sealed: Sealed,
    stamps: Sequence[tuple[DocumentTimeStamp, bytes]],
    authorities: Authorities,
    words: Catalogue,
    *,
    signers: Collection[bytes],
    today: dt.date | None = None,
) -> Times:
    """What the time-stamps prove that were put into a PDF later; each with the SHA-256 of what it is over.

    A later one is over those before it (ETSI EN 319 142-1 5.4.3). The last certificate of a token must vouch
    for itself or be among those that the PDF keeps up to there, which the time-stamp covers. `signers`: the
    certificates of all who signed in the PDF (`verifying.signers`), to whom all that is kept must belong.
    """
    reader, found = _Reader(authorities, words, today), _NO_TIMES
    for count in range(len(stamps), 0, -1):
        kept = frozenset(one for stamp, _ in stamps[:count] for one in stamp.certificates)
        one, digest = stamps[count - 1]
        found = _of_one(sealed, one.contents, digest, kept, reader, found, count) | found
    return _kept([stamp for stamp, _ in stamps], signers, words) | found


def _kept(stamps: Sequence[DocumentTimeStamp], others: Collection[bytes], words: Catalogue) -> Times:
    """Nothing where all that is kept beside them is of somebody who signed in the PDF."""
    lists = [der for one in stamps for der in one.lists]
    fault = seal_kept.fault(lists, [der for one in stamps for der in one.certificates], others)
    if not fault:
        return _NO_TIMES
    where = [words.say("stamp.where.document", n=len(stamps))]
    return Times((stamp_codes.answer(f"time-stamp-keeps-{fault}", words, where),))


def _of_one(
    sealed: Sealed,
    contents: bytes,
    digest: bytes,
    kept: frozenset[bytes],
    reader: _Reader,
    later: Times,
    count: int,
) -> Times:
    where = reader.words.say("stamp.where.document", n=count)
    try:
        token = token_in(contents)
        if stamp_token.without(token, kept) != token:
            raise StampError("time-stamp-shape")
        stamped = stamp.checked(token, Hashed(digest))
    except NotCanonicalError:
        return Times((stamp_codes.answer("time-stamp-shape", reader.words, [where]),))
    except StampError as error:
        return Times((stamp_codes.answer(error.code, reader.words, [where]),))
    return _holding(stamped, reader.says(stamped, where, later), where, sealed, reader.words)


def _holding(stamped: stamp.Stamped, answer: Check, where: str, sealed: Sealed, words: Catalogue) -> Times:
    answers = [answer]
    if (stamped.no_later + CLOCKS).timestamp() < _said_in(sealed).iat:
        date = stamped.time.isoformat()
        answers.append(stamp_codes.answer("time-stamp-before-signing", words, [where], date=date))
    certificates = frozenset(stamped.certificates)
    if answer.code != stamp_codes.MATCHES:
        return Times(tuple(answers), certificates=certificates)
    return Times(tuple(answers), stamped.no_later, certificates)


class _Workshop(msgspec.Struct, frozen=True):
    signatures: tuple[str, ...] = ()


class _Said(msgspec.Struct):
    """When the workshop says it signed, and how often; nothing where it does not say (check 6)."""

    iat: int = 0
    workshop: _Workshop = _Workshop()


def _said_in(sealed: Sealed) -> _Said:
    try:
        return msgspec.json.decode(sealed.payload, type=_Said)
    except msgspec.DecodeError:
        return _Said()


def _lacks_signatures(sealed: Sealed) -> bool:
    """As the compact form does, which holds one."""
    return len(sealed.signatures) < len(_said_in(sealed).workshop.signatures)


def _safe(name: str, *, confirmed: bool) -> str:
    """An authority's name: one line, and not long. Of one not confirmed anybody's words: in marks."""
    text = "".join(letter for letter in name if letter.isprintable())[:120]
    return text if confirmed else '"' + text.replace('"', "") + '"'
