"""The output folder, on disks and in places that make trouble."""

from __future__ import annotations

import errno
from collections.abc import Callable
from pathlib import Path

import pytest

from dossier.errors import ChangedError, OutputError
from dossier.flows import output
from dossier.flows.compiling import writing


@pytest.mark.parametrize("named", [".", "..", "../shop"])
def test_the_folder_somebody_stands_in_is_not_taken_away(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, named: str
) -> None:
    """rename(2) and rmdir(2) leave a process in a folder without a name; Windows refuses them (error 32)."""
    here = tmp_path / "shop" / "here"
    here.mkdir(parents=True)
    monkeypatch.chdir(here if named != "../shop" else here.parent)
    with pytest.raises(OutputError, match="you stand in"), output.output_folder(Path(named), replace=True):
        pytest.fail("nothing may be begun")
    assert [p.name for p in tmp_path.rglob("*")] == ["shop", "here"]


def test_a_link_is_not_taken_for_the_folder_it_leads_to(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "real", target_is_directory=True)
    with (
        pytest.raises(OutputError, match="this is a link to another place"),
        output.output_folder(tmp_path / "link", replace=True),
    ):
        pytest.fail("nothing may be begun")
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(OutputError, match="this is not a folder"):
        output.check_target(tmp_path / "file", replace=True)


def test_a_full_disk_is_said_of_the_folder_that_was_asked_for(tmp_path: Path) -> None:
    """Not of the file aside, which is gone when somebody looks; the words are those of errno(3)."""
    target = tmp_path / "dossier"
    cause = OSError(errno.ENOSPC, "No space left on device")
    with pytest.raises(OutputError) as said, output.output_folder(target, replace=False) as aside:
        raise OutputError(f"{aside}/dossier.pdf: could not be written") from cause
    assert said.value.message == f"{target}: could not be written: No space left on device"
    assert "--to" in (said.value.hint or "")  # the way out, also from a medium that is only read
    assert list(tmp_path.iterdir()) == []


def test_a_photograph_that_is_gone_is_no_fault_of_the_output(tmp_path: Path) -> None:
    """The stick was pulled out: "the dossier could not be written, name another folder" had been said."""
    gone = writing.Original(
        name="photo-001.jpg", path=tmp_path / "IMG_1.jpg", media_type="image/jpeg", bytes=1, sha256=""
    )
    with (
        pytest.raises(ChangedError, match=r"IMG_1.jpg: could not be read: No such file or directory"),
        output.output_folder(tmp_path / "dossier", replace=False) as aside,
    ):
        writing._copy_original(aside / gone.name, gone)
    assert list(tmp_path.iterdir()) == []


def test_a_pipe_in_the_place_of_a_photograph_is_not_waited_for(
    tmp_path: Path, pipe: Callable[[Path], None]
) -> None:
    pipe(tmp_path / "IMG_1.jpg")
    original = writing.Original(
        name="photo-001.jpg", path=tmp_path / "IMG_1.jpg", media_type="image/jpeg", bytes=1, sha256=""
    )
    with pytest.raises(ChangedError, match=r"IMG_1.jpg: could not be read"):
        writing._copy_original(tmp_path / "copy", original)


def test_other_failures_keep_their_words(tmp_path: Path) -> None:
    with (
        pytest.raises(OutputError, match="not what it was"),
        output.output_folder(tmp_path / "dossier", replace=False),
    ):
        raise OutputError("photo.jpg is not what it was")


def test_the_job_folder_is_known_by_any_spelling(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Disks of macOS tell no case apart, and resolve() leaves a name as it is typed there (stat: st_ino)."""
    job = tmp_path / "job"
    job.mkdir()
    (tmp_path / "link").symlink_to(job, target_is_directory=True)
    assert output.lies_in(job / "out", job) and output.lies_in(job, job)
    assert output.lies_in(tmp_path / "link" / "a" / "out", job)
    assert not output.lies_in(tmp_path / "JOB" / "out", job)
    assert not output.lies_in(tmp_path / "job-dossier", job)

    def same(one: Path, other: Path) -> bool:
        return str(one).casefold() == str(other).casefold()

    monkeypatch.setattr(Path, "samefile", same)
    assert output.lies_in(tmp_path / "JOB" / "out", job)
    assert not output.lies_in(tmp_path / "JOB-dossier", job)


@pytest.mark.parametrize("shut", ["d", "d-owner", "d-insurer"])
def test_of_several_all_are_replaced_or_none(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, shut: str
) -> None:
    """One of them is open in a viewer, as Windows answers then; those before it had been put in place."""
    targets = [tmp_path / name for name in ("d", "d-owner", "d-insurer")]
    for target in targets[:2]:
        target.mkdir()
        (target / "dossier.pdf").write_text("old")

    def move(source: Path, target: Path) -> None:
        ours = source.name.endswith(output.PARTIAL)
        if source == tmp_path / shut or (ours and target == tmp_path / shut):
            raise PermissionError(errno.EACCES, "Permission denied", str(source))
        source.rename(target)

    monkeypatch.setattr(output, "move", move)
    with pytest.raises(OutputError) as said, output.output_folders(targets, replace=True) as asides:
        for aside in asides:
            (aside / "dossier.pdf").write_text("new")
    assert said.value.message == f"{tmp_path / shut}: could not be written: Permission denied"
    assert sorted(tmp_path.iterdir()) == sorted(targets[:2])
    assert [(target / "dossier.pdf").read_text() for target in targets[:2]] == ["old", "old"]


def test_of_several_all_are_replaced(tmp_path: Path) -> None:
    targets = [tmp_path / "d", tmp_path / "d-owner"]
    targets[1].mkdir()
    with output.output_folders(targets, replace=True) as asides:
        for number, aside in enumerate(asides):
            (aside / "dossier.pdf").write_text(str(number))
    assert [(target / "dossier.pdf").read_text() for target in targets] == ["0", "1"]
    assert sorted(tmp_path.iterdir()) == targets
