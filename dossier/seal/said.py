"""The words of this room: errors with their hints, and the sentence that belongs to a code of a check."""

from __future__ import annotations

from dossier.errors import KeyFileError, OutputError, UnreadableError, UsageError
from dossier.words import Catalogue

ENGLISH = Catalogue()  # errors come before any record has said its language


def key_error(name: str, **values: object) -> KeyFileError:
    """The KeyFileError `seal.keys.<name>`, with its hint."""
    text, hint = _text(f"seal.keys.{name}", values)
    return KeyFileError(text, hint=hint)


def usage_error(name: str, **values: object) -> UsageError:
    """The UsageError `seal.usage.<name>`, with its hint."""
    text, hint = _text(f"seal.usage.{name}", values)
    return UsageError(text, hint=hint)


def output_error(name: str, **values: object) -> OutputError:
    """The OutputError `seal.keys.<name>`, with its hint."""
    text, hint = _text(f"seal.keys.{name}", values)
    return OutputError(text, hint=hint)


def card_error(code: str, *, file: object = "") -> KeyFileError:
    """The KeyFileError of a key card that cannot be used, with what it lacks."""
    key = f"keycard.fault.{code}"
    why = ENGLISH.say(key) if ENGLISH.has(key) else ENGLISH.say("keycard.fault.other", code=code)
    name = "broken" if file else "contradict"
    text = ENGLISH.say(f"keycard.error.{name}.text", file=file, why=why)
    return KeyFileError(text, hint=ENGLISH.say(f"keycard.error.{name}.hint"))


def card_usage_error(name: str, **values: object) -> UsageError:
    """The UsageError `keycard.usage.<name>`, with its hint."""
    text, hint = _text(f"keycard.usage.{name}", values)
    return UsageError(text, hint=hint)


def unreadable(code: str, **values: object) -> UnreadableError:
    """The UnreadableError of a stable code, in the words of `seal.code.<code>`."""
    return UnreadableError(ENGLISH.say(f"seal.code.{code}", **values), code=code)


def _text(key: str, values: dict[str, object]) -> tuple[str, str]:
    hint = ENGLISH.say(f"{key}.hint", **values) if ENGLISH.has(f"{key}.hint") else ""
    return ENGLISH.say(f"{key}.text", **values), hint
