"""What a drawing of the pages is told besides the record: paper, language, code, fingerprint, time.

Everything on a page comes from the record, the pictures and these options, so that a check can draw the
same pages again. Nothing here is read from a clock, a file or the network.
"""

from __future__ import annotations

from datetime import datetime
from typing import Literal

import msgspec

Paper = Literal["A4", "Letter"]
Originals = Literal["beside", "inside", "none"]


class PageOptions(msgspec.Struct, frozen=True, kw_only=True):
    """`code_text` is what the printed code says ("" draws none); `fingerprint` the signing key's, as text."""

    paper: Paper = "A4"
    language: str = "en"
    draft: bool = False
    code_text: str = ""
    fingerprint: str = ""
    created: datetime
    originals: Originals = "beside"
    trial_key: bool = False
    time_places: int = 0  # invisible fields for time-stamps of later years
    by_holder: bool = False  # made of another copy without the workshop's key: the pages are not signed

    @property
    def signed(self) -> bool:
        """Whether the workshop's key signs the file."""
        return not (self.draft or self.by_holder)

    @property
    def notices(self) -> tuple[str, ...]:
        """What must be said on the pages: keys of the words."""
        due = (("draft", self.draft), ("trial", self.trial_key), ("holder", self.by_holder))
        return tuple(key for key, said in due if said)
