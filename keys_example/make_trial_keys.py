"""Make a trial key: `python keys_example/make_trial_keys.py FOLDER`. It never writes over one that is there.

Its private part is public, so it proves nothing; `dossier.seal.trial` names it, and a check says so.
"""

from __future__ import annotations

import datetime as dt
import sys
from pathlib import Path

from dossier.seal.keyfiles import write_key
from dossier.seal.keys import new_key

NAME = "TRIAL KEY - proves nothing"


def main(folder: Path) -> None:
    """Write the three files and print the thumbprint."""
    key = new_key(NAME, now=dt.datetime(2026, 1, 1, tzinfo=dt.UTC))
    write_key(folder, "trial", key)
    print(key.kid)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
