"""The result of a check as a person reads it, and as a machine does."""

from __future__ import annotations

import re
import shutil
import sys
import textwrap
import unicodedata
from typing import Any

import click
import msgspec

from dossier.cli.spoken import line
from dossier.model.result import EXIT_CODES, Check, Overall, Result, Verdict
from dossier.words import Catalogue

_COLOURS: dict[Overall, str] = {
    "in order": "green",
    "altered": "red",
    "not confirmed": "yellow",
    "superseded": "yellow",
    "unreadable": "red",
}
_CHECK_COLOURS: dict[Verdict, str | None] = {
    "matches": "green",
    "does not match": "red",
    "could not tell": "yellow",
    "not applicable": None,
}
# Said beside a key, whether it is confirmed or not.
_OF_NAMES = frozenset({"card-other-name", "certificate-other-name", "code-other-page"})
_GO_WITH_IT = frozenset(
    {
        "record-corrected",
        "earlier-record-corrected",
        "earlier-record-withdrawn",
        "earlier-object-reported-lost",
    }
)
_WIDTH = 100
_LEAST = 40
_INDENT = " " * 8
_LONGEST = 300  # letters of one thing that was said: a title may be a million, with all that matters above it
_BLANKS = re.compile("[ \u00a0\u115f\u1160\u2800\u3164\uffa0]{2,}")  # letters too that look like one
# What is never parted at the end of a line, in a script without spaces: stops, dates, words of letters.
_PIECE = re.compile(
    r"[「『（]*(?:(?:\d+[年月日])+|[^\s\u2e80-\uffff]+|.)[、。，．：；？！）」』]*", re.DOTALL
)


def show(result: Result, words: Catalogue) -> None:
    """Print one result: what it comes to, what was said, every check, and what no check can tell."""
    click.echo(words.say("result.title", file=_safe(result.file)))
    click.echo()
    _bold(_headline(result, words), _COLOURS[result.overall])
    if result.trial_key:
        _bold(words.say("result.trial"))
    if result.kind == "code":  # else whoever photographed a page reads of that what is said of its code
        _bold(words.say("result.code_only"))
    _corrected(result)
    click.echo()
    _said(result, words)
    _checks(result, words)
    _cannot_tell(result, words)


def _bold(text: str, colour: str | None = None) -> None:
    for row in _wrapped(text, _width() - 2):
        click.echo("  " + click.style(row, fg=colour, bold=True))


def _headline(result: Result, words: Catalogue) -> str:
    """What it comes to; where one answer alone is the reason and has words of its own for that, those."""
    if _good(result) and result.unsure:
        pages = ("pages against record", "could not tell")
        of_pages = any((check.check, check.verdict) == pages for check in result.checks)
        return words.say(f"verify.overall.unsure{'_pages' if of_pages else ''}")
    if _good(result) and result.trial_key:
        return words.say("result.trial_overall")
    later = [check for check in result.checks if check.check == "superseded or withdrawn"]
    key = [check for check in result.checks if check.check == "key status" and check.verdict != "matches"]
    key = [check for check in key if check.code not in _OF_NAMES]
    reasons = {
        "altered": [check for check in result.checks if check.verdict == "does not match"],
        "superseded": later,
        "not confirmed": key or [*later, *(c for c in result.checks if c.check == "earlier records")],
    }.get(result.overall, [])
    own = [said for check in reasons if words.has(said := f"keycard.overall.{check.code}")]
    against = [f"keycard.overall.{check.code}" for check in reasons if check.verdict == "does not match"]
    if own and set(against) <= {own[0]}:
        return words.say(own[0])
    return words.say(f"verify.overall.{result.overall}")


def _corrected(result: Result) -> None:
    """What was said later and goes with it: whoever reads the first lines alone would miss check 10 or 11."""
    for check in result.checks:
        if check.code in _GO_WITH_IT:
            text = _safe(f"{check.text[:1].upper()}{check.text[1:]} ({check.number})")
            for row in _wrapped(text, _width() - 2):
                click.echo("  " + click.style(row, bold=True))


def for_machines(result: Result, words: Catalogue) -> dict[str, Any]:
    """The result as JSON members, with check numbers, the exit code, and what no check can tell.

    Whoever passes a result on passes that on too; its codes are stable (FORMAT.md section 8).
    """
    plain: dict[str, Any] = msgspec.to_builtins(result)
    for check, shown in zip(result.checks, plain["checks"], strict=True):
        shown["number"] = check.number
    plain["exit_code"] = EXIT_CODES[result.overall]
    plain["said"] = [{"label": label, "text": text} for label, text in result.said]
    plain["cannot_tell"] = [{"code": code, "text": text} for code, text in _untold(result, words)]
    return plain


def _good(result: Result) -> bool:
    return result.overall in ("in order", "not confirmed")


def _said(result: Result, words: Catalogue) -> None:
    lines = [
        (words.say("result.object"), result.object),
        (words.say("result.workshop"), result.workshop),
        *result.said,
        (words.say("result.fingerprint"), result.fingerprint),
        (words.say("result.not_in_copy"), words.say("result.places.between").join(result.not_in_copy)),
    ]
    lines = [(label, text) for label, text in lines if text]
    width = max((_columns(label) for label, _ in lines), default=0)
    for label, text in lines:
        before = f"  {_padded(label, width)}  "
        room = max(_LEAST, _width() - len(before))
        if " " not in text and _columns(text) > room:  # a digest in two pieces is not compared, nor found
            click.echo(f"  {label}")
            before, room = _INDENT, _width() - len(_INDENT)
        for row in _wrapped(_safe(text), room):
            click.echo(before + row)
            before = " " * _columns(before)
    if lines:
        click.echo()


def _checks(result: Result, words: Catalogue) -> None:
    width = _width() - len(_INDENT)
    for check in result.checks:
        verdict = words.say(f"result.verdict.{check.verdict}")
        name = _name(check, result, words)
        mark = click.style(_padded(verdict, 15), fg=_CHECK_COLOURS[check.verdict])
        click.echo(f"  {check.number:>2}  {mark} {name} [{check.code}]")
        for row in _wrapped(_sentence(check, words), width):
            click.echo(_INDENT + row)
    click.echo()


def _width() -> int:
    """Columns of a line: a narrow terminal's own, so that nothing is broken a second time."""
    if not sys.stdout.isatty():
        return _WIDTH
    return max(_LEAST, min(_WIDTH, shutil.get_terminal_size().columns))


def _name(check: Check, result: Result, words: Catalogue) -> str:
    """What was looked at; check 4 is of the thing that was given, which need not be a record."""
    own = f"result.signature_of.{result.kind}"
    if check.check == "record signatures" and words.has(own):
        return words.say(own)
    return words.say(f"result.check.{check.check}")


def _sentence(check: Check, words: Catalogue) -> str:
    places = words.say("result.places.between").join(_safe(place) for place in check.where[:12])
    if not places:
        return check.text
    if len(check.where) > 12:
        places = words.say("result.places.more", places=places, n=len(check.where) - 12)
    return words.say("result.places.said", text=check.text, places=places)


def _columns(text: str) -> int:
    """Columns of a terminal that the text takes: letters of East Asian scripts take two (UAX 11)."""
    return sum(2 if unicodedata.east_asian_width(letter) in "WF" else 1 for letter in text)


def _padded(text: str, columns: int) -> str:
    return text + " " * max(0, columns - _columns(text))


def _wrapped(text: str, columns: int) -> list[str]:
    """The text in lines of at most so many columns; where a script has no spaces, between its letters."""
    if _columns(text) == len(text):
        return textwrap.wrap(text, columns, break_on_hyphens=False)
    lines = [""]
    found = _PIECE.findall(text)
    for piece in (one[i : i + columns] for one in found for i in range(0, len(one), columns)):
        if lines[-1] and _columns(lines[-1] + piece) > columns:
            lines.append("")
        lines[-1] += piece if lines[-1] else piece.lstrip()
    return [row.rstrip() for row in lines]


def _cannot_tell(result: Result, words: Catalogue) -> None:
    untold = _untold(result, words)
    if not untold:
        return
    click.echo("  " + words.say("result.cannot_tell"))
    for _, text in untold:
        first, *others = _wrapped(text, _width() - 4)
        click.echo("\n    ".join((f"  - {first}", *others)))
    click.echo()


def _untold(result: Result, words: Catalogue) -> list[tuple[str, str]]:
    """What no check of this kind of thing can tell, by code; nothing where no check could be made."""
    tables = {
        "code": "result.cannot_tell_code",
        "statement": "statements.cannot_tell",
        "key card": "keycard.cannot_tell",
    }
    if result.overall == "unreadable":
        return []
    return list(words.table(tables.get(result.kind, "result.cannot_tell_file")).items())


def _safe(text: str) -> str:
    """Signed words may be anybody's: nothing in them may move the cursor, hide a line or look like one."""
    plain = _BLANKS.sub(" ", line(text))
    return plain if len(plain) <= _LONGEST else f"{plain[:_LONGEST]} ..."
