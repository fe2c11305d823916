"""Two statements of one kind on one day are two files; neither takes the other's place."""

from __future__ import annotations

from pathlib import Path

import pytest

from dossier.cli.declare_command import _free
from dossier.errors import OutputError
from dossier.seal.publicfiles import write_public


def test_the_second_of_a_day_has_a_number(tmp_path: Path) -> None:
    first = tmp_path / "correction-2026-11-26.json"
    for name in (first.name, "correction-2026-11-26-2.json", "correction-2026-11-26-3.json"):
        path = _free(first)
        assert path.name == name
        write_public(path, name.encode())
    with pytest.raises(OutputError, match="already") as caught:
        write_public(first, b"other")
    assert "key" not in caught.value.message and first.read_bytes() == first.name.encode()
