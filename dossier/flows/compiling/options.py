"""What a person asks of a compile besides the job itself, and which copy may have the original photographs.

An original carries where it was taken, the camera's number, notes of its maker and an older small picture.
So originals go with the workshop's copy; with the owner's where somebody asks for it and all of them were
cleared of that, or somebody who looked says that the owner may have it; and with no other.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Literal

import msgspec

from dossier.errors import UsageError
from dossier.intake.photo_clear import Carried, carried
from dossier.intake.photolist import photos_of
from dossier.model.job import Job
from dossier.model.words import CopyKind
from dossier.pages.options import Originals, Paper
from dossier.words import Catalogue

_NAMED = 3  # photographs in a message


class Options(msgspec.Struct, frozen=True, kw_only=True):
    """What the person asked for besides the job itself."""

    draft: bool = False
    copy: CopyKind = "workshop"
    others: tuple[CopyKind, ...] = ()  # copies made besides, from the same signing
    originals: Originals | Literal[""] = ""  # "" is beside the workshop's copy, and with no other
    cleared: bool = False  # what the originals carry may go to the owner
    paper: Paper | Literal[""] = ""  # "" is as workshop.toml says
    replace: bool = False

    def each(self) -> Iterator[Options]:
        """The same for each copy, the one that is asked for first."""
        for copy in dict.fromkeys((self.copy, *self.others)):
            yield msgspec.structs.replace(self, copy=copy, others=())

    @property
    def where(self) -> Originals:
        """Where the originals of this copy are."""
        return self.originals or ("beside" if self.copy == "workshop" else "none")


def check_originals(options: Options, job: Job, folder: Path, words: Catalogue) -> None:
    """Raises UsageError where originals of `folder` are asked for with a copy that may not have them."""
    if options.draft or options.where == "none" or options.copy == "workshop":
        return
    if options.copy != "owner":
        raise UsageError(
            words.say("compile.originals.not_theirs", copy=options.copy),
            hint=words.say("compile.originals.not_theirs_hint"),
        )
    if options.cleared:
        return
    home = photos_of(folder)
    looked = ((facts.file, carried(home / facts.file)) for facts in job.photo_facts)
    telling = [_said(file, kinds, words) for file, kinds in looked if kinds]
    if telling:
        named = ", ".join([*telling[:_NAMED], *["..."][: len(telling) - _NAMED]])
        raise UsageError(
            words.say("compile.originals.not_cleared", n=len(telling), files=named),
            hint=words.say("compile.originals.not_cleared_hint"),
        )


def _said(file: str, kinds: tuple[Carried, ...], words: Catalogue) -> str:
    return f"{file} ({', '.join(words.say(f'compile.originals.carries.{kind}') for kind in kinds)})"
