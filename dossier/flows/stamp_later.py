"""The flow of `dossier stamp`: a time-stamp for a record that is finished already, laid beside it.

The record and the PDF are not touched, and a time-stamp that is there is never replaced: a later one would
prove less. Not done here: renewing time-stamps of an archive.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from dossier import durable
from dossier.errors import DossierError, OutputError, UsageError
from dossier.flows import ask_time, bagged
from dossier.flows.verifying import times
from dossier.flows.verifying.chain import sealed_in
from dossier.intake.desk import Desk
from dossier.intake.report import Report
from dossier.intake.workshop import read_workshop
from dossier.model.record import Sealed
from dossier.seal import record as seal
from dossier.seal import stamp
from dossier.words import Catalogue

WORDS = Catalogue()


class Done(NamedTuple):
    """What was done for one file: whether it has a time-stamp now, and what to tell the person."""

    stamped: bool
    message: str
    notes: tuple[str, ...] = ()


def stamp_one(path: Path, asking: ask_time.Asking) -> Done:
    """Lay a time-stamp beside the record, dossier or folder at `path`.

    Raises UsageError where there is no record that checks itself, OutputError where it cannot be written.
    """
    refuse_in_bag(path)
    target = times.place(path)
    if target.exists() or target.is_symlink() or times.inside(path):
        return Done(True, WORDS.say("stamp.stamp.there", file=target))
    sealed = _in_order(path)
    answer = asking.ask(seal.to_stamp(sealed))
    if answer.stamped is None:
        return Done(False, WORDS.say("stamp.stamp.none", record=path), answer.notes)
    _write(target, stamp.to_file(answer.stamped.token))
    said = ask_time.got(answer.stamped)
    return Done(True, WORDS.say("stamp.stamp.written", file=target, said=said), answer.notes)


def refuse_in_bag(path: Path) -> None:
    """What an archive keeps is not to be changed or added to; evidence of the archive does this for it."""
    if archive := bagged.archive_around(path):
        hint = WORDS.say("stamp.stamp.in_archive_hint", archive=archive)
        raise UsageError(WORDS.say("stamp.stamp.in_archive", file=path), hint=hint)


def servers(given: Sequence[str], path: Path) -> tuple[str, ...]:
    """The servers to ask: those given, else those near `path`. Raises UsageError where none can be asked."""
    if odd := next((one for one in given if not ask_time.is_address(one)), ""):
        raise UsageError(
            WORDS.say("stamp.stamp.no_address", server=odd, why=WORDS.say("stamp.why.address")),
            hint=WORDS.say("stamp.stamp.no_server_hint"),
        )
    named = tuple(given) or servers_near(path)
    if not named:
        raise UsageError(WORDS.say("stamp.stamp.no_server"), hint=WORDS.say("stamp.stamp.no_server_hint"))
    return named


def servers_near(path: Path) -> tuple[str, ...]:
    """The servers that the nearest workshop.toml names, in the folder of `path` or above."""
    report = Report()
    folder = path if path.is_dir() else path.parent
    return read_workshop(Desk(folder, report), report, {}).time_servers


def _in_order(path: Path) -> Sealed:
    """The record, whole, when its own checks 4 and 6 match."""
    try:
        sealed = sealed_in(path)
        checked = seal.check(sealed, WORDS) if sealed else None
    except (DossierError, OSError, ValueError):
        sealed = checked = None
    wrong = checked is None or any(answer.verdict == "does not match" for answer in checked.checks)
    if sealed is None or checked is None or wrong or not checked.kids:
        hint = WORDS.say("stamp.stamp.not_in_order_hint", record=path)
        raise UsageError(WORDS.say("stamp.stamp.not_in_order", record=path), hint=hint)
    return sealed


def _write(target: Path, content: bytes) -> None:
    try:
        durable.put(target, content)
    except OSError as error:
        raise OutputError(
            WORDS.say("output.failed", target=target, why=error.strerror or error),
            hint=WORDS.say("output.failed_hint"),
        ) from error
