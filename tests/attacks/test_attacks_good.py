"""The dossier that is attacked is in order itself, and what takes it apart changes nothing."""

from __future__ import annotations

from typing import Any


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
