"""What is laid aside comes back value for value; where there is no room it is kept in memory."""

from __future__ import annotations

import errno
import tempfile
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest

from dossier.pictures.shelf import Shelf

ARRAYS: list[np.ndarray] = [
    np.arange(12, dtype=np.uint8).reshape(3, 4),
    np.arange(12, dtype=np.float32).reshape(3, 4)[:, ::2],  # not in one piece
    np.empty((0, 128), np.uint8),
    np.array([1.5, np.nan]),
]


def test_it_comes_back_from_any_thread() -> None:
    shelf = Shelf()
    many = ARRAYS * 20
    with ThreadPoolExecutor(4) as pool:
        kept = list(pool.map(shelf.lay, many))
        back = list(pool.map(lambda take: take(), kept))
    for one, other in zip(many, back, strict=True):
        assert other.dtype == one.dtype
        assert np.array_equal(one, other, equal_nan=one.dtype.kind == "f")
        assert other is not one


def test_a_full_disk_costs_memory_and_no_picture(monkeypatch: pytest.MonkeyPatch) -> None:
    def full(**_: object) -> None:
        raise OSError(errno.ENOSPC, "no space")

    monkeypatch.setattr(tempfile, "TemporaryFile", full)
    assert Shelf().lay(ARRAYS[0])() is ARRAYS[0]
