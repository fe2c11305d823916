"""`dossier keys recovery` and `dossier keys card`: the recovery key, and the workshop's key card."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING

import click

from dossier import ordinary
from dossier.cli import passphrases
from dossier.cli.clock import now, random_bytes
from dossier.cli.signing_keys import keys_of_paper, load_keys
from dossier.cli.spoken import Spoken, plain
from dossier.errors import UnreadableError, UsageError
from dossier.words import Catalogue

if TYPE_CHECKING:
    from dossier.model.statements import Person
    from dossier.seal.keycard import CardFile
    from dossier.seal.keys import WorkshopKey

WORDS = Spoken(days=True)
_PATH = click.Path(path_type=Path, dir_okay=False)


@click.command(
    "recovery", help=WORDS.say("cli.keys.recovery.help"), short_help=WORDS.say("cli.keys.recovery.short")
)
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False, allow_dash=True))
@click.option("--name", required=True, help=WORDS.say("cli.keys.card.name"))
def recovery_command(file: Path, name: str) -> int:
    from dossier.flows import bagged  # noqa: PLC0415 - start-up: only this command needs it
    from dossier.seal import keyfiles, recovery  # noqa: PLC0415 - start-up: only this command needs it

    if str(file) != "-":
        bagged.refuse(file)
    secret = random_bytes(recovery.SECRET_BYTES)
    fingerprint = recovery.fingerprint_of([key.public for key in recovery.keys_of(secret)])
    text = Catalogue().say(  # a paper, and its digits stand on several lines
        "keycard.recovery.text",
        name=plain(name),
        date=now().date().isoformat(),
        digits=recovery.to_digits(secret),
        fingerprint=fingerprint,
    )
    if str(file) == "-":
        click.echo(text)
    else:
        keyfiles.write_new(file, text.encode("utf-8"), keyfiles.PRIVATE_MODE)
        click.echo(WORDS.say("cli.keys.recovery.done", file=file))
    click.echo(WORDS.say("cli.keys.recovery.fingerprint", fingerprint=fingerprint), err=str(file) == "-")
    click.echo(WORDS.say("cli.keys.recovery.warning").strip(), err=True)
    return 0


@click.command("card", help=WORDS.say("cli.keys.card.help"), short_help=WORDS.say("cli.keys.card.short"))
@click.argument("file", type=_PATH)
@click.option("--from", "old_file", type=_PATH, help=WORDS.say("cli.keys.card.old"))
@click.option("--recovery", "paper", metavar="FILE|-", help=WORDS.say("cli.keys.card.recovery"))
@click.option("--new-recovery", "new_paper", metavar="FILE|-", help=WORDS.say("cli.keys.card.new_recovery"))
@click.option("--key", "key_files", type=_PATH, multiple=True, help=WORDS.say("cli.keys.card.key"))
@click.option("--since", default="", metavar="DAY", help=WORDS.say("cli.keys.card.since"))
@click.option("--name", default="", help=WORDS.say("cli.keys.card.name"))
@click.option("--address", default="", help=WORDS.say("cli.keys.card.address"))
@click.option("--telephone", default="", help=WORDS.say("cli.keys.card.telephone"))
@click.option("--page", default="", help=WORDS.say("cli.keys.card.page"))
@click.option("--retire", multiple=True, metavar="DIGITS[=DAY]", help=WORDS.say("cli.keys.card.retire"))
@click.option("--lost", multiple=True, metavar="DIGITS=DAY", help=WORDS.say("cli.keys.card.lost"))
@click.option(
    "--call-for",
    multiple=True,
    type=click.Choice(["ES256", "Ed25519", "ML-DSA-65"]),
    help=WORDS.say("cli.keys.card.call_for"),
)
@click.option("--person", multiple=True, metavar="MARK=NAME", help=WORDS.say("cli.keys.card.person"))
@click.option("--holder", multiple=True, metavar="MARK=DIGITS", help=WORDS.say("cli.keys.card.holder"))
@click.option("--close", default="", help=WORDS.say("cli.keys.card.close"))
@click.option("--days", type=int, default=730, show_default=True, help=WORDS.say("cli.keys.card.days"))
@passphrases.option
def card_command(
    file: Path,
    old_file: Path | None,
    paper: str | None,
    new_paper: str | None,
    key_files: tuple[Path, ...],
    since: str,
    name: str,
    address: str,
    telephone: str,
    page: str,
    retire: tuple[str, ...],
    lost: tuple[str, ...],
    call_for: tuple[str, ...],
    person: tuple[str, ...],
    holder: tuple[str, ...],
    close: str,
    days: int,
    passphrase_file: Path | None,
) -> int:
    from dossier.flows import bagged  # noqa: PLC0415 - start-up: only this command needs it
    from dossier.seal import card_change, keycard, publicfiles  # noqa: PLC0415 - start-up

    bagged.refuse(file)
    today = now().date()
    changes = card_change.Changes(
        name=name,
        address=address,
        telephone=telephone,
        verification_page=page,
        retired=dict(_named(one, today.isoformat()) for one in retire),
        lost=dict(_named(one, "") for one in lost),
        call_for=call_for,
        people=tuple(map(_person, person)),
        holders=_holders(holder),
        closed=close,
        since=_day(since) if since else "",
        days=days,
    )
    old = _old_card(old_file)
    recovery_keys = _recovery_keys(paper, old)
    new_recovery = keys_of_paper(new_paper, "ask_new_recovery")
    signers = load_keys(key_files, passphrase_file)
    try:
        if recovery_keys:
            data = card_change.next_card(old, changes, recovery_keys, signers, today, new_recovery)
        elif new_recovery:
            raise _usage("handover_needs_old")
        elif old:
            data = card_change.renewed(old, changes, signers, today)
        else:
            raise _usage("first_needs_recovery")
    except UnreadableError as error:
        raise _usage("made_broken", why=_why(error.code)) from None
    publicfiles.write_public(file, data)
    _say(file, keycard.read(data), today, lost=bool(lost))
    return 0


def show_card(file: Path) -> bool:
    """Whether `file` is a key card; if so, its number and fingerprint are shown."""
    from dossier.seal import keycard  # noqa: PLC0415 - start-up

    card = _old_card(file) if keycard.looks_like(_start(file)) else None
    if card is None:
        return False
    expires = card.expires(now().date()).isoformat()
    click.echo(WORDS.say("cli.keys.card.done", file=file, number=card.card.number, expires=expires))
    click.echo(WORDS.say("cli.keys.card.fingerprint", fingerprint=card.fingerprint))
    return True


def _start(file: Path) -> bytes:
    """The first bytes; none of a file that cannot be read, which is said where its key is read."""
    try:
        return ordinary.read(file, 64)
    except OSError:
        return b""


def _say(file: Path, card: CardFile, today: dt.date, *, lost: bool) -> None:
    expires = card.expires(today).isoformat()
    click.echo(WORDS.say("cli.keys.card.done", file=file, number=card.card.number, expires=expires))
    click.echo(WORDS.say("cli.keys.card.fingerprint", fingerprint=card.fingerprint))
    if card.handed and card.handed[-1].value.issued == today.isoformat():
        click.echo(WORDS.say("cli.keys.card.handed", before=card.handed[-1].before).strip(), err=True)
    if lost:
        click.echo(WORDS.say("cli.keys.card.lost_next").strip(), err=True)
    click.echo(WORDS.say("cli.keys.card.next"), err=True)


def _old_card(file: Path | None) -> CardFile | None:
    from dossier.seal import trust  # noqa: PLC0415 - start-up

    if file is None:
        return None
    cards = trust.from_file(file).cards
    if not cards:
        raise UsageError(WORDS.say("keycard.error.broken.text", file=file, why=_why("card-shape")))
    return cards[0]


def _recovery_keys(paper: str | None, old: CardFile | None) -> list[WorkshopKey]:
    """The two keys of the paper, none where none was named; they must be those of the card before."""
    from dossier.seal import recovery  # noqa: PLC0415 - start-up

    keys = keys_of_paper(paper, "ask_recovery")
    if keys and old and recovery.fingerprint_of([key.public for key in keys]) != old.fingerprint:
        raise _usage("other_recovery")
    return keys


def _named(given: str, usual: str) -> tuple[str, str]:
    """A fingerprint and a day, of "digits=day"."""
    from dossier.seal import trust  # noqa: PLC0415 - start-up

    digits, _, day = given.partition("=")
    (fingerprint,) = trust.from_fingerprint(digits).fingerprints
    return fingerprint, _day(day or usual)


def _day(given: str) -> str:
    try:
        return dt.date.fromisoformat(given.strip()).isoformat()
    except ValueError:
        raise _usage("day", given=given) from None


def _holders(given: tuple[str, ...]) -> dict[str, tuple[str, ...]]:
    """Staff marks by the fingerprint of the key they use."""
    from dossier.seal import trust  # noqa: PLC0415 - start-up

    holders: dict[str, tuple[str, ...]] = {}
    for one in given:
        mark, there, digits = one.partition("=")
        if not there or not mark.strip():
            raise _usage("holder", given=one)
        (fingerprint,) = trust.from_fingerprint(digits).fingerprints
        holders[fingerprint] = (*holders.get(fingerprint, ()), mark.strip())
    return holders


def _person(given: str) -> Person:
    from dossier.model.statements import Person  # noqa: PLC0415 - start-up

    mark, there, name = given.partition("=")
    if not there or not mark.strip():
        raise _usage("person", given=given)
    return Person(mark=mark.strip(), name=name.strip())


def _why(code: str) -> str:
    key = f"keycard.fault.{code}"
    return WORDS.say(key) if WORDS.has(key) else WORDS.say("keycard.fault.other", code=code)


def _usage(name: str, **values: object) -> UsageError:
    from dossier.seal.said import card_usage_error  # noqa: PLC0415 - start-up

    return card_usage_error(name, **values)
