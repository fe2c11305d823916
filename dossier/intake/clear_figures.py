"""Figures of plating and cuts that nothing can be worked out from: each is said, with what to write instead.

What was written stays and goes into the record as it is. Not here: the sums (`trade.plater`, `trade.cuts`).
"""

from __future__ import annotations

from dossier.intake.entries import Read
from dossier.intake.report import Report, listed
from dossier.model.rows import Calculation, Plating
from dossier.trade import cuts, plater


def say_plating(rows: tuple[Plating, ...], reads: list[Read], language: str, report: Report) -> None:
    """A gap for each figure that is written and cannot be read."""
    for row, read in zip(rows, reads, strict=True):
        for name in plater.unreadable(row, language):
            _say_unclear(name, read, name, report)


def say_cuts(rows: tuple[Calculation, ...], reads: list[Read], language: str, report: Report) -> None:
    """A gap for each length that cannot be read, and one for what a cut needs and is blank."""
    for row, read in zip(rows, reads, strict=True):
        blank = cuts.blank(row)
        if blank:
            names = listed(name.replace("_", " ") for name in blank)
            report.say("cut-lacks", read.at, what=row.what, kind=row.kind, names=names)
        for name in cuts.lacking(row, language):
            if name not in blank:
                _say_unclear(name, read, "length", report)


def _say_unclear(name: str, read: Read, example: str, report: Report) -> None:
    write = listed([report.words.say(f"intake.figure.{example}")])
    typed, heading = read.text(name), name.replace("_", " ")
    report.say("figure-unclear", read.place(name), typed=typed, name=heading, write=write)
