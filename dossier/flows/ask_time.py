"""Asks the time-stamp servers that a workshop has named, one after the other: the only network there is.

Reached only where servers are named. What a server says is taken as hostile: bounded in size and time, no
redirects followed, checked before it is kept (`seal.stamp`). Invariant: a failure is a sentence, never an
error raised; who asks goes on without a time-stamp.
"""

from __future__ import annotations

import datetime as dt
import threading
from collections.abc import Callable, Sequence
from typing import NamedTuple

from dossier.seal import stamp
from dossier.seal.stamp_algorithms import Hashed
from dossier.seal.stamp_codes import StampError
from dossier.words import Catalogue

WORDS = Catalogue(days=True)
SECONDS = 15.0  # for one server, all in all
MOST_BYTES = 1 << 16
_TYPES = {"Content-Type": "application/timestamp-query", "Accept": "application/timestamp-reply"}

Fetch = Callable[[str, bytes], bytes]  # address and body -> the answer's body; raises FetchError


class FetchError(Exception):
    """Why there is no answer: a key of the words, and what fills it in."""

    def __init__(self, key: str, text: str = "") -> None:
        super().__init__(key)
        self.key = key
        self.text = text


class Answer(NamedTuple):
    """A time-stamp that was checked, or none; and what to tell the person."""

    stamped: stamp.Stamped | None
    notes: tuple[str, ...] = ()
    failed: int = 0  # how many servers gave none


class Asking(NamedTuple):
    """Whom to ask, and with what."""

    servers: Sequence[str]
    now: dt.datetime
    random: Callable[[int], bytes]
    fetch: Fetch

    def ask(self, data: bytes | Hashed, algorithm: str = "sha256") -> Answer:
        """A token over `data` from the first server that gives one that holds."""
        notes: list[str] = []
        for server in self.servers:
            try:
                return Answer(self._one(server, data, algorithm), tuple(notes), len(notes))
            except (FetchError, StampError) as error:
                notes.append(WORDS.say("stamp.asked.failed", server=server, why=_why(error)))
        return Answer(None, tuple(notes), len(notes))

    def _one(self, server: str, data: bytes | Hashed, algorithm: str) -> stamp.Stamped:
        nonce = self.random(stamp.NONCE_BYTES)
        answer = self.fetch(server, stamp.request(data, nonce, algorithm))
        return stamp.checked(stamp.received(answer, data, nonce, self.now), data)


def got(stamped: stamp.Stamped) -> str:
    """What a person is told of a time-stamp that was given."""
    return WORDS.say("stamp.asked.got", authority=stamped.authority, date=stamped.time.isoformat())


def _why(error: FetchError | StampError) -> str:
    if isinstance(error, FetchError):
        return WORDS.say(f"stamp.why.{error.key}", text=error.text, seconds=f"{SECONDS:g}")
    key = f"stamp.why.{error.code}"
    return WORDS.say(key if WORDS.has(key) else f"stamp.code.{error.code}", date=error.message)


def is_address(server: str) -> bool:
    """Whether this may be the address of a time-stamp server."""
    return server.startswith(("https://", "http://"))


def fetch(server: str, body: bytes) -> bytes:
    """The answer of a server to a request (RFC 3161 section 3.4), within bounds. Raises FetchError."""
    seconds = SECONDS
    if not is_address(server):
        raise FetchError("address")
    found: list[bytes | FetchError] = []
    # A time-out of the socket is one for each read; only a thread left behind bounds the whole.
    asking = threading.Thread(target=lambda: found.append(_tried(server, body, seconds)), daemon=True)
    asking.start()
    asking.join(seconds)
    if not found:
        raise FetchError("slow")
    if isinstance(found[0], FetchError):
        raise found[0]
    return found[0]


def _tried(server: str, body: bytes, seconds: float) -> bytes | FetchError:
    try:
        return _post(server, body, seconds)
    except FetchError as error:
        return error
    except TimeoutError:
        return FetchError("slow")
    except Exception as error:  # a thread has nobody to raise to: the library's many kinds are all "down"
        slow = isinstance(getattr(error, "reason", None), TimeoutError)
        return FetchError("slow") if slow else FetchError("down", str(getattr(error, "reason", error)))


def _post(server: str, body: bytes, seconds: float) -> bytes:
    import urllib.error  # noqa: PLC0415 - start-up: only where a server is named
    import urllib.request  # noqa: PLC0415 - start-up

    class Stay(urllib.request.HTTPRedirectHandler):
        """A server that was named answers itself, or not at all."""

        def redirect_request(self, *_: object) -> None:
            return None

    request = urllib.request.Request(server, data=body, headers=_TYPES, method="POST")
    try:
        with urllib.request.build_opener(Stay).open(request, timeout=seconds) as answer:
            data: bytes = answer.read(MOST_BYTES + 1)
    except urllib.error.HTTPError as error:
        raise FetchError("status", f"HTTP {error.code}") from error
    if len(data) > MOST_BYTES:
        raise FetchError("large")
    return data
