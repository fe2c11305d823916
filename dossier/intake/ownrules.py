"""`rules.toml` beside `workshop.toml`: the workshop's own rules of what goes with what.

Not here: what the rules say of a job (`trade.rules`).
"""

from __future__ import annotations

import hashlib
from pathlib import Path

from dossier.intake.desk import MOST_TOML, Desk, read_bounded, text_of
from dossier.intake.entries import Read, read_all
from dossier.intake.plainform import TomlFile, list_entries, toml_file
from dossier.intake.report import Report, listed
from dossier.intake.rows import first_of_each
from dossier.intake.schema import RULES
from dossier.model.finding import At
from dossier.model.job import TradeRule

RULES_FILE = "rules.toml"
_LIST = "rules"
_NAMES = ("use", "on", "hot_from")


def read_rules(desk: Desk, workshop_name: str, workshop_path: Path, report: Report) -> tuple[TradeRule, ...]:
    """The rules; none where there is no such file. Its name is relative to the job folder."""
    path = workshop_path.parent / RULES_FILE
    if "/" in workshop_name and (here := desk.find(RULES_FILE)):
        report.say("rules-elsewhere", At(file=here), file=here, workshop=workshop_name)
    if not path.is_file():
        return ()
    name = workshop_name.rpartition("/")[0] + "/" * ("/" in workshop_name) + RULES_FILE
    source = _source(desk, name, path, report)
    return _rules(source, report) if source else ()


def _source(desk: Desk, name: str, path: Path, report: Report) -> TomlFile | None:
    data = read_bounded(path, name, MOST_TOML, report)
    if data is None:
        return None
    desk.inputs.append((RULES_FILE, len(data), hashlib.sha256(data).hexdigest()))
    text = text_of(data, name, report)
    return None if text is None else toml_file(text, name, report)


def _rules(source: TomlFile, report: Report) -> tuple[TradeRule, ...]:
    for key in source.values:
        if key != _LIST:
            near = report.nearest(key, [_LIST])
            report.say("unknown-key", source.at((key,)), nearest=near, typed=key, known=listed([_LIST]))
    entries = list_entries(source, _LIST, source.values.get(_LIST, []), report)
    reads = [read for read in read_all(RULES, entries, report) if read.whole]
    reads = first_of_each(reads, "name", report)
    return tuple(TradeRule(**read.values) for read in reads if _says_enough(read, report))


def _says_enough(read: Read, report: Report) -> bool:
    """A rule that names neither product nor material nor heat would speak of every row. One whose name for it
    could not be read is left out, and that was said.
    """
    enough = any(read.values.get(name) for name in _NAMES)
    said = {finding.at for finding in report.findings}
    if not enough and not any(read.places.get(name) in said for name in _NAMES):
        report.say("rule-too-wide", read.at, typed=read.text("name"))
    return enough
