"""The flow of a check: what was given is recognised, looked at in FORMAT.md's order, and answered.

Reads only, asks no network, and treats every file as hostile. What a check finds is data (`model.result`); an
exception never leaves here but for a file that cannot be opened at all. Needs nothing of the intake.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from functools import partial
from pathlib import Path

import msgspec

from dossier import ordinary
from dossier.archive import record_path
from dossier.container.said import unreadable
from dossier.errors import NotCanonicalError, PictureError, UnreadableError
from dossier.flows import bagged
from dossier.flows import dossier_files as files
from dossier.flows.dossier_near import dossiers_near, is_draft, pdfs_in
from dossier.flows.verifying import (
    chain,
    checks,
    codes_apart,
    days,
    earlier_said,
    lying_beside,
    saved_anew,
    signed_file,
    statements,
    times,
)
from dossier.flows.verifying.whole import check_dossier, evidence_seen
from dossier.model.record import Sealed
from dossier.model.result import Check, Overall, Result
from dossier.model.statements import RecordNamed
from dossier.seal import code as seal_code
from dossier.seal import record as seal
from dossier.seal.record import RecordCheck
from dossier.seal.stamp_chain import Authorities
from dossier.seal.trust import NOBODY, Trust
from dossier.words import Catalogue

_PDF = b"%PDF-"
_HEAD = 4096  # bytes looked at; viewers find the start of a PDF in the first 1,024
_PEM = re.compile(rb"\s*-----BEGIN (?:CERTIFICATE|PUBLIC KEY)-----")  # RFC 7468
_BOM = b"\xef\xbb\xbf"
_PICTURES = (b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"II*\0", b"MM\0*")


class Asked(msgspec.Struct, frozen=True, kw_only=True):
    """How to check: whom the reader trusts, which day it is, whether pages are always drawn again."""

    today: dt.date
    trust: Trust = NOBODY
    draw_pages: bool = False
    words: Catalogue = Catalogue()
    at_hand: chain.Records = {}  # other records the reader has, by digest
    signed: lying_beside.AtHand = lying_beside.NOTHING  # statements and key cards they have
    given: tuple[Path, ...] = ()  # all files that the reader named
    folders: tuple[Path, ...] = ()  # where the earlier records of a dossier folder lie
    left_out: tuple[str, ...] = ()  # what lies among them and was not looked at
    authorities: Authorities = ()  # of time-stamps, that the reader confirmed
    evidence: bytes | None = None  # of an archive that the record lies in, as the reader named it
    trusted: tuple[Path, ...] = ()  # the files that `trust` was read from

    @property
    def said(self) -> earlier_said.Said:
        return earlier_said.Said(self.signed, self.trust, self.today, self.given, self.folders, self.left_out)


def with_at_hand(asked: Asked, paths: Iterable[Path]) -> Asked:
    """The same, with the records and statements in these files at hand for one another."""
    files = list(paths)
    asked = _knowing(asked, lying_beside.at_hand(files))
    at_hand = chain.at_hand(files, asked.words)
    return msgspec.structs.replace(asked, at_hand=at_hand, given=tuple(files))


def _knowing(asked: Asked, found: lying_beside.AtHand) -> Asked:
    """The same, knowing these statements and key cards too."""
    signed = asked.signed | found
    return msgspec.structs.replace(asked, signed=signed, trust=asked.trust.at_hand(signed.cards))


def verify(path: Path, asked: Asked) -> Result:
    """Check whatever `path` is: a dossier, a record, a dossier folder, or a picture of a code.

    Of a folder also that the files beside the PDF are those inside it.
    """
    try:
        return _with_word_on_trust(_recognised(bagged.dossier_in(path), asked), path, asked)
    except UnreadableError as error:
        return _unreadable(path, error, asked)
    except OSError as error:
        return _unreadable(path, UnreadableError(error.strerror or "", code="no-file"), asked)


def _with_word_on_trust(result: Result, path: Path, asked: Asked) -> Result:
    """The same, with a word where a key is confirmed by what came along: that vouches for itself."""
    folder = (path if path.is_dir() else path.parent).resolve()
    near = {folder, bagged.dossier_in(folder)}
    names = [one.name for one in asked.trusted if _lies_in(one.resolve().parent, near)]
    if not names:
        return result
    word = asked.words.say("verify.trust_beside", files=", ".join(names))
    answers = [
        msgspec.structs.replace(one, where=(*one.where, word))
        if (one.check, one.verdict) == ("key status", "matches")
        else one
        for one in result.checks
    ]
    return msgspec.structs.replace(result, checks=tuple(answers))


def _lies_in(around: Path, folders: Collection[Path]) -> bool:
    return around in folders or (lying_beside.is_for_them(around) and around.parent in folders)


def verify_code(text: str, asked: Asked, source: str = "code") -> Result:
    """Check what a printed code says. Nothing else on the paper is looked at."""
    try:
        summary = seal_code.read(text)
    except UnreadableError as error:
        return _unreadable(Path(source), error, asked)
    named = RecordNamed(record=summary.record, sha256=summary.digest)
    record = chain.of_code(named, asked.at_hand)
    answers = [*seal_code.check(summary, asked.words, trust=asked.trust, record=record, today=asked.today)]
    held = not any(answer.code == "code-signature-wrong" for answer in answers)
    about = statements.Subject(named, (summary.public["kid"],) if held else ())
    answers += statements.answers(about, asked.signed, asked.trust, asked.today, asked.words)
    return checks.code_result(source, summary, answers, asked.words)


def _recognised(path: Path, asked: Asked) -> Result:
    if not path.is_dir() and not path.is_file():
        raise UnreadableError("", code="no-file")
    asked = _knowing(asked, lying_beside.beside(path))
    if path.is_dir():
        return _folder(path, asked)
    start = ordinary.read(path, _HEAD)
    if _PDF in start and not start.startswith(_PDF):  # a viewer shows the PDF, whatever stands before it
        raise unreadable("bytes-before")
    if signed := signed_file.of_file(path, asked.trust, asked.today, asked.words):
        return signed
    if _is_picture(start):
        return _picture(path, asked)
    if _PEM.match(start.removeprefix(_BOM)):
        raise UnreadableError("", code="certificate-alone")
    if start.removeprefix(_BOM)[:1] in (b"{", b"e"):  # JSON; base64url of '{"' begins with "ey"
        return _record(path, asked)
    if start.removeprefix(_BOM).startswith((b"http", b"#")) and len(start) < _HEAD:
        return verify_code(start.removeprefix(_BOM).decode("ascii", "replace").strip(), asked, str(path))
    return _pdf(path, asked)


def _pdf(path: Path, asked: Asked, beside: Path | None = None) -> Result:
    """A dossier, with its folder where that was given; or the record in one that was saved again."""
    try:
        return check_dossier(
            path,
            asked.trust,
            asked.today,
            asked.words,
            draw_pages=asked.draw_pages,
            beside=beside,
            at_hand=asked.at_hand,
            said=asked.said,
            authorities=asked.authorities,
            evidence=_evidence(beside or path, asked),
        )
    except UnreadableError as error:
        found = saved_anew.record_in(path) if error.code == "not-a-dossier" else None
        if found is None:
            raise
        return _of_record(path, "dossier", found, asked, partial(_saved_anew, path, found, asked, beside))


def _saved_anew(
    path: Path,
    found: saved_anew.SavedAnew,
    asked: Asked,
    beside: Path | None,
    checked: RecordCheck,
    words: Catalogue,
) -> Iterator[Check]:
    record = checked.record
    yield from saved_anew.answers(found, beside, record, words)
    if beside is not None:
        about = statements.subject_of(checked)
        seen = statements.looked_at(about, asked.signed, asked.trust, beside, words)
        seen |= evidence_seen(beside, _evidence(beside, asked))
        yield from saved_anew.in_folder(found, beside, record, seen, words)


def _evidence(path: Path, asked: Asked) -> times.File:
    """The archive's evidence of a record: the one that was named, else one that lies beside."""
    return times.evidence_beside(path) if asked.evidence is None else asked.evidence


def _is_picture(start: bytes) -> bool:
    return start.startswith(_PICTURES) or start[4:8] == b"ftyp"


def _record(path: Path, asked: Asked) -> Result:
    """A sealed record on its own, in either form."""
    try:
        sealed = read_record(path)
    except UnreadableError:
        if _is_evidence(path):
            raise UnreadableError("", code="evidence-alone") from None
        raise
    alone = saved_anew.SavedAnew(sealed, frozenset())
    return _of_record(path, "record", alone, asked, lambda _checked, _words: ())


def _of_record(
    path: Path,
    kind: str,
    found: saved_anew.SavedAnew,
    asked: Asked,
    besides: Callable[[RecordCheck, Catalogue], Iterable[Check]],
) -> Result:
    """The checks of a record, and what else is to be said of the file that it was found in.

    What is not in that file may lie beside it.
    """
    sealed = found.sealed
    time = times.of_record(
        sealed,
        found.stamp or times.beside(path),
        asked.authorities,
        asked.words,
        evidence=_evidence(path, asked),
        today=asked.today,
    )
    checked = seal.check(
        sealed,
        asked.words,
        trust=asked.trust,
        today=asked.today,
        stamped=time.stamped,
        certificates=found.certificates or lying_beside.certificates_beside(path),
    )
    payload = checked.record.payload if checked.record else None
    answers = [
        *besides(checked, asked.words),
        *_of_form(checked.checks, sealed, path, asked.words),
        *(time.answers or [checks.time_stamps(asked.words)]),
        *days.look(payload, time.stamped, asked.today, asked.words),
        *chain.chain(checked.record, asked.at_hand, asked.words, asked.said),
        *statements.answers(
            statements.subject_of(checked), asked.signed, asked.trust, asked.today, asked.words
        ),
    ]
    return checks.record_result(str(path), kind, answers, checked, asked.words)


def _of_form(found: Iterable[Check], sealed: Sealed, path: Path, words: Catalogue) -> Iterator[Check]:
    """The checks of a record; with a word where its form has no room for the signatures that are missing."""
    compact = len(sealed.signatures) == 1 and ordinary.read(path, 4).removeprefix(_BOM)[:1] == b"e"
    for one in found:
        missing = compact and one.code == "signature-missing"
        word = (words.say("verify.compact_form"),) if missing else ()
        yield msgspec.structs.replace(one, where=one.where + word)


def _is_evidence(path: Path) -> bool:
    """Whether a file is an archive's evidence, which is given together with the record it is of."""
    try:
        record_path.read(times.read_evidence(path))
    except NotCanonicalError:
        return False
    return True


def read_record(path: Path) -> Sealed:
    """The sealed record in a file, JSON or compact. Raises UnreadableError."""
    data = chain.bounded(path, files.MAX_RECORD)
    return seal.from_json(data) if data.removeprefix(_BOM)[:1] == b"{" else seal.from_compact(data)


def _folder(folder: Path, asked: Asked) -> Result:
    if not (folder / files.DOSSIER).is_file():
        raise UnreadableError("", code="no-dossier-here")
    earlier = chain.beside(folder)
    at_hand = chain.together(asked.at_hand, chain.at_hand(earlier, asked.words))
    inside = folder / chain.FOLDER
    own = (inside,) if inside.is_dir() and not inside.is_symlink() else ()
    folders = (*own, *(one for one in earlier if one.is_dir() and not lying_beside.is_for_them(one)))
    left_out = tuple(chain.left_out(folder))
    asked = msgspec.structs.replace(asked, at_hand=at_hand, folders=folders, left_out=left_out)
    result = _pdf(folder / files.DOSSIER, asked, folder)
    return msgspec.structs.replace(result, file=str(folder), kind="folder")


def _picture(path: Path, asked: Asked) -> Result:
    try:
        texts = codes_apart.read_codes(path)
    except PictureError as error:
        raise UnreadableError(error.message, code="picture") from error
    results = [verify_code(text, asked, str(path)) for text in texts if "#" in text]
    if not results:
        raise UnreadableError("", code="no-code-found" if not texts else "other-code")
    return _of_several(results, len(texts), asked.words)


def _of_several(results: Sequence[Result], codes: int, words: Catalogue) -> Result:
    """Of the codes in one picture the one that checks worst, with a word where there are others.

    Which of them a telephone opens is chance, and a good one says nothing of another beside it.
    """
    readable = [one for one in results if one.overall != "unreadable"] or results
    overall = worst(readable)
    found = max((one for one in readable if one.overall == overall), key=_not_matching)
    said = [words.say("verify.several_codes", n=len(readable))] if len(readable) > 1 else []
    if codes > len(readable):
        said.append(words.say("verify.other_codes", n=codes - len(readable)))
    first, *others = found.checks
    told = msgspec.structs.replace(first, where=(*first.where, *said))
    return msgspec.structs.replace(found, checks=(told, *others))


def _not_matching(result: Result) -> int:
    """How many answers are not as they should be: of two codes in order one may lead elsewhere."""
    return sum(check.verdict != "matches" for check in result.checks)


def _unreadable(path: Path, error: UnreadableError, asked: Asked) -> Result:
    result = checks.unreadable_result(str(path), error, asked.words)
    return _with_what_is_near(path, result, asked) if error.code == "no-dossier-here" else result


def _with_what_is_near(folder: Path, result: Result, asked: Asked) -> Result:
    """Of a folder without a dossier: that it is a draft, where the one lies that was probably meant, or which
    PDFs are in it, as a dossier may have been given another name.
    """
    (check,) = result.checks
    if is_draft(folder):
        said = msgspec.structs.replace(check, text=asked.words.say("verify.only_draft"))
    elif near := dossiers_near(folder):
        said = msgspec.structs.replace(check, text=asked.words.say("verify.dossier_near"), where=near)
    else:
        said = msgspec.structs.replace(check, where=pdfs_in(folder))
    return msgspec.structs.replace(result, checks=(said,))


def worst(results: Iterable[Result]) -> Overall:
    """The worst overall answer of several results."""
    order: tuple[Overall, ...] = ("unreadable", "altered", "superseded", "not confirmed", "in order")
    return min((r.overall for r in results), key=order.index, default="in order")
