"""The list that each attack puts itself into, and what several of them do to a forged file."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from dossier.container.values import Name

Attack = Callable[[Any], bytes]
ATTACKS: list[tuple[str, str, Attack]] = []


def attack(code: str) -> Callable[[Attack], Attack]:
    def keep(make: Attack) -> Attack:
        ATTACKS.append((code, make.__name__, make))
        return make

    return keep


def str_only(value: object) -> str:
    return value if isinstance(value, str) else "made"


def entries(**pairs: Any) -> dict[Name, Any]:
    return {Name("/" + key): value for key, value in pairs.items()}


def pages_of(forgery: Any) -> list[int]:
    return list(forgery.numbers("/Type", Name("/Page")))


def on_page(forgery: Any, annotation: dict[Name, Any], page: int = 1) -> None:
    ref = forgery.add({**entries(Type=Name("/Annot"), Rect=[0, 0, 600, 800]), **annotation})
    forgery.objects[pages_of(forgery)[page]][0].setdefault(Name("/Annots"), []).append(ref)
