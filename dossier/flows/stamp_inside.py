"""The flow of `dossier stamp --inside`: a time-stamp of today over a signed PDF, put into the PDF itself.

PAdES baseline B-LTA (ETSI EN 319 142-1 5.4.3); with it the certificates and revocation lists that a reader
of later years needs for what was signed before. The PDF must have been drawn with places for it. Not done
here: fetching lists of revoked certificates. Invariant: the old file is replaced by one that begins with all
of its bytes, or stays.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import secrets
import shutil
from collections.abc import Collection, Iterable, Iterator, Sequence
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding

from dossier import durable, ordinary
from dossier.container.put_time import fields_left, put_time
from dossier.container.read import read_dossier
from dossier.container.time_revisions import Kept
from dossier.errors import DossierError, OutputError, UsageError
from dossier.flows import ask_time
from dossier.flows import dossier_files as files
from dossier.flows.stamp_later import Done, refuse_in_bag
from dossier.flows.verifying import signers
from dossier.flows.verifying.given import Dossier
from dossier.flows.verifying.whole import check_dossier
from dossier.model.container import DossierFile
from dossier.seal import revocation, stamp_token
from dossier.seal.kept import MOST_LISTS, are_of_issuers
from dossier.seal.stamp_algorithms import Hashed
from dossier.seal.trust import NOBODY
from dossier.words import Catalogue

WORDS = Catalogue()
_PDF = b"%PDF-"
_TRIES = 3  # the first learns what the authority's certificates are; another may answer the second


class _NoneGivenError(Exception):
    """No server gave a time-stamp: a signal from the middle of the writing, never seen outside."""

    def __init__(self, answer: ask_time.Answer) -> None:
        super().__init__()
        self.answer = answer


class _NotKeptError(Exception):
    """The authority has certificates that the PDF would not keep: a signal likewise."""

    def __init__(self, certificates: tuple[bytes, ...]) -> None:
        super().__init__()
        self.certificates = certificates


def stamp_inside(path: Path, asking: ask_time.Asking, lists: Sequence[revocation.List] = ()) -> Done:
    """Put a time-stamp into the dossier's PDF at `path`, or in the folder `path`.

    `lists`: of revoked certificates, to keep beside it. Raises UsageError where there is no PDF, it does not
    check, has no place left, or a list is of nobody in it; OutputError where it cannot be written.
    """
    pdf = (
        path / files.DOSSIER if path.is_dir() else path
    ).resolve()  # a link stays, and leads to the new file
    refuse_in_bag(pdf)
    _refuse_no_pdf(pdf)
    with _alone(pdf):
        return _put_in(pdf, asking, lists)


@contextlib.contextmanager
def _alone(pdf: Path) -> Iterator[None]:
    """Of two at once, the one that ends later would undo what the other did to the file."""
    lock = pdf.with_name(f".{pdf.name}.stamp")
    try:
        lock.open("xb").close()
    except FileExistsError:
        hint = WORDS.say("stamp.inside.two_hint", lock=lock)
        raise UsageError(WORDS.say("stamp.inside.two", file=pdf), hint=hint) from None
    except OSError as error:
        raise _failed(pdf, error) from error
    try:
        yield
    finally:
        with contextlib.suppress(OSError):
            lock.unlink(missing_ok=True)


def _failed(pdf: Path, error: OSError) -> OutputError:
    why = error.strerror or error
    return OutputError(WORDS.say("output.failed", target=pdf, why=why), hint=WORDS.say("output.failed_hint"))


def _put_in(pdf: Path, asking: ask_time.Asking, lists: Sequence[revocation.List]) -> Done:
    dossier = _in_order(pdf, asking.now.date())
    if not fields_left(pdf):
        hint = WORDS.say("stamp.inside.no_place_hint")
        raise UsageError(WORDS.say("stamp.inside.no_place", file=pdf), hint=hint)
    signed = signers.certificates(dossier.file, dossier.bytes_of)
    _look_at_number(dossier, lists)
    kept = Kept(signed, tuple(one.public_bytes(Encoding.DER) for one in lists))
    for left in reversed(range(_TRIES)):  # what the authority's certificates are is known by its answer
        try:
            answer = _replaced(pdf, kept, asking, lists, signed, last=not left)
            break
        except _NoneGivenError as error:
            return Done(False, WORDS.say("stamp.inside.none", file=pdf), error.answer.notes)
        except _NotKeptError as error:
            kept = Kept(error.certificates, kept.lists)
    stamped = answer.stamped
    assert stamped is not None  # else there had been no file
    notes = [*answer.notes, *_lacking(kept, lists, asking.now)]
    return Done(True, WORDS.say("stamp.stamp.written", file=pdf, said=ask_time.got(stamped)), tuple(notes))


def _refuse_no_pdf(path: Path) -> None:
    """A record, a job or a folder without a PDF is nothing that fails a check."""
    begun = b""
    with contextlib.suppress(OSError):
        begun = ordinary.read(path, len(_PDF))
    if begun != _PDF:
        hint = WORDS.say("stamp.inside.no_pdf_hint")
        raise UsageError(WORDS.say("stamp.inside.no_pdf", file=path), hint=hint)


def _in_order(pdf: Path, today: dt.date) -> Dossier:
    """The dossier, when nothing about it fails to match and its pages are signed."""
    try:
        result = check_dossier(pdf, NOBODY, today, WORDS)
        dossier = Dossier(pdf, WORDS)
    except (DossierError, OSError) as error:
        hint = WORDS.say("stamp.stamp.not_in_order_hint", record=pdf)
        raise UsageError(WORDS.say("stamp.inside.not_in_order", file=pdf), hint=hint) from error
    if result.overall == "altered" or dossier.file.signature is None:
        hint = WORDS.say("stamp.stamp.not_in_order_hint", record=pdf)
        raise UsageError(WORDS.say("stamp.inside.not_in_order", file=pdf), hint=hint)
    return dossier


def _look_at_number(dossier: Dossier, lists: Sequence[revocation.List]) -> None:
    """No more than a check looks at, with those of the time-stamps before."""
    there = {one for stamped in dossier.file.time_stamps for one in stamped.lists}
    if len(there | {one.public_bytes(Encoding.DER) for one in lists}) > MOST_LISTS:
        hint = WORDS.say("stamp.inside.many_lists_hint")
        raise UsageError(WORDS.say("stamp.inside.many_lists", most=MOST_LISTS), hint=hint)


def _look_at_lists(lists: Iterable[revocation.List], signed: Collection[bytes]) -> None:
    """Each must be by the issuer of a certificate in the PDF, or it would be a stranger's bytes in there."""
    for one in lists:
        if not are_of_issuers([one.public_bytes(Encoding.DER)], signed):
            issuer = one.issuer.rfc4514_string()
            hint = WORDS.say("stamp.inside.other_list_hint")
            raise UsageError(WORDS.say("stamp.inside.other_list", issuer=issuer), hint=hint)


def _lacking(kept: Kept, lists: Iterable[revocation.List], now: dt.datetime) -> list[str]:
    """Issuers whose list of today is not kept: what other programs may miss for the long-term form."""
    current = {one.issuer for one in lists if one.next_update_utc is None or one.next_update_utc >= now}
    certificates = [x509.load_der_x509_certificate(one) for one in kept.certificates]
    issuers = {one.issuer for one in certificates if one.issuer != one.subject}
    return [
        WORDS.say("stamp.inside.list_lacking", issuer=name)
        for name in sorted(one.rfc4514_string() for one in issuers - current)
    ]


def _replaced(
    pdf: Path,
    kept: Kept,
    asking: ask_time.Asking,
    lists: Sequence[revocation.List],
    signed: Sequence[bytes],
    *,
    last: bool,
) -> ask_time.Answer:
    """The new file aside, then in place of the old. Raises _NoneGivenError; _NotKeptError unless `last`."""
    known = _kept_before(read_dossier(pdf)) | frozenset(kept.certificates)
    answers: list[ask_time.Answer] = []

    def ask(digest: bytes) -> bytes:
        answer = asking.ask(Hashed(digest))
        if answer.stamped is None:
            raise _NoneGivenError(answer)
        answers.append(answer)
        token = stamp_token.without(answer.stamped.token, known)
        inside = (*signed, *stamp_token.read(token).certificates)
        surplus = not set(kept.certificates) <= set(inside)  # of an authority that answered before this one
        if (surplus or token != answer.stamped.token) and not last:
            raise _NotKeptError((*signed, *answer.stamped.certificates))
        if surplus:
            raise _NoneGivenError(answer)
        _look_at_lists(lists, inside)
        return token

    aside = pdf.with_name(f".{pdf.name}.{secrets.token_hex(4)}.partial")
    try:
        put_time(pdf, aside, kept, ask)
        shutil.copymode(pdf, aside)
        durable.move(aside, pdf, replace=True)
        durable.done.append(pdf)
        durable.flush_folder(pdf.parent)
        return answers[0]
    except OSError as error:
        raise _failed(pdf, error) from error
    finally:
        with contextlib.suppress(OSError):
            aside.unlink(missing_ok=True)


def _kept_before(file: DossierFile) -> frozenset[bytes]:
    return frozenset(one for stamp in file.time_stamps for one in stamp.certificates)
