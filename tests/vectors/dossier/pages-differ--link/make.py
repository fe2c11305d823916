"""A link leads to somebody else."""

from __future__ import annotations

from typing import Any

from dossier.container.values import Name


def make(bench: Any) -> Any:
    found = bench.held()
    link = found.objects[found.numbers("/Subtype", Name("/Link"))[0]][0]
    action = bench.followed(found, link[Name("/A")])
    action[Name("/URI")] = b"https://evil.example/r"
    return bench.write(found.whole())
