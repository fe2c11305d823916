"""The files of one job folder, opened with care: regular files inside it, bounded, never written.

Files may be hostile: links leading outside, pipes, gigabytes, bytes that are no text. Each is a finding.
Keeps the list of inputs (name, bytes, SHA-256). Not done here: what the files say.
"""

from __future__ import annotations

import hashlib
import stat
from pathlib import Path

from dossier.intake.letters import decoded, doubts
from dossier.intake.report import Report
from dossier.model.finding import At

MOST_TEXT = 5_000_000  # bytes of a table or note
MOST_TOML = 1_000_000
MOST_WORKBOOK = 20_000_000
MOST_ENTRIES = 10_000  # files looked at in one folder


class Desk:
    """A job folder under reading."""

    def __init__(self, folder: Path, report: Report) -> None:
        self.folder = folder
        self.report = report
        self.inputs: list[tuple[str, int, str]] = []
        self._real = folder.resolve()
        self.names = self._listed(folder, "")

    def find(self, name: str) -> str:
        """The name as it stands in the folder, whatever its case; "" when there is none."""
        if name in self.names:
            return name
        return next((known for known in self.names if known.casefold() == name.casefold()), "")

    def entries(self, name: str) -> list[str]:
        """The names in the sub-folder `name`, sorted; none when there is no such folder."""
        path = self.folder / name
        if not path.is_dir() or self.outside(path, name):
            return []
        return self._listed(path, f"{name}/")

    def outside(self, path: Path, name: str) -> bool:
        """Whether a link leads out of the job folder; it is said then."""
        try:
            inside = path.resolve().is_relative_to(self._real)
        except (OSError, RuntimeError):
            inside = False
        if not inside:
            self.report.say("link-outside", At(file=name), file=name)
        return not inside

    def text(self, name: str, most: int = MOST_TEXT) -> str | None:
        """The text of a file, its newlines as they stand; None when it cannot be had (then it is said)."""
        data = self.data(name, most)
        return None if data is None else text_of(data, name, self.report)

    def data(self, name: str, most: int) -> bytes | None:
        path = self.folder / name
        if self.outside(path, name):
            return None
        data = read_bounded(path, name, most, self.report)
        if data is not None:
            self.inputs.append((name, len(data), hashlib.sha256(data).hexdigest()))
        return data

    def _listed(self, folder: Path, prefix: str) -> list[str]:
        try:
            names = sorted(
                entry.name for entry, _ in zip(folder.iterdir(), range(MOST_ENTRIES + 1), strict=False)
            )
        except OSError as error:
            self.report.say("cannot-read", At(file=prefix), file=prefix or folder.name, why=_why(error))
            return []
        if len(names) > MOST_ENTRIES:
            self.report.say("too-many-files", At(file=prefix), file=prefix or folder.name, most=MOST_ENTRIES)
        return names[:MOST_ENTRIES]


def read_bounded(path: Path, name: str, most: int, report: Report) -> bytes | None:
    """The bytes of a regular file of at most `most` bytes; None when it cannot be had (then it is said)."""
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            report.say("cannot-read", At(file=name), file=name, why=report.words.say("intake.not_a_file"))
            return None
        with path.open("rb") as stream:
            data = stream.read(most + 1)
    except (OSError, ValueError) as error:
        report.say("cannot-read", At(file=name), file=name, why=_why(error))
        return None
    if len(data) > most:
        report.say("file-too-big", At(file=name), file=name, most=most // 1_000_000)
        return None
    return data


def text_of(data: bytes, name: str, report: Report) -> str | None:
    """The text of these bytes; None when they are none (then it is said)."""
    text = decoded(data)
    if text is None:
        report.say("not-text", At(file=name), file=name)
    elif unsure := doubts(data):
        report.in_doubt(name, unsure.read_as, unsure.words)
    return text


def _why(error: Exception) -> str:
    return (getattr(error, "strerror", None) or str(error)).lower()
