"""The same record gives the same pages whether reportlab's compiled parts are at hand or not.

A check draws the pages again on another machine, where the compiled package may not have been built; then
reportlab takes its own Python for the same functions. Reference for each other: the two forms that it has.
"""

from __future__ import annotations

import hashlib
import pickle
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

from reportlab.lib import rl_accel

from dossier.model.record import OpenRecord
from dossier.pages import document
from dossier.pages.options import PageOptions

_DRAW = """
import hashlib, pathlib, pickle, sys
sys.modules["_rl_accel"] = sys.modules["reportlab.lib._rl_accel"] = None
from dossier.pages import document
from reportlab.lib import rl_accel
record, pictures, options = pickle.loads(pathlib.Path(sys.argv[1]).read_bytes())
pages = document.draw(record, pictures, options)
print(type(rl_accel.fp_str).__name__, hashlib.sha256(pages).hexdigest())
"""


def test_compiled_or_not_the_pages_are_the_same(
    rich_record: OpenRecord,
    rich_pictures: dict[str, bytes],
    page_options: Callable[..., PageOptions],
    tmp_path: Path,
) -> None:
    given, whole = (rich_record, rich_pictures, page_options()), tmp_path / "whole"
    whole.write_bytes(pickle.dumps(given))
    compiled = hashlib.sha256(document.draw(*given)).hexdigest()
    plain = subprocess.run(
        [sys.executable, "-c", _DRAW, str(whole)], check=True, capture_output=True, text=True
    )
    assert type(rl_accel.fp_str).__name__ == "builtin_function_or_method"
    assert plain.stdout.split() == ["function", compiled]
