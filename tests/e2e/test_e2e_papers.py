"""The papers through the command line, as a person makes them."""

from __future__ import annotations

import hashlib
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from dossier.account.slip import slip_of
from dossier.pictures.codes import read_codes

Run = Callable[..., Any]
KINDS: dict[str, tuple[str, ...]] = {
    "slip": ("slip",),
    "labels": ("labels",),
    "receipt": ("receipt",),
    "estimate": ("estimate",),
    "handover": ("receipt", "--handover"),
}
SECRETS = ("Quillon", "Hidden Street", "555 0199", "480 EUR", "Xyzzy")


@pytest.fixture
def own_job(job: Path, tmp_path: Path) -> Path:
    shutil.copytree(job.parent, tmp_path / "shop")
    return tmp_path / "shop" / job.name


def text_of(pdf: Path) -> str:
    with pypdfium2.PdfDocument(pdf) as opened:
        return " ".join(" ".join(page.get_textpage().get_text_bounded() for page in opened).split())


def digests(folder: Path) -> dict[str, str]:
    return {
        str(p): hashlib.sha256(p.read_bytes()).hexdigest() for p in sorted(folder.rglob("*")) if p.is_file()
    }


@pytest.mark.parametrize("kind", KINDS)
def test_a_paper_lies_beside_the_job_and_conforms(
    kind: str, own_job: Path, run: Run, assert_conforming: Any
) -> None:
    before = digests(own_job)
    done = run(*KINDS[kind], own_job)
    assert (done.code, "traceback" in done.err.lower()) == (0, False)
    target = own_job.parent / f"satchel-{kind}.pdf"
    assert str(target) in done.out
    assert_conforming(target.read_bytes())
    assert digests(own_job) == before
    assert sorted(p.name for p in own_job.parent.glob(".*")) == []


@pytest.mark.parametrize("kind", KINDS)
def test_only_private_papers_name_people_and_say_so(kind: str, own_job: Path, run: Run) -> None:
    private = kind in ("receipt", "estimate", "handover")
    done = run(*KINDS[kind], own_job)
    text = text_of(own_job.parent / f"satchel-{kind}.pdf")
    assert ("Quillon" in text) == private
    assert ("private" in text.lower()) == private
    assert ("private" in done.err) == private
    if not private:
        assert [secret for secret in SECRETS if secret in text] == []


def test_a_file_is_replaced_only_when_asked(own_job: Path, run: Run, tmp_path: Path) -> None:
    target = tmp_path / "out" / "slip.pdf"
    assert run("slip", own_job, "--to", target).code == 0
    first = target.read_bytes()
    done = run("slip", own_job, "--stage", "opened", "--to", target)
    assert done.code == 73
    assert "--replace" in done.err
    assert target.read_bytes() == first
    assert run("slip", own_job, "--stage", "opened", "--to", target, "--replace").code == 0
    assert target.read_bytes() != first


@pytest.mark.parametrize("where", ["satchel/slip.pdf", "satchel/photos/x/slip.pdf"])
def test_nothing_is_written_into_the_job(where: str, own_job: Path, run: Run) -> None:
    before = digests(own_job)
    done = run("slip", own_job, "--to", own_job.parent / where)
    assert done.code == 64
    assert digests(own_job) == before


def test_a_folder_or_link_is_not_replaced(own_job: Path, run: Run, tmp_path: Path) -> None:
    (tmp_path / "there").mkdir()
    (tmp_path / "link.pdf").symlink_to(own_job / "job.toml")
    before = digests(own_job)
    assert run("slip", own_job, "--to", tmp_path / "there", "--replace").code == 73
    assert run("slip", own_job, "--to", tmp_path / "slip.png").code == 64
    assert run("slip", own_job, "--to", tmp_path / "link.pdf", "--replace").code in (64, 73)
    assert digests(own_job) == before


def test_the_slip_names_the_stage_of_the_job_or_the_one_asked_for(
    own_job: Path, run: Run, tmp_path: Path
) -> None:
    for stage, words in (("returned", ()), ("looked at", ("--stage", "looked at"))):
        target = tmp_path / f"{stage}.pdf"
        assert run("slip", own_job, "--to", target, *words).code == 0
        with pypdfium2.PdfDocument(target) as opened:
            opened[0].render(scale=150 / 72).to_pil().save(tmp_path / "slip.jpg")
        assert [slip_of(text) for text in read_codes(tmp_path / "slip.jpg")] == [("2026-007", stage)]


def test_a_slip_can_be_made_of_a_job_with_errors_but_no_receipt(own_job: Path, run: Run) -> None:
    with (own_job / "work.csv").open("a", encoding="utf-8") as file:
        file.write("2026-03-22,AB,77,,cleaned,,,,\n")
    assert run("slip", own_job).code == 0
    done = run("receipt", own_job)
    assert done.code == 65
    assert "work.csv:8" in done.err
    assert not (own_job.parent / "satchel-receipt.pdf").exists()


def test_labels_for_parts_that_are_not_there_are_refused_all_at_once(own_job: Path, run: Run) -> None:
    done = run("labels", own_job, "--part", "3", "--part", "88", "--part", "99")
    assert done.code == 64
    assert "88, 99" in done.err


def test_labels_for_what_lies_apart_for_some_and_for_all(own_job: Path, run: Run, tmp_path: Path) -> None:
    said = []
    for number, words in enumerate(((), ("--part", "3"), ("--all",))):
        target = tmp_path / f"{number}.pdf"
        assert run("labels", own_job, "--to", target, *words).code == 0
        said.append(text_of(target))
    assert ["4 lining" in text for text in said] == [True, False, True]
    assert ["3 buckle" in text for text in said] == [False, True, True]


def test_a_folder_that_is_no_job(run: Run, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    done = run("estimate", tmp_path / "empty")
    assert done.code == 65
    assert "hint:" in done.err


def test_what_was_said_at_the_door_is_on_the_receipt_and_in_no_record(
    own_job: Path, run: Run, tmp_path: Path
) -> None:
    with (own_job / "job.toml").open("a", encoding="utf-8") as file:
        file.write(
            '[taken_in]\nwith_it = ["a tin with Frobozz stickers"]\nspend_at_most = "EUR 4321.00"\n'
            'may_be_shown = "ask each time"\n'
        )
    assert run("receipt", own_job).code == 0
    text = text_of(own_job.parent / "satchel-receipt.pdf")
    assert "a tin with Frobozz stickers" in text
    assert "EUR 4321.00" in text
    assert run("compile", own_job, "--to", tmp_path / "out", "--originals", "none").code == 0
    everything = b"".join(p.read_bytes() for p in (tmp_path / "out").rglob("*") if p.is_file())
    assert b"Frobozz" not in everything
    assert "Frobozz" not in text_of(tmp_path / "out" / "dossier.pdf")


def test_an_answer_that_is_none_of_the_three_is_refused_with_its_line(own_job: Path, run: Run) -> None:
    with (own_job / "job.toml").open("a", encoding="utf-8") as file:
        file.write('[taken_in]\nmay_be_shown = "perhaps"\n')
    done = run("receipt", own_job)
    assert done.code == 65
    assert "job.toml:" in done.err
    assert "ask each time" in done.err
