"""The command line: one thin file a command. Only here are words coloured, the clock read, exit codes given.

Commands are imported when they are called, and flows inside them, so that `dossier --help` starts at once.
"""

from __future__ import annotations

import contextlib
import importlib
import io
import os
import sys
import warnings
from collections.abc import Sequence

import click

from dossier.cli import stopping
from dossier.cli.spoken import Spoken
from dossier.errors import DossierError
from dossier.words import speak

COMMANDS = (
    "new",
    "check",
    "photographs",
    "slip",
    "labels",
    "receipt",
    "estimate",
    "compile",
    "copy",
    "verify",
    "stamp",
    "declare",
    "acknowledge",
    "keys",
    "archive",
    "find",
)
NOBODY_READS = 141  # as a shell says of a program that a closed pipe ended
WORDS = Spoken()


class Commands(click.Group):
    """The commands, listed in the order a job meets them and imported one at a time."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"dossier.cli.{cmd_name}_command")
        command: click.Command = module.command
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """With the command that was probably meant, where there is no such."""
        typed = args[0] if args else ""
        if typed not in COMMANDS and (near := _near(typed)):
            raise click.UsageError(WORDS.say("cli.no_command", typed=typed, near=near), ctx)
        return super().resolve_command(ctx, args)


def _near(typed: str) -> str:
    import difflib  # noqa: PLC0415 - start-up: only where something is misspelt

    return next(iter(difflib.get_close_matches(typed, COMMANDS, n=1)), "")


@click.group(
    cls=Commands,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    help=WORDS.say("cli.help"),
)
@click.version_option(package_name="dossier", message="%(prog)s %(version)s")
def program() -> None:
    """Entry group; its help stands in the catalogue."""


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the program; every failure ends as one sentence, a hint and an exit code."""
    stopping.listen()
    # What is copied beside the drawing of pages waits for Python a tenth as long as by default
    sys.setswitchinterval(0.0005)
    # numpy's matrices here are small, and its threads wait for the next one by turning on the spot
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    if not sys.warnoptions:  # libraries' words to programmers, as on odd names in a stranger's certificate
        warnings.simplefilter("ignore")
    speak(_language())
    _say_what_can_be_said()
    try:
        code = program.main(args=arguments, prog_name="dossier", standalone_mode=False)
    except DossierError as error:
        _complain(error.message, _with_path(error, error.hint))
        code = error.exit_code
    except click.ClickException as error:
        error.show()
        code = 64
    except (click.Abort, KeyboardInterrupt):
        from dossier import durable  # noqa: PLC0415 - start-up: only where it was stopped

        there = [path for path in durable.done if path.exists()]  # what stood aside was taken away
        after = WORDS.say("cli.stopped_after", file=there[-1]) if there else ""
        _complain(after or WORDS.say("cli.stopped"), "")
        code = 130
    except SystemExit:  # click's own, when whoever was reading went away: no answer of ours
        code = NOBODY_READS
    except OSError as error:  # a folder that may not be read, a disk that went away
        hint = "" if error.filename else WORDS.say("cli.not_whole_hint")
        _complain(_of_system(error), _with_path(error, hint))
        code = 74
    except Exception as error:  # the last net: a person never sees a traceback
        if os.environ.get("DOSSIER_DEBUG"):
            raise
        code = _unexpected(error)
    sys.exit(code or 0)


def _unexpected(error: Exception) -> int:
    """The exit code, with what happened said; links in a circle are no OSError before Python 3.13."""
    _, circle, path = str(error).partition("Symlink loop from ")
    if circle:
        _complain(WORDS.say("cli.circle", path=path.strip("'")), "")
        return 74
    said = WORDS.say("cli.unexpected", kind=type(error).__name__, text=str(error))
    _complain(said, WORDS.say("cli.unexpected_hint"))
    return 70


def _of_system(error: OSError) -> str:
    """What failed, where the system names it; a full disk or a pipe behind the output has no name."""
    if error.filename:
        return f"{error.filename}: {error.strerror}"
    return WORDS.say("cli.not_whole", why=error.strerror or str(error))


def _language() -> str:
    """The language the shell is set to (POSIX: the first of these that is not empty counts)."""
    named = (os.environ.get(name, "") for name in ("LC_ALL", "LC_MESSAGES", "LANG"))
    return (next(filter(None, named), "") or _of_windows() or "en")[:2]


def _of_windows() -> str:
    """The language that Windows speaks to its user, which names none to programs otherwise."""
    if sys.platform != "win32":
        return ""
    import ctypes  # noqa: PLC0415 - only there
    import locale  # noqa: PLC0415 - only there

    return locale.windows_locale.get(ctypes.windll.kernel32.GetUserDefaultUILanguage(), "")


def _say_what_can_be_said() -> None:
    """A letter that the terminal or pipe cannot carry is shown by its number, never a reason to stop."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def _with_path(error: BaseException, hint: str) -> str:
    from dossier.cli import long_paths  # noqa: PLC0415 - start-up: only where something went wrong

    return long_paths.hint(error, hint)


def _complain(message: str, hint: str) -> None:
    from dossier.cli import show  # noqa: PLC0415 - start-up: only where something went wrong

    with contextlib.suppress(OSError):  # nobody can be told; the exit code still says it
        show.complaint(message, hint)
