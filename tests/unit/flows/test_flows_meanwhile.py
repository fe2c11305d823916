"""Pictures made in a process of their own while a job is judged: what comes of them, and how they end."""

from __future__ import annotations

import io
import pickle
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import msgspec
import numpy as np
import pytest
from PIL import Image

from dossier.errors import DossierError, JobError
from dossier.flows.compiling import apart, meanwhile
from dossier.flows.compiling.meanwhile import begun
from dossier.flows.compiling.pictures import derive_pictures
from dossier.model.job import Job, PhotoFacts, Workshop
from dossier.model.rows import Object, PhotoRow

SIZE = (320, 240)
SECONDS = 60  # before a wait that nobody ends is given up


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A folder of three photographs."""
    folder = tmp_path / "photos"
    folder.mkdir()
    for n in range(3):
        grain = np.random.default_rng(n).integers(0, 256, (SIZE[1], SIZE[0], 3), np.uint8)
        Image.fromarray(grain).save(folder / f"{n}.jpg")
    return folder


def job_of(home: Path, **changes: Any) -> Job:
    facts = [
        PhotoFacts(file=f.name, bytes=f.stat().st_size, width=SIZE[0], height=SIZE[1], orientation=1)
        for f in sorted(home.iterdir())
    ]
    job = Job(
        number="1",
        workshop=Workshop(name="W"),
        object=Object(type="chair"),
        photo_rows=tuple(PhotoRow(file=f.file) for f in facts),
        photo_facts=tuple(facts),
    )
    return msgspec.structs.replace(job, **changes)


def unseen(_done: int, _total: int) -> None:
    pass


def test_they_are_the_pictures_that_this_process_would_make(home: Path) -> None:
    (home / "1.jpg").write_bytes(b"\xff\xd8\xff" + bytes((home / "1.jpg").stat().st_size - 3))
    job = job_of(home)
    steps: list[tuple[int, int]] = []
    with begun() as photographs:
        photographs.begin(home, job)
        as_it_is_by_then = msgspec.structs.replace(job, number="2")
        seen, pictures = photographs.added_to(as_it_is_by_then, lambda *step: steps.append(step))
    alone, own = derive_pictures(home, job, unseen)
    assert pictures == own
    assert len(pictures.jpegs) == 2
    assert seen == msgspec.structs.replace(alone, number="2")
    assert [bool(facts.problem) for facts in seen.photo_facts] == [False, True, False]
    assert steps == [(1, 3), (2, 3), (3, 3)]


def test_a_job_may_have_no_photographs(tmp_path: Path) -> None:
    job = Job(number="1", workshop=Workshop(name="W"), object=Object(type="chair"))
    with begun() as photographs:
        photographs.begin(tmp_path / "photos", job)
        assert photographs.added_to(job, unseen)[1].shown == ()


def test_a_photograph_that_went_away_is_named(home: Path) -> None:
    job = job_of(home)
    (home / "2.jpg").unlink()
    with begun() as photographs, pytest.raises(JobError, match=r"2\.jpg: this photograph cannot be read"):
        photographs.begin(home, job)
        photographs.added_to(job, unseen)


def test_whoever_leaves_early_does_not_wait(home: Path) -> None:
    """Neither before it has a job nor while it works; and then it is gone."""
    with begun() as idle:
        pass
    start = time.monotonic()
    with pytest.raises(JobError, match="a work log of another job"), begun() as working:
        working.begin(home, job_of(home))
        raise JobError("a work log of another job")
    assert time.monotonic() - start < SECONDS
    assert None not in (idle._process.poll(), working._process.poll())


def test_that_it_ended_is_said(home: Path) -> None:
    """As where the system has no memory left and kills it, before it has a job or later."""
    with begun() as photographs:
        photographs._process.kill()
        photographs._process.wait()
        photographs.begin(home, job_of(home))
        with pytest.raises(DossierError, match=r"could not be made .*exit code"):
            photographs.added_to(job_of(home), unseen)


def test_an_answer_that_is_broken_off_is_none(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(meanwhile, "_START", 'import sys; sys.stdout.write("\\x80\\x04")')
    with begun() as photographs, pytest.raises(DossierError, match="exit code 0"):
        photographs.begin(home, job_of(home))
        photographs.added_to(job_of(home), unseen)


def test_any_other_failure_is_said(home: Path) -> None:
    with begun() as photographs, pytest.raises(DossierError, match=r"could not be made .*Error: "):
        photographs.begin(home, msgspec.structs.replace(job_of(home), photo_rows=None))  # type: ignore[arg-type]
        photographs.added_to(job_of(home), unseen)


@pytest.mark.parametrize("works", [False, True])
def test_it_ends_where_whoever_started_it_is_gone(home: Path, works: bool) -> None:
    """A program that is killed closes nothing in order; the system closes its ends of the pipes.

    Noise is larger than what a pipe holds, so that the last word is still to be said.
    """
    command = [sys.executable, "-P", "-S", "-c", meanwhile._START, *sys.path]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as process:
        assert process.stdin is not None and process.stdout is not None
        if works:
            pickle.dump(("en", home, job_of(home)), process.stdin)
            process.stdin.flush()
            assert pickle.load(process.stdout)[0] == "at"
        process.stdin.close()
        process.stdout.close()
        assert process.wait(SECONDS) == apart.STOPPED


def test_what_does_not_come_in_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """As where the system has no memory for it: no traceback."""
    monkeypatch.setitem(sys.modules, "dossier.flows.compiling.pictures", None)
    answer = io.BytesIO()
    apart.work(io.BytesIO(), answer)
    kind, why, files = pickle.loads(answer.getvalue())
    assert (kind, files) == ("failed", "")
    assert why.startswith("ModuleNotFoundError: ")


def test_no_module_comes_from_where_the_shell_stands(
    home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A job folder that somebody else sent may hold anything."""
    for name in ("numpy", "msgspec", "pickle", "sitecustomize", "dossier"):
        (tmp_path / f"{name}.py").write_text(f"open({name!r} + '.was-run', 'w')", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(sys, "path", [place for place in sys.path if place not in ("", str(Path.cwd()))])
    with begun() as photographs:
        photographs.begin(home, job_of(home))
        photographs.added_to(job_of(home), unseen)
    assert not list(tmp_path.glob("*.was-run"))


def test_what_it_says_is_one_thing_after_another(home: Path) -> None:
    job = job_of(home)
    (home / "0.jpg").write_bytes(bytes((home / "0.jpg").stat().st_size))
    answer = io.BytesIO()
    asked = pickle.dumps(("en", home, job))
    apart.work(io.BytesIO(asked), answer)
    (home / "1.jpg").unlink()
    apart.work(io.BytesIO(asked), answer)
    answer.seek(0)
    said = []
    while answer.tell() < len(answer.getvalue()):
        said.append(pickle.load(answer))
    threads = {thread for kind, thread, *_ in said if kind == "at"}
    heard = [[what[2] for what in said if what[:2] == ("at", thread)] for thread in threads]
    assert all(set(files[1::2]) <= {""} for files in heard)  # each is ended before the next
    begun = [file for files in heard for file in files if file]
    assert {file: begun.count(file) for file in ("0.jpg", "1.jpg")} == {"0.jpg": 2, "1.jpg": 2}
    assert begun.count("2.jpg") in (1, 2)  # whether the second run came to it before it was refused
    rest = [what for what in said if what[0] != "at"]
    assert rest[:3] == [("step", 1, 3), ("step", 2, 3), ("step", 3, 3)]
    assert rest[3][0] == "made"
    assert rest[3][1][0].problem.startswith("0.jpg: ")
    assert [kind for kind, *_ in rest[4:]] == ["step", "refused"]


def broken(module: str, name: str, fault: str) -> str:
    """What the process is started with where one function of it fails."""
    breaks = (
        f"import os; from dossier.pictures import {module} as room; real = room.{name}\n"
        f"def {name}(data, *a): {fault}; return real(data, *a)\n"
        f"room.{name} = {name}\n"
    )
    return meanwhile._START.replace("from dossier.flows", f"exec({breaks!r}); from dossier.flows")


NO_MEMORY = "raise_ = (_ for _ in ()).throw; data[-1:] == b'!' and raise_(MemoryError())"


@pytest.mark.parametrize(
    ("fault", "said"), [("data[-1:] == b'!' and os.abort()", "exit code"), (NO_MEMORY, "MemoryError")]
)
def test_a_photograph_that_ends_the_process_is_named(
    home: Path, monkeypatch: pytest.MonkeyPatch, fault: str, said: str
) -> None:
    """A decoder that breaks down, as libraries in C do at a fault of their own, takes all with it."""
    monkeypatch.setattr(meanwhile, "_START", broken("decode", "decode_both", fault))
    (home / "1.jpg").write_bytes((home / "1.jpg").read_bytes() + b"!")
    with begun() as photographs, pytest.raises(DossierError, match=said) as caught:
        photographs.begin(home, job_of(home))
        photographs.added_to(job_of(home), unseen)
    assert "1.jpg" in caught.value.hint


def test_two_that_end_the_process_when_they_are_laid_over_each_other_are_named(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(meanwhile, "_START", broken("lay", "lay", "os.abort()"))
    rows = [PhotoRow(file=f"{n}.jpg", pair="1", stage=stage) for n, stage in ((1, "received"), (2, "done"))]
    job = job_of(home, photo_rows=(PhotoRow(file="0.jpg"), *rows))
    with begun() as photographs, pytest.raises(DossierError, match="exit code") as caught:
        photographs.begin(home, job)
        photographs.added_to(job, unseen)
    assert "1.jpg, 2.jpg" in caught.value.hint
