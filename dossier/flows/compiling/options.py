"""What a person asks of a compile besides the job itself."""

from __future__ import annotations

from typing import Literal

import msgspec

from dossier.model.words import CopyKind
from dossier.pages.options import Originals, Paper


class Options(msgspec.Struct, frozen=True, kw_only=True):
    """What the person asked for besides the job itself."""

    draft: bool = False
    copy: CopyKind = "workshop"
    originals: Originals = "beside"
    paper: Paper | Literal[""] = ""  # "" is as workshop.toml says
    replace: bool = False
