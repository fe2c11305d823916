"""How a measurement was made, as a record says it: photographs go by their neutral names.

A photograph's own name can hold an owner's, and stands in its disclosure alone (FORMAT.md section 5); what
was measured on it names it too, in clear sight. Pure. Not done here: measuring.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence

import msgspec

from dossier.model.rows import Measurement
from dossier.words import Catalogue


def with_neutral_names(
    rows: Sequence[Measurement], files: Collection[str], names: Mapping[str, str], words: Catalogue
) -> tuple[Measurement, ...]:
    """`files`: own names of the job's photographs; `names`: neutral ones of those that are in the record."""
    dotted = sorted((file for file in files if "." in file), key=len, reverse=True)
    if not dotted:
        return tuple(rows)
    pattern = re.compile(rf"(?<!\w)(?:photos/)?({'|'.join(map(re.escape, dotted))})(?!\w)", re.IGNORECASE)
    known = {file.casefold(): name for file, name in names.items()}

    def neutral(match: re.Match[str]) -> str:
        return known.get(match[1].casefold()) or words.say("measuring.how.another")

    return tuple(msgspec.structs.replace(row, how=pattern.sub(neutral, row.how)) for row in rows)
