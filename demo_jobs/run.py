"""Set up and run the main job on a demo job: from job folder to signed dossier to the result of a check.

Runs with Python 3.11 or newer on Debian, macOS or Windows; makes a virtual environment in the checkout.
"""

from __future__ import annotations

import io
import os
import subprocess
import sys
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
ENVIRONMENT = ROOT / ".venv"
JOB = Path("demo_jobs", "doctors_bag")  # from there, as is typed after `dossier` below
TARGET = Path("demo_out", "doctors_bag")


def main() -> int:
    if sys.version_info < (3, 11):  # noqa: UP036 - an old Python shall get a sentence
        print("Python 3.11 or newer is needed; this is", sys.version.split()[0], file=sys.stderr)
        return 1
    if isinstance(sys.stdout, io.TextIOWrapper):  # a pipe of Windows may not carry the path
        sys.stdout.reconfigure(errors="backslashreplace")
    python = _environment()
    _run(python, "check", str(JOB))
    _run(python, "compile", str(JOB), "--to", str(TARGET), "--replace", must=True)
    _run(python, "verify", str(TARGET))
    print(f"\nThe dossier lies here: {ROOT / TARGET / 'dossier.pdf'}")
    return 0


def _environment() -> Path:
    folder = "Scripts" if os.name == "nt" else "bin"
    python = ENVIRONMENT / folder / ("python.exe" if os.name == "nt" else "python")
    if not python.exists():
        print("Making a virtual environment in", ENVIRONMENT)
        venv.create(ENVIRONMENT, with_pip=True)
    print("Installing ...", flush=True)
    install = [python, "-m", "pip", "install", "-q", "--disable-pip-version-check", str(ROOT)]
    subprocess.run([str(part) for part in install], check=True)
    return python


def _run(python: Path, *words: str, must: bool = False) -> None:
    """Run one command as a person would, of what was installed (-P), not of the checkout.

    A check that gives another code than 0 is part of the show.
    """
    print("\n$ dossier", *words, flush=True)
    done = subprocess.run([str(python), "-P", "-m", "dossier", *words], check=False, cwd=ROOT)
    if must and done.returncode:
        sys.exit(done.returncode)


if __name__ == "__main__":
    sys.exit(main())
