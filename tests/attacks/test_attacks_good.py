"""The dossier that is attacked is in order itself, and what takes it apart changes nothing."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import msgspec

from dossier.flows.verify import verify


def test_the_good_one_is_in_order(bench: Any) -> None:
    for given in (bench.folder, bench.pdf, bench.folder / "record.json"):
        result = bench.check(given, pages=True)
        assert result.overall == "in order", result.checks


def test_the_forger_changes_no_byte(bench: Any) -> None:
    assert bench.forgery().whole() == bench.pdf.read_bytes()


def test_a_signature_taken_out_is_all_that_is_said(bench: Any) -> None:
    result = bench.check(bench.write(bench.unsigned().whole()))
    wrong = [check.code for check in result.checks if check.verdict == "does not match"]
    assert wrong == ["pdf-signature-absent"]
    assert "pages-match" in [check.code for check in result.checks]


def test_the_copy_of_a_holder_is_in_order(bench: Any) -> None:
    """So that what is done to it is found by the record alone."""
    data = bench.held().whole()
    assert data == (bench.made.held / "dossier.pdf").read_bytes()
    result = bench.check(bench.write(data, "held.pdf"))
    assert result.overall == "in order", result.checks
    assert "pages-by-holder" in [check.code for check in result.checks]


def test_the_form_that_holds_one_signature_of_two_says_so(bench: Any) -> None:
    """Nothing tells it from a record stripped of the other, but the reader can be told."""
    (found,) = [
        c for c in bench.check(bench.folder / "record.sd-jwt").checks if c.code == "signature-missing"
    ]
    assert found.where[-1].endswith("check record.json")
    value = bench.record_json()
    value["signatures"] = value["signatures"][:1]
    path = bench.write(bench.canonical(value), "stripped.json")
    (found,) = [c for c in bench.check(path).checks if c.code == "signature-missing"]
    assert "record.json" not in " ".join(found.where)


def test_what_confirms_a_key_and_came_along_is_said_to_have(bench: Any, tmp_path: Path) -> None:
    """FORMAT.md section 10: a key is never confirmed by what vouches for itself; only the reader can know."""
    beside, own = bench.folder / "key-card.json", tmp_path / "key-card.json"
    shutil.copy(beside, own)
    for trusted, is_said in ((beside, True), (own, False)):
        for path in (bench.folder, bench.pdf, bench.folder / "record.json"):
            asked = msgspec.structs.replace(bench.asked(), trusted=(trusted,))
            result = verify(path, asked)
            places = [place for one in result.checks if one.check == "key status" for place in one.where]
            assert any("key-card.json lies with what was checked" in one for one in places) == is_said
            assert result.overall == "in order"
