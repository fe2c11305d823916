"""Values of the model as plain JSON members and back.

Written are all members except those that are empty ("", [], {}, null, false) and empty by default: "not
known" and counts are always said. `from_plain` ignores members it does not know, which are kept where the
bytes are kept. Invariant: `from_plain(type(value), to_plain(value)) == value`.
"""

from __future__ import annotations

from functools import cache
from typing import Any, TypeVar

import msgspec

T = TypeVar("T")


def to_plain(value: msgspec.Struct) -> dict[str, Any]:
    """`value` as dicts, lists, strings, integers and true; the argument is left alone."""
    plain: dict[str, Any] = {}
    for name, written, default in _members(type(value)):
        member = getattr(value, name)
        said = _plain(member)
        if not _empty(said) or member != default:
            plain[written] = said
    return plain


def from_plain(kind: type[T], plain: object) -> T:
    """The value of type `kind` that `plain` says. Raises ValueError naming the member that does not fit."""
    try:
        return msgspec.convert(plain, kind)
    except msgspec.ValidationError as error:
        raise ValueError(str(error)) from None


def _plain(value: Any) -> Any:
    if isinstance(value, msgspec.Struct):
        return to_plain(value)
    if isinstance(value, dict):
        return {key: _plain(member) for key, member in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return value


@cache
def _members(kind: type[msgspec.Struct]) -> tuple[tuple[str, str, Any], ...]:
    """Name, name as written and default (NODEFAULT where it is required) of each member."""
    fields = msgspec.structs.fields(kind)
    return tuple((field.name, field.encode_name, _default(field)) for field in fields)


def _default(field: msgspec.structs.FieldInfo) -> Any:
    if field.default_factory is not msgspec.NODEFAULT:
        return field.default_factory()
    return field.default


def _empty(value: Any) -> bool:
    return value is None or value is False or (isinstance(value, str | list | dict) and not value)
