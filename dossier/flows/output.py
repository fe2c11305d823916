"""The output folder, made aside and renamed whole: a failed run leaves what was there before.

A folder is replaced only when it holds nothing but an earlier output of ours, a signed one only when asked.
"""

from __future__ import annotations

import contextlib
import os
import shutil
from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path

from dossier.durable import done, flush_folder, move
from dossier.errors import OutputError
from dossier.flows import bagged
from dossier.flows.dossier_files import IN_FOLDER, RECORD, is_system_file
from dossier.words import Catalogue

WORDS = Catalogue()
OLD, PARTIAL = ".old", ".partial"
A_DAY = 86_400  # seconds; no run takes as long


def default_output(folder: Path) -> Path:
    """Where a dossier goes when nobody says: beside the job folder."""
    home = folder.resolve()
    return home.parent / f"{home.name}-dossier"


def lies_in(path: Path, folder: Path) -> bool:
    """Whether a path is in a folder or is it: by name and by the disk, which may tell no case apart."""
    real, home = path.resolve(), folder.resolve()
    return real.is_relative_to(home) or any(_same(above, home) for above in (real, *real.parents))


def _same(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except OSError:  # not there yet
        return False


def check_target(target: Path, *, replace: bool) -> None:
    """Refuse early what could not be replaced at the end."""
    bagged.refuse(target)
    if _is_stood_in(target):
        raise OutputError(WORDS.say("output.stood_in", target=target), hint=WORDS.say("output.stood_in_hint"))
    _bring_back(target)
    if target.is_symlink():  # what is moved into its place would take the link's, and leave the folder behind
        raise OutputError(WORDS.say("output.link", target=target), hint=WORDS.say("output.link_hint"))
    if target.exists() and not target.is_dir():
        raise OutputError(
            WORDS.say("output.not_a_folder", target=target), hint=WORDS.say("output.strange_hint")
        )
    if not target.exists():
        return
    names = sorted(p.name for p in target.iterdir())
    strange = [name for name in names if name not in IN_FOLDER and not is_system_file(name)]
    if strange:
        raise OutputError(
            WORDS.say("output.strange", target=target, file=strange[0]), hint=WORDS.say("output.strange_hint")
        )
    if (target / RECORD).exists() and not replace:
        raise OutputError(WORDS.say("output.signed", target=target), hint=WORDS.say("output.signed_hint"))


@contextmanager
def output_folder(target: Path, *, replace: bool) -> Iterator[Path]:
    """A folder to fill beside `target`, which it replaces when the block ends without an error."""
    with output_folders([target], replace=replace) as (aside,):
        yield aside


@contextmanager
def output_folders(targets: Sequence[Path], *, replace: bool) -> Iterator[list[Path]]:
    """The same for several, each of which has one beside it: all are replaced, or none."""
    asides = {target.parent / f".{target.name}.{os.getpid()}{PARTIAL}": target for target in targets}
    try:
        for aside, target in asides.items():
            check_target(target, replace=replace)
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.rmtree(aside, ignore_errors=True)
            aside.mkdir()
            _clear_away(target, aside)
        yield list(asides)
        for aside, target in asides.items():
            check_target(target, replace=replace)
            _flush_folders(aside)
        _swap(asides)
    except OSError as error:
        raise _failed(asides, error) from error
    except OutputError as error:  # of a file in one, which is named as where it would have stood
        if not isinstance(error.__cause__, OSError):
            raise
        raise _failed(asides, error.__cause__) from error
    finally:
        for aside in asides:
            shutil.rmtree(aside, ignore_errors=True)


def _failed(asides: Mapping[Path, Path], error: OSError) -> OutputError:
    of = [target for aside, target in asides.items() if Path(str(error.filename)) in (aside, target)]
    target = next(iter(of or asides.values()))
    return OutputError(
        WORDS.say("output.failed", target=target, why=error.strerror or error),
        hint=WORDS.say("output.elsewhere_hint"),
    )


def _is_stood_in(target: Path) -> bool:
    """Windows moves no folder that is in use, and elsewhere a shell stays behind in one that is gone."""
    with contextlib.suppress(OSError):  # it is gone already
        return lies_in(Path.cwd(), target)
    return False


def _flush_folders(staging: Path) -> None:
    """The names of the files in `staging` and below, onto the disk."""
    for folder, _, _ in os.walk(staging):
        flush_folder(Path(folder))


def _bring_back(target: Path) -> None:
    """The earlier output, where a run was ended between the two renames of `_swap`."""
    if target.exists() or target.is_symlink() or not target.parent.is_dir():
        return
    for path in _aside(target, OLD):
        with contextlib.suppress(OSError):
            move(path, target)
        return


def _clear_away(target: Path, staging: Path) -> None:
    """What runs that were killed left aside, once it is a day older than `staging`, which was just made."""
    now = staging.stat().st_mtime
    for path in _aside(target, PARTIAL):
        with contextlib.suppress(OSError):
            if path.stat().st_mtime < now - A_DAY:
                shutil.rmtree(path, ignore_errors=True)


def _aside(target: Path, end: str) -> list[Path]:
    """The folders beside `target` that runs of ours made for it, named by their process numbers."""
    beginning = f".{target.name}."
    return sorted(  # once few are left: a folder of downloads holds thousands
        path
        for path in target.parent.iterdir()
        if path.name.startswith(beginning)
        and path.name.endswith(end)
        and path.name[len(beginning) : -len(end)].isdigit()
        and path.is_dir()
        and not path.is_symlink()
    )


def _swap(asides: Mapping[Path, Path]) -> None:
    """Put each in the place of its target; the old ones go last, and all come back if a rename fails."""
    olds = [target.parent / f".{target.name}.{os.getpid()}{OLD}" for target in asides.values()]
    with ExitStack() as back:
        for (aside, target), old in zip(asides.items(), olds, strict=True):
            if target.exists():
                move(target, old)
                back.callback(move, old, target)
            move(aside, target)
            back.callback(move, target, aside)
            flush_folder(target.parent)  # before the old one goes
        back.pop_all()
        done.extend(asides.values())
    for old in olds:
        shutil.rmtree(old, ignore_errors=True)
