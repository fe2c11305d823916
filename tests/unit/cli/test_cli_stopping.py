"""Ctrl-C while modules come in: put off, not lost; elsewhere at once (CPython, importlib/_bootstrap.py)."""

from __future__ import annotations

import importlib
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from dossier import cli, durable
from dossier.cli import stopping
from dossier.start import STOPPED


@pytest.fixture
def listening() -> Iterator[None]:
    """Listening, with what was set before put back."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    stopping.listen()
    yield
    signal.signal(signal.SIGINT, before)


def interrupted_in(file: str) -> list[str]:
    """What is still done by code of `file` after an interruption in the midst of it."""
    done: list[str] = []
    scope: dict[str, Any] = {"raise_signal": signal.raise_signal, "SIGINT": signal.SIGINT, "done": done}
    code = compile("def inside():\n raise_signal(SIGINT)\n done.append('to its end')", file, "exec")
    exec(code, scope)
    with pytest.raises(KeyboardInterrupt):
        scope["inside"]()
        for _ in range(1000):
            time.sleep(0.01)
    return done


@pytest.mark.usefixtures("listening")
def test_python_s_own_import_goes_to_its_end_and_then_it_stops() -> None:
    assert interrupted_in("<frozen importlib._bootstrap>") == ["to its end"]


@pytest.mark.usefixtures("listening")
def test_a_library_that_tries_another_does_not_swallow_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As reportlab.pdfbase.ttfonts does with what shapes text: 4 of 30 compiles had gone on, without it."""
    tries = (
        "import signal\ntry:\n signal.raise_signal(signal.SIGINT)\n found = True\nexcept:\n found = False\n"
    )
    (tmp_path / "tries_another.py").write_text(tries, encoding="utf-8")
    monkeypatch.syspath_prepend(tmp_path)
    with pytest.raises(KeyboardInterrupt):
        importlib.import_module("tries_another")
        for _ in range(1000):
            time.sleep(0.01)
    assert sys.modules.pop("tries_another").found


@pytest.mark.usefixtures("listening")
def test_elsewhere_it_stops_at_once() -> None:
    assert interrupted_in("elsewhere.py") == []


def test_where_ctrl_c_is_ignored_it_stays_so() -> None:
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        stopping.listen()
        assert signal.getsignal(signal.SIGINT) is signal.SIG_IGN
    finally:
        signal.signal(signal.SIGINT, before)


def test_while_the_program_comes_in_there_is_no_traceback() -> None:
    program = (
        "import sys\n"
        "class Interrupted:\n"
        "    def find_spec(self, name, path, target=None):\n"
        "        if name == 'dossier.cli': raise KeyboardInterrupt\n"
        "sys.meta_path.insert(0, Interrupted())\n"
        "from dossier.start import main\n"
        "main()\n"
    )
    done = subprocess.run([sys.executable, "-c", program, "--help"], capture_output=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (STOPPED, b"", b"")


def test_next_to_nothing_comes_in_before_a_stop_is_heard() -> None:
    """What Python has brought in itself by then, it answers for."""
    tells = "import os, sys; had = set(sys.modules); import dossier.start; print(*(set(sys.modules) - had))"
    run = subprocess.run([sys.executable, "-c", tells], capture_output=True, text=True, check=True)
    assert set(run.stdout.split()) <= {"__future__", "dossier", "dossier.start"}


@pytest.mark.usefixtures("listening")
def test_what_is_whole_only_all_of_it_goes_to_its_end() -> None:
    done = []
    with stopping.put_off():
        signal.raise_signal(signal.SIGINT)
        done.append("to its end")
    assert done
    with pytest.raises(KeyboardInterrupt):
        signal.raise_signal(signal.SIGINT)


@pytest.mark.parametrize(
    ("written", "said"), [(False, "nothing was changed"), (True, "was put in its place by then")]
)
def test_who_stops_it_is_told_whether_anything_was_done(
    written: bool,
    said: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    def stopped(*_: object, **__: object) -> None:
        if written:
            durable.put(tmp_path / "x", b"1")
        raise KeyboardInterrupt

    monkeypatch.setattr(durable, "done", [])
    monkeypatch.setattr(cli.program, "main", stopped)
    with pytest.raises(SystemExit) as ended:
        cli.main(["find", "x"])
    assert ended.value.code == 130
    assert said in capsys.readouterr().err


@pytest.mark.skipif(not hasattr(signal, "pthread_kill"), reason="signals to threads are of POSIX systems")
def test_what_was_put_off_ends_a_wait_for_words_too() -> None:
    """As of a passphrase that is asked for just after modules came in: nobody types, and it stops."""
    program = (
        "import os, signal\n"
        "from dossier.cli import stopping\n"
        "stopping.listen()\n"
        "inside = 'def inside():\\n signal.raise_signal(signal.SIGINT)'\n"
        "exec(compile(inside, '<frozen importlib._bootstrap>', 'exec'))\n"
        "inside()\n"
        "try:\n os.read(0, 1)\nexcept KeyboardInterrupt:\n print('stopped')\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", program], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as run:
        assert run.stdout is not None and run.stdin is not None
        try:
            run.wait(timeout=20)
            assert run.stdout.read() == "stopped\n"
        finally:
            run.stdin.close()
