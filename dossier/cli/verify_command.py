"""`dossier verify`: check a dossier, a record, a folder or a code."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from dossier.cli import result_text, show
from dossier.cli.clock import now
from dossier.cli.spoken import Spoken, line
from dossier.errors import UsageError
from dossier.model.result import EXIT_CODES, Result
from dossier.words import LANGUAGES, Catalogue, speak

if TYPE_CHECKING:
    from dossier.flows.verify import Asked
    from dossier.seal.trust import Trust

WORDS = Spoken()
_WITHOUT_TIME = ("code", "statement", "key card")  # of these no time-stamp is asked


@click.command("verify", help=WORDS.say("cli.verify.help"), short_help=WORDS.say("cli.verify.short"))
@click.argument("files", nargs=-1, required=True, metavar="FILE...")
@click.option("--trust", multiple=True, metavar="FILE|DIGITS", help=WORDS.say("cli.verify.trust"))
@click.option("--crl", "lists", multiple=True, metavar="FILE", help=WORDS.say("cli.verify.crl"))
@click.option("--time-authority", multiple=True, metavar="FILE", help=WORDS.say("cli.verify.time_authority"))
@click.option("--evidence", metavar="FILE", help=WORDS.say("cli.verify.evidence"))
@click.option("--pages", is_flag=True, help=WORDS.say("cli.verify.pages"))
@click.option("--language", type=click.Choice(LANGUAGES), help=WORDS.say("cli.verify.language"))
@click.option("--json", "as_json", is_flag=True, help=WORDS.say("cli.json"))
def command(
    files: tuple[str, ...],
    trust: tuple[str, ...],
    lists: tuple[str, ...],
    time_authority: tuple[str, ...],
    evidence: str | None,
    pages: bool,
    language: str,
    as_json: bool,
) -> int:
    from dossier.flows.verify import Asked, with_at_hand, worst  # noqa: PLC0415 - start-up: only this command needs it

    speak(language or "")
    asked = Asked(
        today=now().date(),
        trust=_trust(trust) | _revoked(lists),
        draw_pages=pages,
        words=Catalogue(days=not as_json),
        authorities=_authorities(time_authority),
        evidence=_evidence(evidence, files),
        trusted=tuple(Path(one) for one in trust if one.strip() and Path(one).exists()),
    )
    if len(files) > 1:
        asked = with_at_hand(asked, [Path(file) for file in files if not _is_link(file)])
    results = [_check(file, asked) for file in files]
    if evidence is not None and results[0].kind in _WITHOUT_TIME:
        raise UsageError(WORDS.say("cli.verify.evidence_of_record", file=line(files[0])))
    if as_json:
        plain = [result_text.for_machines(result, WORDS) for result in results]
        show.machine(plain)
    else:
        for result in results:
            result_text.show(result, WORDS)
    return EXIT_CODES[worst(results)]


def _check(file: str, asked: Asked) -> Result:
    from dossier.flows.verify import verify, verify_code  # noqa: PLC0415 - start-up

    if _is_link(file):
        return verify_code(file, asked)
    return verify(Path(file), asked)


def _is_link(file: str) -> bool:
    """Whether this is a code's text: a link, or without a verification page what would follow it."""
    if file.startswith("#"):
        return not Path(file[:200]).exists()
    return file.startswith(("http://", "https://")) and "#" in file


def _authorities(given: tuple[str, ...]) -> tuple[bytes, ...]:
    """The certificates of time-stamp authorities that the reader named."""
    if not given:
        return ()
    from dossier.seal import stamp_chain  # noqa: PLC0415 - start-up

    return tuple(one for file in given for one in stamp_chain.from_file(Path(file)))


def _evidence(given: str | None, files: tuple[str, ...]) -> bytes | None:
    """The archive's evidence of the one record that is checked. Raises UsageError."""
    if given is None:
        return None
    from dossier.flows.verifying import times  # noqa: PLC0415 - start-up

    if len(files) > 1:
        raise UsageError(WORDS.say("cli.verify.evidence_of_one"))
    hint = WORDS.say("cli.verify.evidence_none_hint")
    try:
        data = times.read_evidence(Path(given))
    except OSError as error:
        raise UsageError(f"{given}: {error.strerror}", hint=hint) from None
    if not data.startswith(b"{") or b'"evidence"' not in data:  # another file than was meant
        raise UsageError(WORDS.say("cli.verify.evidence_none", file=line(given)), hint=hint)
    return data


def _revoked(given: tuple[str, ...]) -> Trust:
    """The lists of certificates that their authorities called back, which the reader named."""
    from dossier.seal import revocation, trust  # noqa: PLC0415 - start-up

    return trust.Trust(lists=tuple(one for file in given for one in revocation.from_file(Path(file))))


def _trust(given: tuple[str, ...]) -> Trust:
    """Trust in what the reader named: files of certificates or public keys, or fingerprints as typed."""
    from dossier.seal import trust  # noqa: PLC0415 - start-up

    whole = trust.NOBODY
    for one in given:
        path = Path(one)
        if one.strip() and path.exists():
            whole |= trust.from_file(path)
        elif one.strip()[:1].isdigit():
            whole |= trust.from_fingerprint(one)
        else:
            raise UsageError(
                WORDS.say("cli.verify.no_trust", given=line(one)),
                hint=WORDS.say("cli.verify.no_trust_hint"),
            )
    return whole
