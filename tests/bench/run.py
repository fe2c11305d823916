"""Compile and verify of whole jobs, from the shell, as ratios to floors measured in the same run.

    python tests/bench/run.py --photos 40 --photos 200 [--plain]
    python tests/bench/run.py --job demo_jobs/mantel_clock

The floor of a compile: read and SHA-256 every byte, half-scale decode, resize and encode of each picture at
the size it is shown, one copy of the output (`floor.py`); no pair is laid over another in it. The floor of a
verify: one SHA-256 over the whole file and one over each attachment. Figures are of whole processes (user +
system, wall, peak). With `--plain` also the straightforward way to such a file (`plain.py`), which is slow.
The jobs made here have many photographs and few words; `--job` takes one as people write it, whose words,
units and rules cost what no photograph does.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))
from floor import Cost, measured

ROOT = Path(__file__).resolve().parents[2]
PARTS = 40
DOSSIER = [sys.executable, "-c", "import sys; from dossier.start import main; main()"]


def make_job(folder: Path, photographs: int, pairs: int) -> Path:
    """A job with so many photographs, of which `pairs` show before and after, and 40 parts."""
    (folder / "notes").mkdir(parents=True)
    # In a process of its own: a child's peak counts from its parent's size.
    maker = [sys.executable, str(Path(__file__).with_name("photos.py")), str(folder / "photos")]
    subprocess.run([*maker, "--photos", str(photographs)], check=True, stdout=subprocess.DEVNULL)
    paths = sorted((folder / "photos").iterdir())
    key = ROOT / "keys_example" / "trial-key.pem"
    (folder / "workshop.toml").write_text(
        f'name = "Bench"\nverification_page = "https://check.example/r"\nkey = "{key.as_posix()}"\n'
        f'certificate = "{key.with_name("trial-certificate.pem").as_posix()}"\ntime_zone = "UTC"\n'
        '[[people]]\nmark = "AB"\nname = "A. B."\n'
    )
    (folder / "job.toml").write_text(
        'number = "2026-001"\ncondition = "Worn."\n[object]\ntype = "trunk"\n'
        '[dates]\nreceived = "2026-03-01"\ndone = "2026-05-01"\nreturned = "2026-05-02"\n'
    )
    (folder / "parts.csv").write_text(
        "number,part,pieces,seen,came as,material,condition\n"
        + "".join(
            f"{n},part {n},{n},{('outside', 'inside', 'hidden')[n % 3]},original,leather,worn\n"
            for n in range(1, PARTS + 1)
        )
    )
    (folder / "work.csv").write_text(
        "date,who,parts,done,how\n"
        + "".join(
            f"2026-03-{n % 28 + 1:02d},AB,{n},{('cleaned', 'repaired', 'left as found')[n % 3]},by hand\n"
            for n in range(1, PARTS + 1)
        )
    )
    rows = []
    for n, path in enumerate(paths):
        pair = n // 2 if n < 2 * pairs else ""
        stage = "done" if n % 2 else "received"
        rows.append(f"{path.name},{stage},{n % PARTS + 1},{pair},view {n + 1},{'yes' if n == 0 else ''}\n")
    (folder / "photos.csv").write_text("file,stage,parts,pair,caption,cover\n" + "".join(rows))
    return folder


def of_command(*words: str) -> tuple[Cost, str]:
    """The cost of one run of the program, with its output. The peak is of all its processes together."""
    wall = time.perf_counter()
    with tempfile.TemporaryFile("w+") as output:
        process = subprocess.Popen([*DOSSIER, *words], stdout=output, stderr=subprocess.STDOUT)
        peak, done = 0.0, 0
        while not done:
            peak = max(peak, _resident(process.pid))
            done, code, usage = os.wait4(process.pid, os.WNOHANG)
            if not done:
                time.sleep(0.02)
        wall = time.perf_counter() - wall
        output.seek(0)
        said = output.read()
    if os.waitstatus_to_exitcode(code) not in (0, 2):
        raise SystemExit(said)
    own = usage.ru_maxrss / 1024  # of the largest one: what a look in between may have missed
    return Cost(usage.ru_utime + usage.ru_stime, wall, max(peak, own)), said


def _resident(pid: int) -> float:
    """MiB that a process and those it started hold; what they share counts for each."""
    try:
        pages = int(Path(f"/proc/{pid}/statm").read_text().split()[1])
        started = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    except (OSError, IndexError):  # it has ended
        return 0.0
    return pages * os.sysconf("SC_PAGE_SIZE") / 2**20 + sum(_resident(int(one)) for one in started)


def hash_floor(pdf: Path, lengths: list[int]) -> None:
    """One SHA-256 over the whole file, and one over as many bytes as the attachments have."""
    with pdf.open("rb", buffering=0) as file:
        hashlib.file_digest(file, "sha256")
        for length in lengths:
            digest, left = hashlib.sha256(), length
            file.seek(0)
            while left > 0 and (chunk := file.read(min(1 << 20, left))):
                digest.update(chunk)
                left -= len(chunk)


def report(label: str, cost: Cost, base: Cost | None = None) -> None:
    ratio = (
        f"  {cost.cpu / base.cpu:5.2f} x the floor's CPU, {cost.wall / base.wall:5.2f} x its wall"
        if base
        else ""
    )
    print(
        f"  {label:34} {cost.cpu:7.2f} s CPU {cost.wall:7.2f} s wall {cost.peak:6.0f} MiB{ratio}", flush=True
    )


def sizes_shown(job: Path) -> list[tuple[int, int]]:
    """The size and quality each photograph is shown at, by file name."""
    program = (
        "import sys, json; from pathlib import Path; from dossier.intake.folder import read_job\n"
        "from dossier.pictures.plan import plan; from dossier.flows.compiling.pictures import start\n"
        "folder = Path(sys.argv[1]); job = read_job(folder)[0]\n"
        "sizes = plan(job, start(folder / 'photos', job).rung)\n"
        "print(json.dumps([(s.long_side, s.quality) for _, s in sorted(sizes.items())]))"
    )
    command = [sys.executable, "-c", program, str(job)]
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    return [(side, quality) for side, quality in json.loads(done.stdout)]


def floor_apart(job: Path, sizes: list[tuple[int, int]], work: Path) -> Cost:
    """The floor in a process of its own."""
    program = (
        f"import sys, json; sys.path.insert(0, {str(Path(__file__).parent)!r})\n"
        "from pathlib import Path; from dataclasses import asdict; from floor import floor, measured\n"
        f"paths = sorted(Path({str(job / 'photos')!r}).iterdir()); sizes = {sizes!r}\n"
        f"print(json.dumps(asdict(measured(lambda: floor(paths, Path({str(work / 'floor.bin')!r}), sizes)))))"
    )
    done = subprocess.run([sys.executable, "-c", program], check=True, capture_output=True, text=True)
    (work / "floor.bin").unlink()
    return Cost(**json.loads(done.stdout))


def plain_apart(job: Path, work: Path) -> Cost:
    """The straightforward way, in a process of its own."""
    target = work / "plain.pdf"
    wall = time.perf_counter()
    made = subprocess.Popen(
        [sys.executable, str(Path(__file__).with_name("plain.py")), str(job), str(target)],
        stdout=subprocess.DEVNULL,
    )
    _, status, usage = os.wait4(made.pid, 0)
    if status:
        raise SystemExit("the straightforward way failed")
    target.unlink()
    return Cost(usage.ru_utime + usage.ru_stime, time.perf_counter() - wall, usage.ru_maxrss / 1024)


def bench(job: Path, title: str, work: Path, plain: bool) -> None:
    total = sum(p.stat().st_size for p in (job / "photos").iterdir())
    print(f"{title}, {total / 1e6:.0f} MB")
    base = floor_apart(job, sizes_shown(job), work)
    report("floor of a compile", base)
    if plain:
        report("the straightforward way", plain_apart(job, work), base)
    for originals in ("beside", "inside"):
        out = work / originals
        cost, _ = of_command("compile", str(job), "--to", str(out), "--originals", originals)
        report(f"compile, originals {originals}", cost, base)
        print(f"  {'':34} dossier.pdf {(out / 'dossier.pdf').stat().st_size / 1e6:.1f} MB")
    pdf = work / "inside" / "dossier.pdf"
    lengths = [p.stat().st_size for p in (job / "photos").iterdir()]
    owed = measured(lambda: hash_floor(pdf, lengths))
    report("floor of a verify (hashes)", owed)
    cost, _ = of_command("verify", str(pdf))
    report("verify, originals inside", cost, owed)
    cost, _ = of_command("verify", str(work / "beside"))
    report("verify folder, originals beside", cost, owed)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--photos", type=int, action="append", help="may be given several times")
    parser.add_argument("--plain", action="store_true", help="measure the straightforward way too")
    parser.add_argument("--pairs", type=int, help="how many pairs; default: four in ten photographs")
    parser.add_argument(
        "--job", type=Path, action="append", default=[], help="a job folder with JPEG and PNG pictures"
    )
    arguments = parser.parse_args()
    for job in arguments.job:
        with tempfile.TemporaryDirectory(prefix="bench-") as work:
            bench(job, job.name, Path(work), arguments.plain)
    for photographs in arguments.photos or ([] if arguments.job else [14, 40, 200]):
        pairs = photographs * 2 // 5 if arguments.pairs is None else arguments.pairs
        with tempfile.TemporaryDirectory(prefix="bench-") as work:
            job = make_job(Path(work) / "job", photographs, pairs)
            bench(job, f"{photographs} photographs, {pairs} pairs", Path(work), arguments.plain)
    report("dossier --help", of_command("--help")[0])


if __name__ == "__main__":
    main()
