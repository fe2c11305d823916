"""The look at a job's photographs: on folders made here of public photographs (`picture_scenes`)."""

from __future__ import annotations

import errno
import hashlib
import shutil
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import cv2
import msgspec
import numpy as np
import picture_scenes as scenes
import pytest
import qrcode
from click.testing import CliRunner
from dng_files import a_dng
from PIL import Image, ImageFilter

from dossier.account.slip import slip_text
from dossier.cli import program
from dossier.errors import OutputError, UsageError
from dossier.flows import photographs
from dossier.flows.looking import writing
from dossier.intake.folder import read_job
from dossier.intake.template import new_job
from dossier.model.job import PhotoFacts
from dossier.words import Catalogue

WORDS = Catalogue()
NAMES = ("astronaut", "coffee", "coins")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job with three pairs and one photograph alone."""
    folder = tmp_path_factory.mktemp("made") / "job"
    new_job(folder)
    photos = folder / "photos"
    photos.mkdir(exist_ok=True)
    lines = ["file,stage,caption"]
    for number, name in enumerate(NAMES):
        pair = scenes.pair(name, "gravel", number)
        for side, stage, pixels in (("b", "received", pair.before), ("a", "done", pair.after)):
            save(photos / f"{side}{number}.jpg", pixels)
            lines.append(f'{side}{number}.jpg,{stage},"one, {name}"')
    save(photos / "alone.jpg", scenes.covering(scenes.photograph("rockery"), scenes.SIZE))
    (folder / "photos.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    return folder


@pytest.fixture
def job(made: Path, tmp_path: Path) -> Path:
    """The same in a folder of the test's own, to be changed."""
    return shutil.copytree(made, tmp_path / "job")


def save(path: Path, pixels: np.ndarray, quality: int = 92) -> None:
    assert cv2.imwrite(str(path), pixels[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, quality])


def digests(folder: Path) -> dict[str, str]:
    files = (path for path in folder.rglob("*") if path.is_file())
    return {str(path): hashlib.sha256(path.read_bytes()).hexdigest() for path in files}


def codes(looked: photographs.Looked) -> set[tuple[str, str]]:
    return {(finding.code, finding.at.file.removeprefix("photos/")) for finding in looked.findings}


def test_good_photographs_and_their_pairs(job: Path) -> None:
    before = digests(job)
    looked = photographs.look(job, WORDS)
    pairs = photographs.propose(looked)
    assert codes(looked) == set()
    assert {(p.before.row.file, p.after.row.file) for p in pairs} == {
        (f"b{n}.jpg", f"a{n}.jpg") for n in range(3)
    }
    assert digests(job) == before
    # Of two shots of one side that show the same the lesser is not offered as well.
    place = {photo.row.file: index for index, photo in enumerate(looked.photos)}
    for other, count in (("b1.jpg", 2), ("a0.jpg", 3)):
        copied = msgspec.structs.replace(looked, copies={place["b0.jpg"]: place[other]})
        assert len(photographs.propose(copied)) == count


def test_a_row_of_the_list_that_cannot_be_read_is_said(job: Path) -> None:
    """Else no pair is proposed, and the advice is to write the stage, which somebody wrote."""
    (job / "photos.csv").write_text("file,stage\nb0.jpg,befor\n", encoding="utf-8")
    said = CliRunner().invoke(program, ["photographs", str(job)]).output
    assert "photos.csv:2:8: " in said
    assert "[unknown-word]" in said


def test_what_is_wrong_is_said(job: Path) -> None:
    photos = job / "photos"
    (photos / "same.jpg").write_bytes((photos / "alone.jpg").read_bytes())
    small = cv2.resize(scenes.photograph("coffee"), (480, 320), interpolation=cv2.INTER_AREA)
    save(photos / "cup.jpg", scenes.photograph("coffee"))
    save(photos / "small cup.jpg", small, 60)
    chelsea = scenes.covering(scenes.photograph("chelsea"), scenes.SIZE)
    save(photos / "shaken.jpg", cv2.GaussianBlur(chelsea, (0, 0), 6))
    save(photos / "dark.jpg", (chelsea * 0.15).astype(np.uint8))
    Image.fromarray(np.full((2000, 900, 3), 200, np.uint8)).save(photos / "IMG_9.png")
    exif = Image.Exif()
    exif[0x0131] = "A Photo Editor 3"  # tag Software
    Image.fromarray(scenes.photograph("rocket")).resize((1280, 854)).save(photos / "saved.jpg", exif=exif)
    # Of one edited and the camera's own, smaller one the edited is the lesser; of two shots the blurred one.
    exif = Image.Exif()
    exif[0x0110] = "Box 2"  # tag Model
    rocket = Image.fromarray(scenes.photograph("rocket")).resize((960, 640))
    rocket.save(photos / "taken.jpg", exif=exif)
    rocket.filter(ImageFilter.GaussianBlur(2.5)).save(photos / "moved.jpg", exif=exif)
    (photos / "cut.jpg").write_bytes((photos / "alone.jpg").read_bytes()[:30_000])
    looked = photographs.look(job, WORDS)
    found = codes(looked)
    assert found >= {
        ("photo-same-file", "same.jpg"),
        ("photo-nearly-same", "small cup.jpg"),
        ("photo-too-small", "small cup.jpg"),
        ("photo-blurred", "shaken.jpg"),
        ("photo-too-dark", "dark.jpg"),
        ("photo-screen", "IMG_9.png"),
        ("photo-edited", "saved.jpg"),
        ("photo-nearly-same", "saved.jpg"),
        ("photo-nearly-same", "moved.jpg"),
        ("photograph-cannot-serve", "cut.jpg"),  # as the reader of the job says it
    }
    assert not {file for _, file in found} & {
        "alone.jpg",
        "a0.jpg",
        "b0.jpg",
        "a1.jpg",
        "b1.jpg",
        "taken.jpg",
    }
    for finding in looked.findings:
        assert finding.message
        assert WORDS.has(f"evidence.hint.{finding.code}") or finding.code == "photograph-cannot-serve"
        assert finding.hint


def test_shots_of_one_moment_are_each_named_once_and_blank_ones_never(tmp_path: Path) -> None:
    """A public photograph saved at five qualities; three pictures of a single colour."""
    folder = tmp_path / "job"
    new_job(folder)
    photos = folder / "photos"
    photos.mkdir(exist_ok=True)
    for number in range(5):
        save(photos / f"{number}.jpg", scenes.photograph("coffee"), 50 + 10 * number)
    for number, grey in enumerate((255, 250, 0)):
        save(photos / f"blank{number}.jpg", np.full((600, 800, 3), grey, np.uint8))
    found = [f for f in photographs.look(folder, WORDS).findings if f.code == "photo-nearly-same"]
    assert sorted(f.at.file for f in found) == [f"photos/{n}.jpg" for n in range(1, 5)]
    assert all("as 0.jpg" in f.message for f in found)


def test_a_sitting_that_shows_another_thing_is_a_hint(tmp_path: Path) -> None:
    folder = tmp_path / "2026-032"
    new_job(folder)
    photos = folder / "photos"
    photos.mkdir(exist_ok=True)
    lines = ["file,stage"]
    for number, name in enumerate(("astronaut", "coffee", "astronaut")):
        # What is changed shows another texture in the other job: a shared one would be in common.
        other = "brick" if name == "coffee" else "gravel"
        pair, again = scenes.pair(name, other, number), scenes.pair(name, other, number + 9)
        shown = (pair.before, again.before, pair.after)
        for shot, pixels in enumerate(shown):
            file = f"{number}{shot}.jpg"
            save_taken(photos / file, pixels, f"2026:03:0{number + 1} 09:0{shot}:00")
            lines.append(f"{file},{'done' if number == 2 else 'received'}")
    (folder / "photos.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    looked = photographs.look(folder, WORDS)
    hints = [f for f in looked.findings if f.code == "photo-unlike-the-rest"]
    assert [f.at.file for f in hints] == ["photos/10.jpg"]
    assert "10.jpg to 12.jpg, 3 photographs" in hints[0].message
    assert hints[0].level == "now"


def test_a_raw_file_is_looked_at_by_its_preview(job: Path) -> None:
    content = a_dng()
    (job / "photos" / "raw.dng").write_bytes(content)
    looked = photographs.look(job, WORDS)
    assert ("photo-preview", "raw.dng") in codes(looked)
    said = next(f.message for f in looked.findings if f.code == "photo-preview")
    assert "600 x 800" in said
    assert (job / "photos" / "raw.dng").read_bytes() == content


def test_a_proposal_is_read_as_it_was_meant(job: Path) -> None:
    """The job's own reader is the check: every row as before, with its pair."""
    looked = photographs.look(job, WORDS)
    pairs = photographs.propose(looked)
    path = writing.write_proposal(job, looked, pairs, WORDS)
    assert path.name == "photos.proposed.csv"
    path.replace(job / "photos.csv")
    again, _ = read_job(job)
    assert again is not None
    by_file = {row.file: row for row in again.photo_rows}
    assert all(by_file[p.before.row.file].pair == by_file[p.after.row.file].pair == p.name for p in pairs)
    assert by_file["alone.jpg"].pair == ""
    assert by_file["b1.jpg"].caption == "one, coffee"
    assert photographs.propose(photographs.look(job, WORDS)) == ()


def test_nothing_is_written_over(job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    looked = photographs.look(job, WORDS)
    pairs = photographs.propose(looked)
    writing.write_proposal(job, looked, pairs, WORDS)
    before = digests(job)
    with pytest.raises(OutputError, match="already there"):
        writing.write_proposal(job, looked, pairs, WORDS)
    assert digests(job) == before
    with pytest.raises(UsageError, match="job folder"):
        writing.check_sheet(job, job / "photos" / "sheet.jpg", WORDS)
    with pytest.raises(UsageError, match="JPEG"):
        writing.check_sheet(job, tmp_path / "sheet.png", WORDS)
    # Of three sheets the last is there: the first two had been written before that was seen.
    monkeypatch.setattr(writing, "draw", lambda strips, pieces: iter([b"1", b"2", b"3"]))
    sheets = [tmp_path / "sheet.jpg", tmp_path / "sheet-2.jpg", tmp_path / "sheet-3.jpg"]
    sheets[2].touch()
    with pytest.raises(OutputError, match="sheet-3"):
        writing.write_sheet(job, sheets[0], looked, pairs, WORDS)
    assert [path.exists() for path in sheets] == [False, False, True]
    sheets[2].unlink()
    assert writing.write_sheet(job, sheets[0], looked, pairs, WORDS) == sheets
    assert [path.read_bytes() for path in sheets] == [b"1", b"2", b"3"]


@pytest.mark.parametrize("links", [True, False])
def test_a_new_file_is_like_any_other_also_where_there_are_no_links(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, links: bool
) -> None:
    """exFAT knows no hard links (link(2): EPERM); a file may be read by whom the umask lets (POSIX open)."""
    if not links:

        def refused(path: Path, target: Path) -> None:
            raise PermissionError(errno.EPERM, "no links here")

        monkeypatch.setattr(Path, "hardlink_to", refused)
    (tmp_path / "usual").touch()
    new = tmp_path / "photos.csv"
    writing.write_new(new, b"file", WORDS)
    assert new.read_bytes() == b"file"
    assert new.stat().st_mode == (tmp_path / "usual").stat().st_mode
    with pytest.raises(OutputError, match=r"photos\.csv"):
        writing.write_new(new, b"other", WORDS)
    assert new.read_bytes() == b"file"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["photos.csv", "usual"]


def test_without_a_table_the_proposal_is_the_table(job: Path) -> None:
    (job / "photos.csv").unlink()
    assert writing.proposal_name(job) == "photos.csv"
    (job / "job.xlsx").touch()
    assert writing.proposal_name(job) == "photos.proposed.csv"


def test_the_command(job: Path, tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.jpg"
    result = CliRunner().invoke(program, ["photographs", str(job), "--propose", "--to", str(sheet)])
    assert result.exit_code == 0, result.output
    assert "7 photographs looked at: 3 from before the work, 3 from after" in result.output
    assert "and 6 more say no time of capture" in result.output
    assert "3 pairs proposed" in result.output
    likely = int(result.output.split("(sure: ")[1].split(")")[0]) < 3
    assert ("look at each that is not sure" in result.output) is likely
    with Image.open(sheet) as image:
        assert image.format == "JPEG"
        assert image.height > 2 * 255  # two pairs in a row
        assert not image.getexif()
    again = CliRunner().invoke(program, ["photographs", str(job), "--to", str(sheet)])
    assert isinstance(again.exception, OutputError)
    assert not list(job.glob(".*partial")) + list(tmp_path.glob(".*partial"))


def test_no_job(tmp_path: Path) -> None:
    result = CliRunner().invoke(program, ["photographs", str(tmp_path / "nowhere")])
    assert "no job" in str(result.exception)


def slip_picture(path: Path, text: str, when: str, offset: str = "") -> None:
    """A slip as a phone sees it: the code (drawn by the qrcode library) on a table, a little turned."""
    code = np.array(qrcode.make(text, box_size=9).convert("RGB"))
    table = np.full((900, 1200, 3), (120, 96, 70), np.uint8)
    high, wide = code.shape[:2]
    table[150 : 150 + high, 300 : 300 + wide] = code
    turn = cv2.getRotationMatrix2D((600, 450), 7, 0.95)
    save_taken(path, cv2.warpAffine(table, turn, (1200, 900), borderValue=(120, 96, 70)), when, offset)


def save_taken(path: Path, pixels: np.ndarray, when: str, offset: str = "", satellite: str = "") -> None:
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0x9003] = when
    if offset:
        exif.get_ifd(0x8769)[0x9011] = offset
    if satellite:  # EXIF 2.32, 4.6.6
        day, clock = satellite.split()
        exif.get_ifd(0x8825).update({0x1D: day, 7: tuple(float(part) for part in clock.split(":"))})
    Image.fromarray(pixels).save(path, exif=exif.tobytes(), quality=90)


@pytest.fixture
def sittings(tmp_path: Path) -> Path:
    """Two sittings with a slip each, one of another job, and one photograph whose stage somebody typed."""
    folder = tmp_path / "2026-031"
    new_job(folder)
    photos = folder / "photos"
    photos.mkdir(exist_ok=True)
    view = scenes.covering(scenes.photograph("coffee"), (600, 450))
    save_taken(photos / "a.jpg", view, "2026:03:01 09:00:00")
    slip_picture(photos / "b.jpg", slip_text("2026-031", "opened"), "2026:03:02 09:00:00")
    save_taken(photos / "c.jpg", view[::-1], "2026:03:02 09:05:00")
    save_taken(photos / "d.jpg", view[:, ::-1], "2026:03:02 09:06:00")
    slip_picture(photos / "e.jpg", slip_text("2026-030", "done"), "2026:03:03 09:00:00")
    save_taken(photos / "f.jpg", view[::-1, ::-1], "2026:03:03 09:01:00")
    (folder / "photos.csv").write_text("file,stage\nd.jpg,working\n", encoding="utf-8")
    return folder


def test_a_photographed_slip_sorts_what_follows_it(sittings: Path) -> None:
    looked = photographs.look(sittings, WORDS)
    stages = {row.file: row.stage for row in looked.job.photo_rows}
    assert (stages["b.jpg"], stages["c.jpg"]) == ("opened", "opened")
    assert stages["d.jpg"] == "working"  # what was typed stands
    assert stages["a.jpg"] != "opened"
    assert looked.sorted == 2
    assert {row.file: row.caption for row in looked.job.photo_rows}["b.jpg"] == "Job slip"


def test_a_slip_that_was_forgotten_is_said(sittings: Path) -> None:
    (sittings / "photos" / "e.jpg").unlink()
    job = sittings / "job.toml"
    job.write_text(job.read_text("utf-8").replace('# done = ""', 'done = "2026-03-03"', 1), encoding="utf-8")
    looked = photographs.look(sittings, WORDS)
    assert {row.file: row.stage for row in looked.job.photo_rows}["f.jpg"] is None
    (said,) = (f.message for f in looked.findings if f.code == "photo-slip-forgotten")
    assert 'f.jpg was taken when the job had come to "done" (2026-03-03)' in said


def test_what_follows_the_slip_of_another_job_is_a_hint(sittings: Path) -> None:
    looked = photographs.look(sittings, WORDS)
    assert {file for code, file in codes(looked) if code == "photo-of-another-job"} == {"e.jpg", "f.jpg"}
    hint = next(f for f in looked.findings if f.code == "photo-of-another-job")
    assert "2026-030" in hint.message
    assert hint.level == "now"


def test_slips_and_photographs_of_two_zones_and_a_wrong_clock(sittings: Path) -> None:
    """A telephone two hours east of the camera; the camera's clock lost a day and a half on 4 March."""
    photos = sittings / "photos"
    view = scenes.covering(scenes.photograph("coffee"), (600, 450))
    slip_picture(photos / "b.jpg", slip_text("2026-031", "opened"), "2026:03:02 11:00:00", "+02:00")
    save_taken(photos / "c.jpg", view[::-1], "2026:03:02 09:05:00", satellite="2026:03:02 08:58:00")
    slip_picture(photos / "e.jpg", slip_text("2026-031", "working"), "2026:03:04 09:00:00")
    for name in ("f.jpg", "g.jpg"):
        save_taken(photos / name, view[:, ::-1], "2026:03:02 21:01:00", satellite="2026:03:04 09:01:20")
    looked = photographs.look(sittings, WORDS)
    assert {row.file: row.stage for row in looked.job.photo_rows}["c.jpg"] == "opened"
    (found,) = (finding for finding in looked.findings if finding.code == "photo-clock")
    assert (found.at.file, "1 more" in found.message) == ("photos/f.jpg", True)
    assert '"1 d 12 h slow"' in found.hint
    lines = "file,clock\nf.jpg,1 d 12 h slow\ng.jpg,1 d 12 h slow\n"
    (sittings / "photos.csv").write_text(lines, encoding="utf-8")
    looked = photographs.look(sittings, WORDS)
    assert "photo-clock" not in {finding.code for finding in looked.findings}
    assert {row.file: row.stage for row in looked.job.photo_rows}["g.jpg"] == "working"
    assert {facts.file: facts.taken for facts in looked.job.photo_facts}[
        "g.jpg"
    ] == "2026-03-04T09:01:00+00:00"


def test_one_clock_is_said_once_however_its_seconds_fall() -> None:
    """Written from a clock 62 min 30 s fast, to the second or two that two clocks are read apart."""
    taken = (("a", "02:29", "x"), ("b", "02:31", "x"), ("c", "02:31", "y"), ("d", "30:00", "x"))
    facts = [
        PhotoFacts(
            file=f"{name}.jpg",
            bytes=1,
            media_type="image/jpeg",
            width=1,
            height=1,
            taken=f"2026-03-14T11:{minutes}+00:00",
            satellite="2026-03-14T10:00:00+00:00",
            camera=camera,
        )
        for name, minutes, camera in taken
    ]
    photos: list[Any] = [SimpleNamespace(facts=one) for one in facts]
    said = [one.message for one in photographs._clocks(photos, Catalogue("en"))]
    assert [text.partition(" and ")[0].partition(":")[0] for text in said] == ["a.jpg", "d.jpg", "c.jpg"]


def test_two_slips_in_one_picture_leave_open_what_follows(sittings: Path) -> None:
    """Which of the two a reader finds first is chance; and the slip before them is over too."""
    photos, view = sittings / "photos", scenes.covering(scenes.photograph("coffee"), (600, 450))
    slip_picture(photos / "b.jpg", slip_text("2026-031", "received"), "2026:03:02 09:00:00")
    with Image.open(photos / "b.jpg") as one, Image.open(photos / "e.jpg") as other:
        both = np.vstack([np.asarray(one), np.asarray(other)])
    save_taken(photos / "e.jpg", both, "2026:03:03 09:00:00")
    save_taken(photos / "f.jpg", view[::-1], "2026:03:03 09:05:00")
    looked = photographs.look(sittings, WORDS)
    (found,) = (finding for finding in looked.findings if finding.code == "photo-two-slips")
    assert ("2026-031 (received)" in found.message, "2026-030 (done)" in found.message) == (True, True)
    assert looked.sorted == 2  # b and c; f has the stage its date gives
    assert not {file for code, file in codes(looked) if code == "photo-of-another-job"}


@pytest.mark.parametrize(
    ("dates", "told"),
    [
        ('received = "2026-02-20"\nbegun = "2026-03-09"', "(done, in job.toml)"),
        ('begun = "2026-02-20"\ndone = "2026-02-28"\nreturned = "2026-03-30"', "(begun, in job.toml)"),
    ],
)
def test_which_date_is_missing_is_said(tmp_path: Path, dates: str, told: str) -> None:
    """Photographs of one side of the work only, because a date of the job is not there."""
    folder = tmp_path / "one"
    new_job(folder)
    lines = (folder / "job.toml").read_text("utf-8")
    start = lines.index("[dates]")
    end = lines.index("\n[", start)
    (folder / "job.toml").write_text(f"{lines[:start]}[dates]\n{dates}\n{lines[end:]}", encoding="utf-8")
    (folder / "photos").mkdir(exist_ok=True)
    for number in range(2):
        view = scenes.covering(scenes.photograph("coffee"), (600, 450))
        save_taken(folder / "photos" / f"{number}.jpg", view[::-1], f"2026:03:0{number + 3} 09:00:00")
    (folder / "photos.csv").unlink()
    result = CliRunner().invoke(program, ["photographs", str(folder), "--propose"], standalone_mode=False)
    assert told in result.output
    assert not (folder / "photos.csv").exists()


def test_two_job_slips_are_no_pair(sittings: Path) -> None:
    """The same form twice; were it no slip, it would be a pair."""
    photos, form = sittings / "photos", scenes.covering(scenes.photograph("page"), (600, 450))
    for name, stage, when in (("b", "received", "2026:03:02 09:00:00"), ("e", "done", "2026:03:04 09:00:00")):
        slip_picture(photos / f"{name}.jpg", slip_text("2026-031", stage), when)
        with Image.open(photos / f"{name}.jpg") as code:
            both = np.vstack([scenes.covering(np.asarray(code), (600, 450)), form])
        save_taken(photos / f"{name}.jpg", both, when)
    looked = photographs.look(sittings, WORDS)
    papers = {"b.jpg", "e.jpg"}
    assert not [pair for pair in photographs.propose(looked) if pair.before.row.file in papers]
    plain = tuple(msgspec.structs.replace(photo, slips=()) for photo in looked.photos)
    unread = photographs.propose(msgspec.structs.replace(looked, photos=plain))
    assert ("b.jpg", "e.jpg") in {(pair.before.row.file, pair.after.row.file) for pair in unread}


def test_the_stages_are_written_as_a_proposal(sittings: Path) -> None:
    result = CliRunner().invoke(program, ["photographs", str(sittings), "--propose"], standalone_mode=False)
    assert "2 photographs have their stage from a job slip" in result.output
    proposed = (sittings / "photos.proposed.csv").read_text("utf-8")
    assert any(line.startswith("c.jpg,opened") for line in proposed.splitlines())
    assert "no pair is proposed, since no photograph is known to be from after" in result.output


def test_what_changed_is_drawn_beside_the_job_and_never_over_a_file(job: Path, tmp_path: Path) -> None:
    """One pair that is drawn, and one of two different things that cannot be compared."""
    lines = (job / "photos.csv").read_text("utf-8").replace("file,stage,caption", "file,stage,pair,caption")
    for file, name in (("b0", "P 0"), ("a0", "P 0"), ("b1", "P 1"), ("a2", "P 1")):
        stage = "received" if file.startswith("b") else "done"
        lines = lines.replace(f"{file}.jpg,{stage},", f"{file}.jpg,{stage},{name},")
    (job / "photos.csv").write_text(lines, encoding="utf-8")
    (job / "photos" / "cut.jpg").write_bytes((job / "photos" / "b0.jpg").read_bytes()[:2000])
    before = digests(job)
    target = tmp_path / "changes"
    asked = ["photographs", str(job), "--changes", str(target)]
    result = CliRunner().invoke(program, asked, standalone_mode=False)
    assert result.exception is None
    assert "An aid only" in result.output
    assert [path.name for path in target.iterdir()] == ["changed-001-P-0.jpg"]
    assert result.output.count("cannot be compared") == 1
    assert '"cut.jpg" is left out' in result.stderr
    assert digests(job) == before
    assert isinstance(CliRunner().invoke(program, asked, standalone_mode=False).exception, OutputError)
    inside = ["photographs", str(job), "--changes", str(job / "x")]
    assert isinstance(CliRunner().invoke(program, inside, standalone_mode=False).exception, UsageError)
