"""A TOML text with lines that cannot be read, read all the same: every such line is found in one run.

A line that cannot be read is set aside and the rest read anew. What it was to say has `SAID` for a value
where its name can be told, so that nobody calls it missing. Bounded: so many lines, so much text in all.
Not done here: saying it. Invariant: a text without such lines is read as `tomltext` reads it.
"""

from __future__ import annotations

import re
from typing import Any

from dossier.intake.tomltext import Places, TomlTextError, read_toml
from dossier.intake.values import SAID

MOST_LINES = 60
MOST_READ = 5_000_000  # characters, all readings of one text together

# After these the text goes on inside what was not closed: what follows says nothing of its own.
_NOT_CLOSED = ("Unclosed array", "Unterminated")
_NAME = re.compile(r"\s*([\w.-]+(?:[ \t]+[\w.-]+)*)\s*[=:]", re.ASCII)
_HEADING = re.compile(r"\s*(\[\[?)([^\]]*)")
# The rest of a list whose first line was set aside: words in quotation marks, and its end.
_GOES_ON = re.compile(r"""\s*(?:(?:"[^"]*"|'[^']*')\s*,?\s*)*\]?\s*(?:#.*)?""")
_ESCAPE = re.compile(r"""\\(?:([btnfr"\\]|\s*$)|)""")
_OF_ESCAPE = ("Unescaped '\\'", "Invalid hex value")
NO_COMMA = "No comma"
_STANDS_FOR = "\0said"
_PASSED_OVER = "passed-over-"


def read_as_far(text: str) -> tuple[dict[str, Any] | None, Places, list[TomlTextError]]:
    """Values, places and what is wrong with each line that was set aside; no values where all is lost."""
    lines = text.split("\n")
    wrong: list[TomlTextError] = []
    tried: dict[int, int] = {}
    for _ in range(max(1, min(2 * MOST_LINES, MOST_READ // (len(text) + 1)))):
        try:
            values, places = read_toml("\n".join(lines))
        except TomlTextError as problem:
            problem = _in_list(_where_opened(problem, lines), lines)
            number = problem.line
            said = number in tried or (number - 1 in tried and _GOES_ON.fullmatch(lines[number - 1]))
            tried[number] = tried.get(number, 0) + (problem.message != NO_COMMA)
            if not said:
                wrong.append(problem)
            if tried[number] > 2 or problem.message.startswith(_NOT_CLOSED) or len(wrong) > MOST_LINES:
                return None, {}, wrong
            lines[number - 1] = _instead(lines[number - 1], problem, tried[number])
        else:
            if wrong and not values:
                return None, {}, wrong  # no line of it is one of ours
            return (_said(values) if wrong else values), places, wrong
    return None, {}, wrong


def _where_opened(problem: TomlTextError, lines: list[str]) -> TomlTextError:
    """With the place of the last quotation mark, where another was looked for to the end of the text."""
    mark = {'Expected "\'"': "'", "Expected \"'''\"": "'''", "Unterminated string": '"""'}.get(
        problem.message
    )
    text = "\n".join(lines)
    if not mark or (mark == '"""' and text.count(mark) % 2 == 0):
        return problem
    before = text[: text.rfind(mark)]
    message = "Found invalid character '\\n'" if mark == "'" else "Unterminated string"
    return TomlTextError(message, before.count("\n") + 1, len(before) - before.rfind("\n"))


def _in_list(problem: TomlTextError, lines: list[str]) -> TomlTextError:
    """What is behind a list that seems not to be closed, or a value that is none: a name or heading stands in
    a list that is not closed; two things stand in one without a comma, or words outside quotation marks.
    """
    line = lines[problem.line - 1] if problem.line <= len(lines) else ""
    rest = line[problem.column - 1 :]
    start = len(line) - len(line.lstrip(" \t[")) + 1
    begins = _NAME.match(line) or _HEADING.match(line)
    message = problem.message
    if message.startswith("Invalid value") and begins and problem.column <= start:
        message = "Unclosed array"
    elif message.startswith("Unclosed array") and rest[:1] in ('"', "'"):
        message = NO_COMMA
    elif message.startswith("Unclosed array") and rest.strip() and problem.column > start:
        message = "Words outside"
    return TomlTextError(message, problem.line, problem.column)


def _instead(line: str, problem: TomlTextError, tried: int) -> str:
    """A line that can be read in the place of one that cannot; the second time one that says nothing."""
    message = problem.message
    if message == NO_COMMA:
        return f"{line[: problem.column - 1]},{line[problem.column - 1 :]}"
    again = tried > 1 or message.startswith("Cannot")  # a name that stands twice would do so again
    named = _NAME.match(line)
    if message.startswith(_OF_ESCAPE) and not again and ('"""' in line or not named):
        return _ESCAPE.sub(
            lambda one: one[0] if one[1] is not None else "\\\\", line
        )  # it may open or close words
    if heading := _HEADING.match(line):
        name = "" if again else "_".join(re.findall(r"[A-Za-z0-9_.-]+", heading[2]))
        closing = "]" * len(heading[1])
        return f"{heading[1]}{name or f'{_PASSED_OVER}{problem.line}'}{closing}"
    return "" if again or not named else f'{"_".join(named[1].split())} = "\\u0000said"'


def _said(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _said(one) for key, one in value.items() if not key.startswith(_PASSED_OVER)}
    if isinstance(value, list):
        return [_said(one) for one in value]
    return SAID if value == _STANDS_FOR else value
