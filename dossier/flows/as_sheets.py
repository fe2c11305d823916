"""What is said of a job in words of its form: of a workbook its sheets are named, not files that it has not.

The catalogue speaks of plain files. Not done here: findings of reading, which name what they have read.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

import msgspec

from dossier.intake.schema import LISTS, SECTIONS, TABLES
from dossier.intake.workbook import WORKBOOK_FILE
from dossier.model.finding import Finding
from dossier.model.job import Job
from dossier.words import Catalogue

_FILE = re.compile(rf"\b(job)\.toml\b|\b({'|'.join(TABLES)})\.csv\b")
_UNDER = re.compile(rf"\bunder \[\[({'|'.join(LISTS)})\]\]")
_LIST = re.compile(rf"\[\[({'|'.join(LISTS)})\]\]")
_SECTION = re.compile(rf"\[({'|'.join(SECTIONS)})\]")


def said_of(job: Job, found: Iterable[Finding], words: Catalogue) -> list[Finding]:
    """The findings as they are said of this job."""
    return [_in_sheets(one, words) for one in found] if _is_workbook(job) else list(found)


def text_of(job: Job, text: str, words: Catalogue) -> str:
    """One text as it is said of this job."""
    return _named(text, words) if _is_workbook(job) else text


def _is_workbook(job: Job) -> bool:
    return any(name.casefold() == WORKBOOK_FILE for name, *_ in job.inputs)


def _in_sheets(finding: Finding, words: Catalogue) -> Finding:
    said = {name: _named(getattr(finding, name), words) for name in ("message", "hint")}
    return msgspec.structs.replace(finding, **said)


def _named(text: str, words: Catalogue) -> str:
    text = _UNDER.sub(lambda m: words.say("findings.in_workbook.in_sheet", name=_plain(m[1])), text)
    text = _LIST.sub(lambda m: words.say("findings.in_workbook.sheet", name=_plain(m[1])), text)
    text = _SECTION.sub(lambda m: words.say("findings.in_workbook.lines", name=_plain(m[1])), text)
    return _FILE.sub(lambda m: words.say("findings.in_workbook.sheet", name=m[1] or m[2]), text)


def _plain(name: str) -> str:
    return name.replace("_", " ")
