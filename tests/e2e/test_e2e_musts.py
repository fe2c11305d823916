"""What FORMAT.md says a result MUST say, and MUST NOT, as a reader sees it."""

from __future__ import annotations

import json
import socket
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from dossier.flows.verifying import pages_again

Run = Callable[..., Any]


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
