"""A second record of the same object: the chain from job folder to verify, through the command."""

from __future__ import annotations

import base64
import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from dossier.flows.verifying import chain

Run = Callable[..., Any]
EARLIER = "../satchel-2026/record.json"


def later_job(job: Path, home: Path, earlier: str = EARLIER) -> Path:
    """The same job again, with the record of the first named as earlier, and its work left out."""
    shutil.copytree(job.parent / "keys", home / "keys", dirs_exist_ok=True)
    shutil.copy(job.parent / "workshop.toml", home)
    folder = shutil.copytree(job, home / "satchel-2028")
    text = (folder / "job.toml").read_text(encoding="utf-8").replace("2026-", "2028-")
    (folder / "job.toml").write_text(f'earlier_records = ["{earlier}"]\n{text}', encoding="utf-8")
    work = (folder / "work.csv").read_text(encoding="utf-8").splitlines()
    rows = [work[0], "2028-03-06,AB,1,,cleaned,with a soft brush,,,A1"]
    rows += [f"2028-03-06,AB,{n},,left as found,,,,A1" for n in (2, 3, 4, 5, 6)]
    (folder / "work.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def two(job: Path, output: Path, run: Run, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the first dossier (satchel-2026) and the one that follows it (second)."""
    home = tmp_path_factory.mktemp("chain")
    shutil.copytree(output, home / "satchel-2026")
    folder = later_job(job, home)
    ran = run("compile", folder, "--to", home / "second")
    assert ran.code == 0, ran.err
    return home


def payload_of(folder: Path) -> dict[str, Any]:
    text = json.loads((folder / "record.json").read_text(encoding="utf-8"))["payload"]
    plain: dict[str, Any] = json.loads(base64.urlsafe_b64decode(text + "=" * (-len(text) % 4)))
    return plain


def chain_of(run: Run, *files: Path) -> tuple[str, str]:
    """(verdict, code) of check 10 of the first file."""
    result = json.loads(run("verify", *files, "--json").out)[0]
    (found,) = [(c["verdict"], c["code"]) for c in result["checks"] if c["number"] == 10]
    return found


def test_what_was_new_in_2026_is_not_original_in_2028(two: Path) -> None:
    """Part 4, the lining, is typed as original both times; it was replaced in the first job."""
    second = payload_of(two / "second")
    (lining,) = [row for row in second["parts_now"] if row["part"] == "4"]
    assert lining["now"] == "earlier replacement"
    (part,) = [row for row in second["parts"] if row["number"] == "4"]
    assert part["came_as"] == "original"  # the reading of the second job stands too
    (history,) = [row for row in second["part_history"] if row["parts"] == ["4"]]
    assert history["differs"] and history["said"][0]["now"][0]["now"] == "new, like for like"
    assert any("as said before" in s["text"] and "lining" in s["text"] for s in second["disclosure"])
    assert [gap["code"] for gap in second["gaps"] if "differently" in gap["text"]] == ["read-differently"]


def test_the_first_record_is_tied_in_as_it_was_seen(two: Path) -> None:
    first, second = payload_of(two / "satchel-2026"), payload_of(two / "second")
    (tied,) = second["earlier_records"]
    assert tied["record"] == first["record"]
    assert tied["checked"] == "signature matches, key not confirmed"  # a trial key never is


def test_verify_walks_the_chain(two: Path, run: Run) -> None:
    second = two / "second" / "dossier.pdf"
    assert chain_of(run, second) == ("could not tell", "earlier-records-not-here")
    assert chain_of(run, second, two / "satchel-2026" / "dossier.pdf") == ("matches", "earlier-records-match")
    assert chain_of(run, second, two / "satchel-2026" / "record.json") == ("matches", "earlier-records-match")
    assert chain_of(run, two / "satchel-2026" / "dossier.pdf") == ("not applicable", "no-earlier-records")


def test_verify_finds_earlier_records_in_the_folder(two: Path, run: Run, tmp_path: Path) -> None:
    copy = shutil.copytree(two / "second", tmp_path / "copy")
    (copy / "earlier").mkdir()
    shutil.copy(two / "satchel-2026" / "record.sd-jwt", copy / "earlier" / "first.sd-jwt")
    assert chain_of(run, copy) == ("matches", "earlier-records-match")


@pytest.mark.parametrize(
    "where",
    ["earlier/e/withdrawal.json", "earlier/e/statements/w.json", "earlier/w.json", "earlier/later/w.json"],
)
def test_an_earlier_record_in_the_folder_that_was_withdrawn_is_told(
    where: str, two: Path, job: Path, run: Run, tmp_path: Path
) -> None:
    """It lies in a folder of its own, as it was handed over, and what its workshop said later with it."""
    copy = shutil.copytree(two / "second", tmp_path / "copy")
    shutil.copytree(two / "satchel-2026", copy / "earlier" / "e")
    said = copy / where
    said.parent.mkdir(exist_ok=True)
    key = job.parent / "keys" / "trial-key.pem"
    ran = run(
        "declare", "withdrawal", copy / "earlier" / "e", "--reason", "error", "--key", key, "--to", said
    )
    assert ran.code == 0, ran.err
    ran = run("verify", copy, "--json")
    found = {c["code"]: c["where"] for c in json.loads(ran.out)[0]["checks"] if c["number"] == 10}
    assert list(found) == ["earlier-records-match", "earlier-record-withdrawn"]
    assert "error" in found["earlier-record-withdrawn"][0]
    assert json.loads(ran.out)[0]["overall"] == "not confirmed"


@pytest.mark.parametrize("link", ["w.json", "statements"])
def test_a_link_among_the_earlier_records_may_be_the_withdrawal(
    link: str, two: Path, run: Run, tmp_path: Path
) -> None:
    """Also where every other thing in there is a folder of its own."""
    copy = shutil.copytree(two / "second", tmp_path / "copy")
    shutil.copytree(two / "satchel-2026", copy / "earlier" / "e")
    (tmp_path / "aside").mkdir()
    (copy / "earlier" / link).symlink_to(tmp_path / "aside")
    if link == "w.json":
        (copy / "earlier" / link).unlink()
        (copy / "earlier" / link).symlink_to(tmp_path / "aside" / "w.json")
    found = {c["code"]: c["where"] for c in of_tenth(run, copy)}
    assert list(found) == ["earlier-records-match", "earlier-statements-not-all-read"]
    assert found["earlier-statements-not-all-read"][0].startswith(f"earlier/{link}")


@pytest.mark.parametrize("which", ["a linked folder", "beyond the bound", "the folder itself"])
def test_what_was_not_looked_at_among_the_earlier_records_is_named(
    which: str, two: Path, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At check 10 of whoever builds on one that is at hand, and beside the PDF in any case."""
    copy = shutil.copytree(two / "second", tmp_path / "copy")
    aside = shutil.copytree(two / "satchel-2026", tmp_path / "aside" / "e")
    (copy / "earlier").mkdir()
    name = "earlier/z/"
    if which == "a linked folder":
        (copy / "earlier" / "z").symlink_to(aside)
    elif which == "beyond the bound":
        monkeypatch.setattr(chain, "MOST_FILES", 1)
        shutil.copytree(aside, copy / "earlier" / "e")
        (copy / "earlier" / "z").mkdir()
    else:
        (copy / "earlier").rmdir()
        (copy / "earlier").symlink_to(aside.parent)
        name = "earlier"
    if which == "a linked folder":
        assert [c["code"] for c in of_tenth(run, copy)] == ["earlier-records-not-here"]
    found = {c["code"]: c["where"] for c in of_tenth(run, copy, aside)}
    assert list(found) == ["earlier-records-match", "earlier-statements-not-all-read"]
    assert found["earlier-statements-not-all-read"] == ["earlier/" if name == "earlier" else name]
    checks = json.loads(run("verify", copy, "--json").out)[0]["checks"]
    (beside,) = [c["where"] for c in checks if c["code"] == "file-beside-not-checked"]
    assert [one for one in beside if one.startswith(name)]


def test_an_earlier_record_in_a_bag_is_one_at_hand(two: Path, run: Run, tmp_path: Path) -> None:
    """A bag of an archive can be given to any command that takes a dossier."""
    archive = tmp_path / "archive"
    assert run("archive", two / "satchel-2026", "--to", archive, "--without-job").code == 0
    (bag,) = (archive / "bags").iterdir()
    assert [c["code"] for c in of_tenth(run, two / "second", bag)] == ["earlier-records-match"]


def of_tenth(run: Run, *files: Path) -> list[dict[str, Any]]:
    checks = json.loads(run("verify", *files, "--json").out)[0]["checks"]
    return [check for check in checks if check["number"] == 10]


REASONS = {
    "withdrawal": ("withdrew it", "earlier-withdrawn", "was withdrawn"),
    "correction": ("corrected it", "earlier-corrected", "was corrected"),
}


@pytest.mark.parametrize("kind", REASONS)
@pytest.mark.parametrize("where", ["e", "e/statements", "next/earlier"])
def test_whoever_starts_from_what_was_taken_back_is_told(
    kind: str, where: str, job: Path, output: Path, run: Run, tmp_path: Path
) -> None:
    """By the command that starts the job and by the look at it, wherever it lies; also of a PDF."""
    told, code, message = REASONS[kind]
    shutil.copytree(output, tmp_path / "e")
    (tmp_path / "e" / "statements").mkdir()
    key = job.parent / "keys" / "trial-key.pem"
    rows = ["--rows", "parts/4"] if kind == "correction" else []
    first = tmp_path / "e"
    place = tmp_path / "said.json" if where.startswith("next") else tmp_path / where / "said.json"
    ran = run("declare", kind, first, "--reason", "a slip", *rows, "--key", key, "--to", place)
    assert ran.code == 0, ran.err
    for given in (first, first / "dossier.pdf"):
        shutil.rmtree(tmp_path / "next", ignore_errors=True)
        ran = run("new", tmp_path / "next", "--from", given)
        if where.startswith("next"):
            (tmp_path / "next" / "earlier").mkdir(exist_ok=True)
            shutil.copy(place, tmp_path / "next" / "earlier")
        else:
            assert told in ran.out and "a slip" in ran.out
            assert ("part 4" in ran.out) == bool(rows)
        looked = json.loads(run("check", tmp_path / "next", "--json").out)["findings"]
        (found,) = [one for one in looked if one["code"] == code]
        assert message in found["message"] and "a slip" in found["message"]
        assert ("part 4" in found["message"]) == bool(rows)


def test_what_is_signed_on_top_of_it_says_so(two: Path, job: Path, run: Run, tmp_path: Path) -> None:
    """The record itself says it, without the reason, which may be private, and the command names it."""
    home = tmp_path / "home"
    shutil.copytree(two / "satchel-2026", home / "satchel-2026")
    folder = later_job(job, home)
    key = job.parent / "keys" / "trial-key.pem"
    ran = run("declare", "withdrawal", home / "satchel-2026", "--reason", "owed by B. Hale", "--key", key)
    assert ran.code == 0, ran.err
    ran = run("compile", folder, "--to", home / "second")
    assert ran.code == 0 and "was withdrawn" in ran.err
    (gap,) = [one for one in payload_of(home / "second")["gaps"] if one["code"] == "earlier-withdrawn"]
    assert "Withdrawn by the workshop that signed it" in gap["text"] and "Hale" not in gap["text"]


def test_another_making_of_the_earlier_record_is_named(
    two: Path, job: Path, run: Run, tmp_path: Path
) -> None:
    ran = run("compile", job, "--to", tmp_path / "again", "--copy", "workshop")
    assert ran.code == 0, ran.err
    code = chain_of(run, two / "second" / "record.json", tmp_path / "again" / "record.json")
    assert code == ("does not match", "earlier-record-differs")


def test_an_earlier_record_that_was_changed_is_named(two: Path, run: Run, tmp_path: Path) -> None:
    """Its payload is the one named, and its signature no longer holds."""
    sealed = json.loads((two / "satchel-2026" / "record.json").read_text(encoding="utf-8"))
    text = sealed["signatures"][0]["signature"]
    sealed["signatures"][0]["signature"] = ("A" if text[0] != "A" else "B") + text[1:]
    changed = tmp_path / "record.json"
    changed.write_text(json.dumps(sealed, sort_keys=True, separators=(",", ":")), encoding="utf-8")
    code = chain_of(run, two / "second" / "record.json", changed)
    assert code == ("does not match", "earlier-record-not-in-order")


def test_a_job_with_an_earlier_record_that_does_not_check_is_not_compiled(
    two: Path, job: Path, run: Run, tmp_path: Path
) -> None:
    (tmp_path / "satchel-2026").mkdir()
    text = (two / "satchel-2026" / "record.json").read_text(encoding="utf-8")
    sealed = json.loads(text)
    signature = sealed["signatures"][0]["signature"]
    changed = text.replace(signature, ("A" if signature[0] != "A" else "B") + signature[1:])
    (tmp_path / "satchel-2026" / "record.json").write_text(changed, encoding="utf-8")
    folder = later_job(job, tmp_path)
    looked = json.loads(run("check", folder, "--json").out)
    (found,) = [f for f in looked["findings"] if f["code"] == "earlier-record-not-in-order"]
    assert (found["level"], found["at"]["file"], found["at"]["line"]) == ("error", "job.toml", 1)
    ran = run("compile", folder, "--to", tmp_path / "out")
    assert ran.code == 65
    assert not (tmp_path / "out").exists()
