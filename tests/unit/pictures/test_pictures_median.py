"""Held against numpy's own median."""

from __future__ import annotations

import numpy as np
import pytest

from dossier.pictures.median import median


@pytest.mark.parametrize("count", [1, 2, 3, 10, 63])
def test_is_numpys_along_the_first_axis(count: int) -> None:
    values = np.random.default_rng(count).normal(size=(count, 2))
    assert np.array_equal(median(values), np.median(values, axis=0))
    assert median(values[:, 0]) == np.median(values[:, 0])
