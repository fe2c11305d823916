"""Work and materials that do not go together by the rule table of the trade, or only after a test.

A test recorded in the row answers either. A product of which the table says nothing on its material is
named too, since silence is no advice. Not here: the rules themselves (`trade.rules`).
"""

from __future__ import annotations

from collections.abc import Iterator

from dossier.account.found import Found
from dossier.account.view import View
from dossier.model.words import Done
from dossier.trade.rules import in_force, matches, silent_rows

_CODES = {"keep off": "keep-off", "test first": "test-not-recorded"}
_TREATED: frozenset[Done] = frozenset(
    {"cleaned", "fed or protected", "secured", "repaired", "part renewed", "new surface"}
)


def look(view: View) -> Iterator[Found]:
    parts = {part.number: part for part in view.job.parts}
    untested = [row for row in view.job.work if not row.test]
    language = view.job.language
    rules = in_force(view.job.workshop.rules, language)
    for match in matches(untested, parts, rules, language):
        values = {"used": match.used, "why": match.rule.why, "source": match.rule.source}
        yield Found(_CODES[match.rule.answer], f"work/{match.work}", values, match.parts)
    treated = [row for row in untested if row.product and row.done in _TREATED]
    unsaid = {row.product: row.number for row in silent_rows(reversed(treated), parts, rules, language)}
    if unsaid:
        things = "; ".join(reversed(unsaid))  # products have commas of their own
        yield Found("no-advice", f"work/{min(unsaid.values())}", {"things": things})
