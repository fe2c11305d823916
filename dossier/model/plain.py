"""Values of the model as plain JSON members and back.

Written are all members except the empty ones ("", [], {}, null, false): "not known" and counts are always
said. `from_plain` ignores members it does not know, which are kept where the bytes are kept.
"""

from __future__ import annotations

from typing import Any, TypeVar

import msgspec

T = TypeVar("T")


def to_plain(value: msgspec.Struct) -> dict[str, Any]:
    """`value` as dicts, lists, strings, integers and true; the argument is left alone."""
    plain: dict[str, Any] = _pruned(msgspec.to_builtins(value))
    return plain


def from_plain(kind: type[T], plain: object) -> T:
    """The value of type `kind` that `plain` says. Raises ValueError naming the member that does not fit."""
    try:
        return msgspec.convert(plain, kind)
    except msgspec.ValidationError as error:
        raise ValueError(str(error)) from None


def _pruned(value: Any) -> Any:
    if isinstance(value, dict):
        return {k: _pruned(v) for k, v in value.items() if not _empty(v)}
    if isinstance(value, list | tuple):
        return [_pruned(v) for v in value]
    return value


def _empty(value: Any) -> bool:
    return value is None or value is False or (isinstance(value, str | list | tuple | dict) and not value)
