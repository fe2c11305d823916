"""What a person asks of a compile besides the job itself, and which copy may have the original photographs.

An original carries where it was taken, the camera's number, notes of its maker and an older small picture.
So originals go with the workshop's copy; with the owner's where somebody asks for it and all of them were
cleared of that; and with no other.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from dossier.errors import UsageError
from dossier.model.job import Job, PhotoFacts
from dossier.model.words import CopyKind
from dossier.pages.options import Originals, Paper
from dossier.words import Catalogue

_NAMED = 3  # photographs in a message


class Options(msgspec.Struct, frozen=True, kw_only=True):
    """What the person asked for besides the job itself."""

    draft: bool = False
    copy: CopyKind = "workshop"
    originals: Originals | Literal[""] = ""  # "" is beside the workshop's copy, and with no other
    paper: Paper | Literal[""] = ""  # "" is as workshop.toml says
    replace: bool = False

    @property
    def where(self) -> Originals:
        """Where the originals of this copy are."""
        return self.originals or ("beside" if self.copy == "workshop" else "none")


def check_originals(options: Options, job: Job, words: Catalogue) -> None:
    """Raises UsageError where originals are asked for with a copy that may not have them."""
    if options.draft or options.where == "none" or options.copy == "workshop":
        return
    if options.copy != "owner":
        raise UsageError(
            words.say("compile.originals.not_theirs", copy=options.copy),
            hint=words.say("compile.originals.not_theirs_hint"),
        )
    telling = [facts.file for facts in job.photo_facts if not _cleared(facts)]
    if telling:
        named = ", ".join([*telling[:_NAMED], *["..."][: len(telling) - _NAMED]])
        raise UsageError(
            words.say("compile.originals.not_cleared", n=len(telling), files=named),
            hint=words.say("compile.originals.not_cleared_hint"),
        )


def _cleared(facts: PhotoFacts) -> bool:
    """When it was taken may stand there; a maker's notes and small picture come with a camera's name."""
    return not (facts.has_position or facts.body_digest or facts.camera or facts.software)
