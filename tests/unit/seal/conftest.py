"""What the tests of this room share: the invented stool and its keys."""

from __future__ import annotations

from collections.abc import Callable

import pytest
import stool
from cryptography.hazmat.primitives.asymmetric import ed25519

from dossier.model.record import Sealed
from dossier.seal import record
from dossier.seal.keys import WorkshopKey
from dossier.words import Catalogue


@pytest.fixture(scope="session")
def words() -> Catalogue:
    return Catalogue("en")


@pytest.fixture(scope="session")
def key() -> WorkshopKey:
    return stool.p256()


@pytest.fixture(scope="session")
def ed25519_key() -> WorkshopKey:
    return WorkshopKey(ed25519.Ed25519PrivateKey.from_private_bytes(bytes(range(32))))


@pytest.fixture
def salts() -> Callable[[], bytes]:
    return stool.counting_salts()


@pytest.fixture(scope="session")
def sealed(key: WorkshopKey) -> Sealed:
    return record.seal(stool.an_unsealed(key), [key], stool.counting_salts())
