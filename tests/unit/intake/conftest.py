"""The small valid job that every test of reading starts from, with photographs; the same as a workbook."""

from __future__ import annotations

import csv
import shutil
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from dossier.intake.draft import Draft
from dossier.intake.photographs import read_facts
from dossier.intake.schema import LISTS, SECTIONS, TABLES
from dossier.intake.template_workbook import workbook_file
from dossier.model.job import PhotoFacts
from dossier.words import Catalogue

VECTORS = Path(__file__).parents[2] / "vectors" / "intake"
TAKEN = {"A.jpg": "2026:03:02 10:00:00", "B.jpg": "2026:03:20 16:00:00", "C.jpg": "2026:03:12 09:00:00"}


def add_photograph(folder: Path, name: str) -> None:
    """A small JPEG with its time of capture."""
    folder.mkdir(parents=True, exist_ok=True)
    picture = Image.new("RGB", (32, 24), "tan")
    exif = picture.getexif()
    exif.get_ifd(0x8769)[0x9003] = TAKEN[name]
    picture.save(folder / name, exif=exif)


def plain_draft(folder: Path) -> Draft:
    """The plain files of a job, read with the standard library alone."""
    job = tomllib.loads((folder / "job.toml").read_text())
    top = {key: value for key, value in job.items() if key not in SECTIONS | LISTS}
    sections = {name: flat(job.get(name, {})) for name in SECTIONS}
    lists = {name: [flat(row) for row in job.get(name, [])] for name in LISTS}
    return Draft(top, sections, lists, {name: table_rows(folder / f"{name}.csv") for name in TABLES}, [])


def flat(table: dict[str, Any]) -> dict[str, Any]:
    values: dict[str, Any] = {}
    for key, value in table.items():
        inner = {f"{key}.{name}": text for name, text in value.items()} if isinstance(value, dict) else {}
        joined = "; ".join(value) if key == "parts" and isinstance(value, list) else value
        values |= inner or {key: joined}
    return values


def table_rows(path: Path) -> list[dict[str, Any]]:
    with path.open(newline="", encoding="utf-8-sig") as stream:
        return [{key.replace(" ", "_"): text for key, text in row.items()} for row in csv.DictReader(stream)]


def to_workbook(folder: Path) -> Path:
    """The plain files of `folder` replaced by one workbook with the same contents."""
    data = workbook_file(plain_draft(folder), Catalogue())
    for path in [folder / "job.toml", *(folder / f"{name}.csv" for name in TABLES)]:
        path.unlink()
    (folder / "job.xlsx").write_bytes(data)
    return folder / "job.xlsx"


@pytest.fixture
def as_workbook() -> Callable[[Path], Path]:
    return to_workbook


@pytest.fixture
def vectors() -> Path:
    return VECTORS


@pytest.fixture
def lay_out(tmp_path: Path) -> Callable[..., Path]:
    """A copy of the base job, with the files of `over` laid over it."""

    def lay(over: Path | None = None, name: str = "job") -> Path:
        folder = tmp_path / name
        shutil.copytree(VECTORS / "base", folder)
        for photograph in TAKEN:
            add_photograph(folder / "photos", photograph)
        if over is not None and over.is_dir():
            shutil.copytree(over, folder, dirs_exist_ok=True)
        return folder

    return lay


@pytest.fixture
def job_folder(lay_out: Callable[..., Path]) -> Path:
    return lay_out()


@pytest.fixture
def facts(tmp_path: Path) -> Callable[..., PhotoFacts]:
    """The facts of one file with these bytes."""

    def one(content: bytes, name: str = "a.jpg", zone: str = "UTC") -> PhotoFacts:
        path = tmp_path / "one" / name
        path.parent.mkdir(exist_ok=True)
        for old in path.parent.iterdir():
            old.unlink()
        path.write_bytes(content)
        (found,) = read_facts(path.parent, zone)
        return found

    return one
