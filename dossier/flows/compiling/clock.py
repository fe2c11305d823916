"""Time-stamps while a dossier is made: over the record, then over the signature of its pages.

Asked for only where workshop.toml names servers. Invariants: nothing here stops a compile, a missing
time-stamp is a sentence; a server that did not answer is not asked a second time.
"""

from __future__ import annotations

from dossier.flows import ask_time
from dossier.model.record import Sealed
from dossier.model.signature_slot import CONTENTS_BYTES
from dossier.seal import record as seal
from dossier.seal import stamp, stamp_token
from dossier.words import Catalogue

WORDS = Catalogue()
ROOM = (
    CONTENTS_BYTES - 2048
)  # for a token; the rest of a signature takes less than two KiB with its certificate


class Clock:
    """Asks for the time-stamps of one dossier and keeps what the person is to be told."""

    def __init__(self, asking: ask_time.Asking | None) -> None:
        self._asking = asking if asking and asking.servers else None
        self._known: frozenset[bytes] = frozenset()
        self._of_record: tuple[bytes, bytes] = (
            b"",
            b"",
        )  # what was stamped, and the file: of every copy the same
        self.notes: list[str] = []

    def over_record(self, sealed: Sealed) -> bytes:
        """The bytes of `record.tsr`, or nothing."""
        data = seal.to_stamp(sealed)
        if self._of_record[0] != data:
            self._of_record = (data, self._stamp(data))
        return self._of_record[1]

    def _stamp(self, data: bytes) -> bytes:
        stamped = self._ask(data, "record")
        if stamped is None:
            return b""
        self._known = frozenset(stamped.certificates)
        self.notes.append(ask_time.got(stamped))
        return stamp.to_file(stamped.token)

    def over_signature(self, value: bytes) -> bytes:
        """A token for the signature of the pages, or nothing."""
        stamped = self._ask(value, "pages")
        if stamped is None:
            return b""
        token = stamp_token.without(stamped.token, self._known)
        if len(token) > ROOM:
            self.notes.append(WORDS.say("stamp.asked.room", bytes=len(token)))
            return b""
        return token

    def _ask(self, data: bytes, what: str) -> stamp.Stamped | None:
        if self._asking is None:
            return None
        answer = self._asking.ask(data)
        self.notes += answer.notes
        if answer.stamped is None:
            said = WORDS.say(f"stamp.asked.what.{what}")
            self.notes.append(WORDS.say("stamp.asked.none", what=said))
        rest = tuple(self._asking.servers)[answer.failed :]
        self._asking = self._asking._replace(servers=rest) if rest else None
        return answer.stamped
