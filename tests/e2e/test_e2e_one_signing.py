"""All copies that a workshop makes in one run come from one signing: one digest, one time-stamp, one fate."""

from __future__ import annotations

import hashlib
import json
import shutil
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from dossier.flows.compiling import writing
from dossier.model.words import COPIES
from dossier.seal import record
from tests.time_server import Authority, serving

Run = Callable[..., Any]
EACH = [word for copy in COPIES for word in ("--copy", copy)]


@pytest.fixture(scope="module")
def copies(job: Path, run: Run, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The four copies, and a server that was asked for the time of the record once for all of them."""
    home = tmp_path_factory.mktemp("copies")
    authority = Authority(home / "clock")
    shutil.copytree(job.parent, home / "shop")
    shop = home / "shop" / "workshop.toml"
    with serving(authority.answer) as url:
        shop.write_text(f'time_servers = ["{url}"]\n{shop.read_text(encoding="utf-8")}', encoding="utf-8")
        ran = run("compile", home / "shop" / job.name, "--to", home / "dossier", *EACH)
    assert (ran.code, ran.err.count("Time-stamp of Example Clock No. 1")) == (0, 1), ran.err
    first, *rest = COPIES
    return {first: home / "dossier", **{copy: home / f"dossier-{copy}" for copy in rest}}


def test_all_have_one_digest_and_one_time_stamp(copies: dict[str, Path]) -> None:
    sealed = [record.from_json((folder / "record.json").read_bytes()) for folder in copies.values()]
    assert len({hashlib.sha256(one.payload).hexdigest() for one in sealed}) == 1
    assert len({one.signatures for one in sealed}) == 1
    assert len({len(one.disclosures) for one in sealed}) > 2
    assert len({(folder / "record.tsr").read_bytes() for folder in copies.values()}) == 1


def test_the_pages_of_each_are_signed(copies: dict[str, Path], run: Run) -> None:
    for copy, folder in copies.items():
        (result,) = json.loads(run("verify", folder, "--json").out)
        codes = {check["code"]: check["verdict"] for check in result["checks"]}
        assert codes["pdf-signature-matches"] == "matches", copy
        assert codes["pages-signed-with-record"] == "matches"
        assert "does not match" not in codes.values()


def test_a_withdrawal_of_one_is_one_of_all(
    copies: dict[str, Path], run: Run, job: Path, tmp_path: Path
) -> None:
    said = tmp_path / "withdrawal.json"
    keys = ("--key", job.parent / "keys" / "trial-key.pem", "--name", "A workshop")
    ran = run("declare", "withdrawal", copies["workshop"], "--reason", "Another case.", *keys, "--to", said)
    assert ran.code == 0, ran.err
    for folder in copies.values():
        assert run("verify", folder / "record.json", said).code == 3


def test_all_or_none(job: Path, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each dossier, which may take long, is written where Ctrl-C is heard: nobody waits for its end."""
    write, calls = writing.write_signed, []
    write_pdf, where = writing.write_dossier, []

    def noted(*words: Any) -> None:
        where.append(threading.current_thread())
        write_pdf(*words)

    def full_the_second_time(*words: Any) -> None:
        calls.append(words)
        if len(calls) == 2:
            raise OSError(28, "No space left on device")
        write(*words)

    monkeypatch.setattr(writing, "write_signed", full_the_second_time)
    monkeypatch.setattr(writing, "write_dossier", noted)
    ran = run("compile", job, "--to", tmp_path / "d", "--copy", "workshop", "--copy", "owner")
    assert (ran.code, list(tmp_path.iterdir())) == (73, [])
    assert where == [threading.current_thread()]


@pytest.mark.parametrize("others", [(), ("--copy", "insurer")])
def test_a_signing_without_a_copy_for_the_workshop_is_told(
    job: Path, run: Run, tmp_path: Path, others: tuple[str, ...]
) -> None:
    said = run("compile", job, "--to", tmp_path / "d", "--copy", "owner", *others).err
    assert "No copy for the workshop comes from this signing" in said
