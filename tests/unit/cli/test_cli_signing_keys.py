"""Whose passphrase is asked for, where a command signs with several keys (`declare`, `keys card`)."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from dossier.cli import passphrases
from dossier.cli.signing_keys import load_keys
from dossier.seal import keyfiles, keys

NOW = dt.datetime(2026, 3, 14, tzinfo=dt.UTC)


def test_of_several_keys_it_is_said_whose_passphrase_is_asked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []
    monkeypatch.setattr(passphrases, "_asked", lambda question: asked.append(question) or "soot")
    made = [("workshop", keys.new_key("Ferrule & Rib", now=NOW)), ("second", keys.new_second_key())]
    paths = [keyfiles.write_key(tmp_path, stem, key, passphrase="soot")[0] for stem, key in made]
    assert [key.kid for key in load_keys(paths, None)] == [key.kid for _, key in made]
    assert [question.count(str(path)) for question, path in zip(asked, paths, strict=True)] == [1, 1]
    load_keys(paths[:1], None)
    assert str(paths[0]) not in asked[-1]
