"""A copy by a holder, rightly drawn, but as if the originals were in it."""

from __future__ import annotations

from typing import Any
from unittest.mock import patch

import msgspec

from dossier.flows import holder_copy


def make(bench: Any) -> Any:
    honest = holder_copy._options

    def inside(*given: Any) -> Any:
        return msgspec.structs.replace(honest(*given), originals="inside")

    with patch.object(holder_copy, "_options", inside):
        return holder_copy.make_copy(bench.folder, bench.folder.parent / "held", "owner").pdf
