"""Ctrl-C that stops the program wherever it comes, and never leaves it standing.

Modules may come in on several threads (`pictures.side_by_side`). An interruption in the middle of Python's
own import machinery can leave its lock taken for ever: the threads then wait for it, and the program for
them. Further up, a library that tries whether another is there takes any error for a no, and works on without
it. So one that falls where something comes in is put off until that is there.
"""

from __future__ import annotations

import _thread
import signal
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

_MACHINERY = "<frozen importlib"
_MOMENT = 0.01  # seconds
_at_once = True


def listen() -> None:
    """From here on. What somebody else has set for Ctrl-C (nohup: that it is ignored) stays."""
    if threading.current_thread() is not threading.main_thread():
        return
    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, _stop)


@contextmanager
def put_off() -> Iterator[None]:
    """What is short and whole only all of it goes to its end; who asked to stop is told what it did."""
    global _at_once  # noqa: PLW0603 - signals are of the whole process
    _at_once = False
    try:
        yield
    finally:
        _at_once = True


def _stop(number: int, frame: FrameType | None) -> None:
    if not _at_once:
        return
    while frame is not None:
        if frame.f_code.co_filename.startswith(_MACHINERY):
            _thread.start_new_thread(_again, ())
            return
        frame = frame.f_back
    raise KeyboardInterrupt


def _again() -> None:
    time.sleep(_MOMENT)
    if hasattr(signal, "pthread_kill"):  # also out of a read that waits for a passphrase
        signal.pthread_kill(threading.main_thread().ident or 0, signal.SIGINT)
    else:
        _thread.interrupt_main()
