"""A withdrawal beside the dossier was saved again with line breaks."""

from __future__ import annotations

import json
from typing import Any


def make(bench: Any) -> Any:
    said = bench.statement("withdrawal", bench.made.key, bench.made.second)
    bench.write(json.dumps(json.loads(said), indent=2).encode(), "w.json")
    return bench.folder
