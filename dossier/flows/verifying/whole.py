"""The check of a dossier's PDF, alone or in its folder: FORMAT.md's checks 1 to 11 in their order.

Each step is one named call. The file is hashed once for its signature and once for its attachments; pages are
drawn again where the signature does not speak for them, to say which page it is, or when asked.
"""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

from cryptography import x509

from dossier.errors import DossierError, UnreadableError
from dossier.flows import dossier_files as files
from dossier.flows.verifying import (
    chain,
    checks,
    days,
    earlier_said,
    folder,
    lying_beside,
    pages_against,
    photographs_beside,
    signers,
    statements,
    times,
)
from dossier.flows.verifying.given import Dossier
from dossier.model.container import AttachmentFound
from dossier.model.record import OpenRecord, Sealed
from dossier.model.result import Check, Result
from dossier.model.words import CopyKind
from dossier.seal import chains
from dossier.seal import pdf as seal_pdf
from dossier.seal import record as seal
from dossier.seal.record import RecordCheck
from dossier.seal.stamp_chain import Authorities
from dossier.seal.trust import Trust
from dossier.words import Catalogue

_NONE_AT_HAND: chain.Records = {}


def check_dossier(
    path: Path,
    trust: Trust,
    today: dt.date,
    words: Catalogue,
    *,
    draw_pages: bool = False,
    beside: Path | None = None,
    at_hand: chain.Records = _NONE_AT_HAND,
    said: earlier_said.Said | None = None,
    authorities: Authorities = (),
    evidence: times.File = None,
) -> Result:
    """Check the PDF at `path`, and the files of the folder `beside` against it where one is given.

    `at_hand`: other records, by digest, among which the earlier ones it names are looked for. `said`:
    statements about records, and receipts. `authorities`: of time-stamps, confirmed by the reader.
    `evidence`: of an archive that the record lies in.

    Raises UnreadableError where the file is no dossier's PDF at all.
    """
    dossier = Dossier(path, words)
    said = said or earlier_said.Said(lying_beside.NOTHING, trust, today)
    if not dossier.by_name and dossier.file.signature is None:  # pages alone, as of a draft
        raise UnreadableError("", code="not-a-dossier")
    answers = [*_container(dossier), *_attachments(dossier)]
    try:
        sealed = seal.from_json(dossier.bytes_of(files.RECORD))
    except UnreadableError as error:
        answers.append(checks.answer("record-unreadable", words, [files.RECORD], why=error.code))
        return _without_record(dossier, answers, today)
    put_in = times.of_document(
        sealed,
        dossier.time_stamps,
        authorities,
        words,
        signers=signers.certificates(dossier.file, dossier.bytes_of),
        today=today,
    )
    time = times.of_record(
        sealed,
        _time_stamp(dossier),
        authorities,
        words,
        evidence=evidence,
        around=put_in if files.STAMP in dossier.by_name else times.Times(),
        today=today,
    )
    stamped = (time | put_in).stamped
    checked = seal.check(
        sealed,
        words,
        trust=trust,
        copy=_copy_said(dossier, sealed),
        today=today,
        stamped=stamped,
        certificates=_certificates(dossier),
    )
    answers += _texts(dossier, sealed, checked)
    if checked.record is not None:
        answers += _manifest(dossier, checked.record, beside)
    answers += checked.checks
    signature = _pdf_signature(dossier, checked)
    answers.append(signature)
    drawn = draw_pages or (None if pages_against.others_may_sign(trust, checked) else False)
    answers += pages_against.look(dossier, checked, signature, draw=drawn)
    about = statements.subject_of(checked)
    if beside is not None:
        seen = statements.looked_at(about, said.signed, trust, beside, words)
        seen |= evidence_seen(beside, evidence)
        answers += folder.look(beside, dossier.by_name, partial(_is_inside, dossier), seen, words)
    answers += _time(dossier, time, put_in, signature, authorities, today)
    payload = checked.record.payload if checked.record else None
    answers += days.look(payload, stamped, today, words)
    answers += chain.chain(checked.record, at_hand, words, said)
    answers += statements.answers(about, said.signed, trust, today, words)
    return checks.record_result(str(path), "dossier", answers, checked, words)


def _without_record(dossier: Dossier, answers: list[Check], today: dt.date) -> Result:
    """A dossier whose record cannot be read still gets every other answer that can be given."""
    answers.append(seal_pdf.check_pdf_signature(dossier.file.signature, dossier.signed_digest, []))
    answers.append(checks.time_stamps(dossier.words))
    answers += chain.chain(None, _NONE_AT_HAND, dossier.words)
    answers.append(checks.no_correction_known(dossier.words, today))
    nothing = RecordCheck(checks=(), record=None)
    return checks.record_result(str(dossier.path), "dossier", answers, nothing, dossier.words)


def _time_stamp(dossier: Dossier) -> times.File:
    """The record's time-stamp: the one inside, else one that was laid beside later."""
    if files.STAMP not in dossier.by_name:
        return times.beside(dossier.path)
    return dossier.bytes_of(files.STAMP)


def _time(
    dossier: Dossier,
    time: times.Times,
    put_in: times.Times,
    signature: Check,
    authorities: Authorities,
    today: dt.date,
) -> list[Check]:
    """Check 9: what the time-stamps prove, of the record, of the pages' signature that holds, of the PDF."""
    answers = [*time.answers]
    inside = seal_pdf.time_stamp(dossier.file.signature) if signature.verdict == "matches" else None
    if inside is not None:
        known = time.certificates if files.STAMP in dossier.by_name else frozenset()
        answers += times.of_pages(*inside, known, authorities, dossier.words, around=put_in, today=today)
    answers += put_in.answers
    return answers or [checks.time_stamps(dossier.words)]


def _container(dossier: Dossier) -> Iterator[Check]:
    """Check 1: the file is laid out as the format says and nothing was added after signing."""
    for found in dossier.file.findings:
        where = list(found.where)
        if found.code == "later-revision":
            where += _changed_later(dossier)
        yield Check(
            check="container", verdict="does not match", code=found.code, text=found.text, where=tuple(where)
        )
    if not dossier.file.findings:
        later = len(dossier.file.time_stamps)
        code = "container-time-stamped" if later else "container-as-written"
        yield checks.answer(code, dossier.words, n=later)


def _changed_later(dossier: Dossier) -> Iterator[str]:
    """What the later bytes define anew of what was signed: as it opens, the file shows theirs."""
    yield from (dossier.words.say(f"verify.list_of.{name}") for name in dossier.file.changed_lists)
    yield from dossier.file.changed_names
    yield from (dossier.words.say("verify.page", n=n) for n in dossier.file.changed_pages)
    if not dossier.file.changes_certain:
        yield dossier.words.say("verify.changes_unclear")


def _attachments(dossier: Dossier) -> Iterator[Check]:
    """Check 2, first half: every attachment is there, of its kind, and nothing else is."""
    names = set(dossier.by_name)
    photographs = {a.name for a in dossier.photographs()}
    missing = sorted(set(files.ATTACHED) - files.OPTIONAL - names)
    surplus = sorted(names - set(files.ATTACHED) - photographs)
    wrong = sorted(name for name in names - set(surplus) if not _is_of_its_kind(dossier.by_name[name]))
    for code, where in (
        ("attachment-missing", missing),
        ("attachment-surplus", surplus),
        ("attachment-kind", wrong),
    ):
        if where:
            yield checks.answer(code, dossier.words, where)
    if not (missing or surplus or wrong):
        yield checks.answer("attachments-complete", dossier.words)


def _is_of_its_kind(found: AttachmentFound) -> bool:
    kind = files.ATTACHED.get(found.name)
    if kind is None:
        return found.relationship == files.PHOTOGRAPH_RELATIONSHIP
    return (found.relationship, found.media_type) == (kind.relationship, kind.media_type)


def _texts(dossier: Dossier, sealed: Sealed, checked: RecordCheck) -> Iterator[Check]:
    """Check 2, second half: the small files say the same as the record."""
    tests: dict[str, tuple[str, Callable[[bytes], bool]]] = {
        "record-forms-differ": (files.COMPACT, lambda d: seal.to_compact(sealed) == d),
        "certificate-differs": (files.CERTIFICATE, lambda d: _is_certificate_of(d, checked)),
        "code-differs": (
            files.PAGES,
            lambda d: checks.is_code_of(files.drawn_from(d).code, checked.record, dossier.words),
        ),
    }
    for code, (name, holds) in tests.items():
        if name in dossier.by_name and not _tried(holds, dossier, name):
            yield checks.answer(code, dossier.words, [name])


def _tried(holds: Callable[[bytes], bool], dossier: Dossier, name: str) -> bool:
    """Whether the attachment passes; one that cannot be read does not."""
    try:
        return holds(dossier.bytes_of(name))
    except (DossierError, ValueError):
        return False


def _certificates(dossier: Dossier) -> list[x509.Certificate]:
    """The certificate of a signing key with those it leads on to; none where the file has none."""
    try:
        return chains.load_all(dossier.bytes_of(files.CERTIFICATE))
    except UnreadableError:
        return []


def _is_certificate_of(data: bytes, checked: RecordCheck) -> bool:
    """Whether the certificate is of a key whose signature on the record holds, and is as it was signed."""
    found = chains.load_all(data)
    return bool(found) and chains.kid_of(found[0]) in checked.kids and chains.are_whole(data, found)


def _manifest(dossier: Dossier, record: OpenRecord, beside: Path | None) -> Iterator[Check]:
    """Check 3: the list of photographs, and every photograph that is at hand."""
    words = dossier.words
    photographs = [p for p in record.payload.photographs if p.name in record.photo_details]
    expected = {p.name: p.sha256 for p in photographs}
    if files.MANIFEST in dossier.by_name:
        same = dossier.bytes_of(files.MANIFEST) == files.manifest(record)
        yield checks.answer("manifest-matches" if same else "manifest-differs", words)
    kinds = {p.name: p.media_type for p in record.payload.photographs}
    if other := [a.name for a in dossier.photographs() if kinds.get(a.name, a.media_type) != a.media_type]:
        yield checks.answer("attachment-kind", words, other)
    inside: dict[str, str | None] = dict(dossier.digests)
    lying: dict[str, str | None] = {}
    if beside is not None:  # also where they are inside: whoever opens the folder sees those that lie there
        sizes = {p.name: p.bytes for p in photographs}
        lying = photographs_beside.digests(beside / files.PHOTOGRAPHS, sizes)
    at_hand = inside | lying
    drawn = dossier.drawn()
    said_inside = drawn is not None and drawn.originals == "inside"  # the pages then say so too
    if expected and not at_hand and not said_inside:
        folder_there = dossier.path.parent / files.PHOTOGRAPHS
        there = beside is None and os.path.isdir(folder_there)  # noqa: PTH112 - False where not allowed
        word = [words.say("verify.photographs_beside", folder=files.PHOTOGRAPHS)] if there else []
        yield checks.answer("photographs-not-here", words, word, n=len(expected))
        return
    places = {
        "photograph-differs": list(
            dict.fromkeys(
                photographs_beside.named(n, d, words)
                for n, d in (*inside.items(), *lying.items())
                if d is not None and expected.get(n, d) != d
            )
        ),
        "photograph-surplus": list(checks.surplus(at_hand, expected, words)),
        "photograph-missing": [n for n in expected if n not in at_hand],
        "photograph-unreadable": [n for n in expected if lying.get(n, "") is None],
    }
    for code, where in places.items():
        if where:
            yield checks.answer(code, words, sorted(where))
    if expected and not any(places.values()):
        yield checks.answer("photographs-match", words, n=len(expected))


def _pdf_signature(dossier: Dossier, checked: RecordCheck) -> Check:
    """Check 8: the signature over the whole file, by a key that signed the record."""
    if dossier.file.signature is None and dossier.is_by_holder:
        return checks.answer("pages-by-holder", dossier.words)
    payload = checked.record.payload if checked.record else None
    held = [key for key in (payload.workshop.keys if payload else ()) if key.get("kid") in checked.kids]
    more = {"byte-range", "later-revision", "bytes-after-end"}  # time-stamps put in later are none of these
    of_all = all(found.code not in more for found in dossier.file.findings)
    return seal_pdf.check_pdf_signature(dossier.file.signature, dossier.signed_digest, held, of_all=of_all)


def _is_inside(dossier: Dossier, path: Path, name: str) -> bool | None:
    return folder.holds(path, dossier.bytes_of(name))


def evidence_seen(beside: Path, evidence: times.File) -> frozenset[str]:
    """The name of the archive's evidence in a folder, where it is what was looked at."""
    there = isinstance(evidence, times.Unopened) or folder.has(beside, files.EVIDENCE, evidence or b"")
    return frozenset({files.EVIDENCE} if evidence is not None and there else ())


def _copy_said(dossier: Dossier, sealed: Sealed) -> CopyKind:
    """Which copy this is: what `pages.json` says where the record can be that, else the barest it can be."""
    try:
        possible = seal.copies_like(sealed)
    except UnreadableError:
        return "workshop"
    drawn = dossier.drawn()
    if drawn is None:
        return possible[0] if possible else "workshop"
    return drawn.copy if drawn.copy in possible or not possible else possible[0]
