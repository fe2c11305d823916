"""Embeddings, overrides and isolates: the directional status stack of UAX #9, rules X1 to X8.

Used by `bidi`, which gives it the controls of a paragraph in order. Invariant: no level above `MAX_DEPTH`.
"""

from __future__ import annotations

import msgspec

MAX_DEPTH = 125  # BD2


class Status(msgspec.Struct):
    level: int
    override: str = ""
    isolate: bool = False


class Explicit(msgspec.Struct):
    """The directional status stack of rules X1 to X8."""

    stack: list[Status]
    overflow_isolates: int = 0
    overflow_embeddings: int = 0
    valid_isolates: int = 0

    @property
    def top(self) -> Status:
        return self.stack[-1]

    def next_level(self, right_to_left: bool) -> int:
        level = self.top.level
        return (level + 1) | 1 if right_to_left else (level + 2) & ~1

    def embed(self, found: str) -> None:
        level = self.next_level(found in ("RLE", "RLO"))
        if level <= MAX_DEPTH and not self.overflow_isolates and not self.overflow_embeddings:
            self.stack.append(Status(level, {"RLO": "R", "LRO": "L"}.get(found, "")))
        elif not self.overflow_isolates:
            self.overflow_embeddings += 1

    def isolate(self, right_to_left: bool) -> None:
        level = self.next_level(right_to_left)
        if level <= MAX_DEPTH and not self.overflow_isolates and not self.overflow_embeddings:
            self.valid_isolates += 1
            self.stack.append(Status(level, isolate=True))
        else:
            self.overflow_isolates += 1

    def end_isolate(self) -> None:
        if self.overflow_isolates:
            self.overflow_isolates -= 1
        elif self.valid_isolates:
            self.overflow_embeddings = 0
            while not self.top.isolate:
                self.stack.pop()
            self.stack.pop()
            self.valid_isolates -= 1

    def end_embedding(self) -> None:
        if self.overflow_isolates:
            return
        if self.overflow_embeddings:
            self.overflow_embeddings -= 1
        elif not self.top.isolate and len(self.stack) > 1:
            self.stack.pop()
