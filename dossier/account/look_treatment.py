"""Work and materials that do not go together by the rule table of the trade, or only after a test.

A test recorded in the row answers either. Not here: the rules themselves (`trade.rules`).
"""

from __future__ import annotations

from collections.abc import Iterator

from dossier.account.found import Found
from dossier.account.view import View
from dossier.trade.rules import in_force, matches

_CODES = {"keep off": "keep-off", "test first": "test-not-recorded"}


def look(view: View) -> Iterator[Found]:
    parts = {part.number: part for part in view.job.parts}
    untested = [row for row in view.job.work if not row.test]
    language = view.job.language
    for match in matches(untested, parts, in_force(view.job.workshop.rules, language), language):
        values = {"used": match.used, "why": match.rule.why, "source": match.rule.source}
        yield Found(_CODES[match.rule.answer], f"work/{match.work}", values, match.parts)
