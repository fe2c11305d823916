"""A workshop replaces its recovery key by the command, and a buyer who knows the old digits follows."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from dossier.seal import keycard
from dossier.seal.keys import fingerprint_words


def test_the_recovery_key_is_replaced_by_the_command(tmp_path: Path, run: Callable[..., Any]) -> None:
    files = {name: tmp_path / name for name in ("old.txt", "new.txt", "one.json", "two.json", "three.json")}
    old, new, one, two, three = map(str, files.values())
    keys = str(tmp_path / "keys")
    assert run("keys", "new", keys, "--name", "Two Benches", "--no-passphrase").code == 0
    key = ("--key", f"{keys}/workshop-key.pem")
    for paper in (old, new):
        assert run("keys", "recovery", paper, "--name", "Two Benches").code == 0
    assert run("keys", "card", one, "--recovery", old, "--name", "Two Benches", *key).code == 0
    refused = run("keys", "card", two, "--from", one, "--new-recovery", new, *key)
    assert refused.code != 0
    assert "only the recovery key before can name the new one" in refused.err
    done = run("keys", "card", two, "--from", one, "--recovery", old, "--new-recovery", new, *key)
    assert done.code == 0, done.out + done.err
    first, second = (keycard.read(files[name].read_bytes()) for name in ("one.json", "two.json"))
    assert first.fingerprint in done.out + done.err
    assert second.fingerprint in done.out + done.err
    assert run("keys", "card", three, "--from", two, "--recovery", old, *key).code != 0
    checked = run("verify", two, "--trust", first.fingerprint)
    assert checked.code == 0, checked.out
    assert first.fingerprint in checked.out
    assert fingerprint_words(first.card.keys[0].key["kid"]) in checked.out
