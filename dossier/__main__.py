"""`python -m dossier`: the same command."""

from __future__ import annotations

from dossier.start import main

if __name__ == "__main__":
    main()
