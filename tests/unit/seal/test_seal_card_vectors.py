"""Each vector of key cards and statements gives the code it is named by; each code has one."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path

import pytest

from dossier.errors import UnreadableError
from dossier.flows.verify import Asked, verify
from dossier.flows.verifying.statements import CODES as STATEMENT_CODES
from dossier.seal import keycard, trust
from dossier.seal.standing import CODES as CARD_CODES
from dossier.words import Catalogue

HOME = Path(__file__).parents[2] / "vectors" / "keycard"
READ = sorted((HOME / "read").iterdir())
RECORD = sorted((HOME / "record").iterdir())
# These need a time-stamp, a certificate, or a folder that is not looked at whole besides:
# test_seal_standing.py, test_seal_chains.py, test_seal_statements_verify.py.
# And by lists of revoked certificates: test_seal_revocation.py. One needs an ML-DSA-65 signature, which is
# another each time it is made (FIPS 204, hedged): test_seal_statements_verify.py. One needs two cards:
# test_seal_statements_rivals.py.
NOT_BY_FILES_ALONE = {"key-stamped-before-loss", "key-chained", "statements-not-all-read"} | {
    *("statement-short-of-record", "key-cards-differ"),
    *("key-chained-not-revoked", "key-revocation-unknown", "key-certificate-ran-out"),
    *("key-revoked", "key-revoked-no-stamp", "key-revoked-after-stamp"),
}


def expected(folder: Path) -> str:
    return folder.name.partition("--")[0]


@pytest.mark.parametrize("folder", READ, ids=lambda folder: folder.name)
def test_a_card_is_refused_with_the_code_it_is_named_by(folder: Path) -> None:
    with pytest.raises(UnreadableError) as caught:
        keycard.read((folder / "key-card.json").read_bytes())
    assert caught.value.code == expected(folder)


def test_why_a_card_cannot_be_used_is_said() -> None:
    """Before, only that it cannot."""
    result = verify(HOME / "read" / "card-dates" / "key-card.json", Asked(today=dt.date(2026, 11, 18)))
    (check,) = result.checks
    assert (check.code, len(check.where)) == ("key-card", 1)
    assert "longer than three years" in check.where[0]


@pytest.mark.parametrize("folder", RECORD, ids=lambda folder: folder.name)
def test_a_record_with_what_lies_beside_gives_the_code_it_is_named_by(folder: Path) -> None:
    how = json.loads((folder / "how.json").read_bytes())
    today = dt.date.fromisoformat(how["today"])
    asked = Asked(today=today, trust=trust.from_fingerprint(how["trust"]), words=Catalogue("en"))
    assert expected(folder) in [check.code for check in verify(folder / "record.json", asked).checks]


def test_every_code_has_a_vector() -> None:
    here = {expected(folder) for folder in RECORD}
    assert {*CARD_CODES, *STATEMENT_CODES} - here == NOT_BY_FILES_ALONE
    words = Catalogue("en")
    faults = set(words.table("keycard.fault")) - {"other", "card-twice", "card-handover-twice"}
    assert faults <= {expected(folder) for folder in READ}
