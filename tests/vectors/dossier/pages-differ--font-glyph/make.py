"""A glyph of an embedded font is drawn as another letter."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    found = bench.held()
    bench.swap_glyphs(found)
    return bench.write(found.whole())
