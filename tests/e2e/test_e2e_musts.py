"""What FORMAT.md says a result MUST say, and MUST NOT, as a reader sees it."""

from __future__ import annotations

import base64
import json
import socket
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from dossier.flows.verifying import pages_again
from dossier.words import LANGUAGES

Run = Callable[..., Any]
ROOT = Path(__file__).parents[2]


def test_every_result_says_what_no_check_can_tell(output: Path, run: Run, tmp_path: Path) -> None:
    """Section 8, at its end."""
    code = tmp_path / "code.txt"
    code.write_text(code_of(output))
    for given in (output, output / "dossier.pdf", output / "record.json", output / "record.sd-jwt", code):
        said = " ".join(run("verify", given).out.split())
        assert "What this check cannot tell:" in said
        for one in (
            "object in front of you is the one recorded",
            "what the workshop wrote is true",
            "who owns",
        ):
            assert one in said, (given, said)
    (plain,) = json.loads(run("verify", output / "record.json", "--json").out)
    codes = [one["code"] for one in plain["cannot_tell"]]
    assert codes == ["same-object", "true-words", "owner", "later-correction"]
    assert all(one["text"] for one in plain["cannot_tell"])


STABLE = ("kind", "overall", "exit_code", "unsure", "record", "digest", "fingerprint", "trial_key")


def test_a_script_reads_the_same_in_every_language(output: Path, run: Run, tmp_path: Path) -> None:
    """Section 12, its table for machines: an auction house checks hundreds, whatever its shell speaks."""
    code, said = tmp_path / "code.txt", tmp_path / "withdrawal.json"
    code.write_text(code_of(output))
    key = output.parent / "key.pem"
    key.write_bytes((ROOT / "keys_example" / "trial-key.pem").read_bytes())
    assert run("declare", "withdrawal", output, "--reason", "x", "--key", key, "--to", said).code == 0
    given = [output, output / "dossier.pdf", output / "record.sd-jwt", code, said, tmp_path / "not-there"]
    seen = []
    for language in sorted(LANGUAGES, key=lambda one: one == "en"):  # it is spoken from here on
        ran = run("verify", *given, "--json", "--language", language)
        results = json.loads(ran.out)
        assert [one["file"] for one in results] == [str(one) for one in given]
        assert ran.code == 4
        checks = [
            [(c["number"], c["check"], c["code"], c["verdict"]) for c in one["checks"]] for one in results
        ]
        untold = [[c["code"] for c in one["cannot_tell"]] for one in results]
        seen.append(([[one[name] for name in STABLE] for one in results], checks, untold))
    assert all(one == seen[0] for one in seen)
    payload = json.loads(b64((output / "record.sd-jwt").read_text().split(".")[1]))
    assert {(one[4], len(one[5])) for one in seen[0][0][:5]} == {(payload["record"], 64)}
    assert seen[0][0][5][4:6] == ["", ""]


def b64(text: str) -> bytes:
    return base64.urlsafe_b64decode(text + "==")


def code_of(folder: Path) -> str:
    """The text of the printed code, as `pages.json` inside the PDF has it."""
    data = (folder / "dossier.pdf").read_bytes()
    start = data.index(b'{"code":"')
    text: str = json.loads(data[start : data.index(b"}", start) + 1])["code"]
    return text


def test_a_code_says_that_nothing_else_was_checked_and_never_that_it_is_current(
    output: Path, run: Run, tmp_path: Path
) -> None:
    """Section 7.2."""
    (tmp_path / "code.txt").write_text(code_of(output))
    said = run("verify", tmp_path / "code.txt").out.lower()
    assert "anything else on this paper: only the words in the code were checked" in said
    assert said.count("current") == said.count("a code never says that it is current") == 1


def test_where_a_holders_pages_cannot_be_drawn_nothing_is_said_of_them(
    output: Path, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Section 9: then no more than that the record is unaltered."""
    assert run("copy", output, "--for", "owner", "--to", tmp_path / "held").code == 0

    def cannot(*_: object) -> None:
        raise ValueError

    monkeypatch.setattr(pages_again, "differences", cannot)
    ran = run("verify", tmp_path / "held", "--trust", output / "certificate.pem", "--json")
    (result,) = json.loads(ran.out)
    assert (ran.code, result["overall"]) == (2, "not confirmed")
    assert {c["code"]: c["verdict"] for c in result["checks"] if c["number"] in (7, 8)} == {
        "pages-not-drawn": "could not tell",
        "pages-by-holder": "not applicable",
    }


def test_a_check_opens_no_connection(output: Path, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """Section 4: whatever addresses stand in a file."""

    def refuse(*_: object, **__: object) -> None:
        raise AssertionError

    for name in ("socket", "create_connection", "getaddrinfo"):
        monkeypatch.setattr(socket, name, refuse)
    with pytest.raises(AssertionError):
        socket.create_connection(("192.0.2.1", 80))
    assert run("verify", output, "--pages").code == 2


def test_a_record_with_five_signatures_is_none(output: Path, run: Run, tmp_path: Path) -> None:
    """Section 2, bounds."""
    value = json.loads((output / "record.json").read_bytes())
    first = value["signatures"][0]
    value["signatures"] += [{name: first[name] for name in ("protected", "signature")}] * 4
    path = tmp_path / "record.json"
    path.write_text(json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False))
    ran = run("verify", path)
    assert ran.code == 4
    assert "[record-shape]" in ran.out
