"""With which copy the original photographs may go: the workshop's; the owner's, cleared; no other."""

from __future__ import annotations

import msgspec
import pytest

from dossier.errors import UsageError
from dossier.flows.compiling.options import Options, check_originals
from dossier.model.job import Job, PhotoFacts, Workshop
from dossier.model.rows import Object
from dossier.model.words import COPIES, CopyKind
from dossier.pages.options import Originals
from dossier.words import Catalogue

WORDS = Catalogue("en")
JOB = Job(number="1", workshop=Workshop(name="A Workshop"), object=Object(type="satchel"))


def job(**facts: object) -> Job:
    named = PhotoFacts(file="a.jpg", bytes=1, taken="2026-03-01T09:00:00+01:00", **facts)  # type: ignore[arg-type]
    return msgspec.structs.replace(JOB, photo_facts=(named,))


def test_by_itself_only_the_workshops_copy_has_them() -> None:
    assert {copy: Options(copy=copy).where for copy in COPIES} == {
        "workshop": "beside",
        "owner": "none",
        "resale": "none",
        "insurer": "none",
    }
    for copy in COPIES:
        check_originals(Options(copy=copy), job(has_position=True), WORDS)


@pytest.mark.parametrize("originals", ["beside", "inside"])
@pytest.mark.parametrize("copy", ["resale", "insurer"])
def test_others_never_have_them(copy: CopyKind, originals: Originals) -> None:
    with pytest.raises(UsageError, match=copy):
        check_originals(Options(copy=copy, originals=originals), job(), WORDS)
    check_originals(Options(copy=copy, originals="none"), job(has_position=True), WORDS)


@pytest.mark.parametrize(
    "facts", [{"has_position": True}, {"body_digest": "0" * 64}, {"camera": "L 5"}, {"software": "14.6"}]
)
def test_the_owner_has_them_only_cleared(facts: dict[str, object]) -> None:
    asked = Options(copy="owner", originals="beside")
    check_originals(asked, job(), WORDS)
    check_originals(Options(originals="inside"), job(**facts), WORDS)
    with pytest.raises(UsageError, match=r"a\.jpg"):
        check_originals(asked, job(**facts), WORDS)
