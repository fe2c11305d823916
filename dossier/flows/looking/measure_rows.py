"""What `dossier photographs --measure` says: rows for `measurements.csv`, and lines for the screen.

The rows are in the language of the job, since a row that is taken over goes into the record as it stands.
Invariant: a colour difference stands with its formula, both residuals and its uncertainty, or not at all.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import floor, isfinite, log10
from pathlib import Path

import msgspec

from dossier.flows.looking.measure import Difference, Measured, Taken
from dossier.flows.looking.writing import write_new
from dossier.intake.schema import TABLES
from dossier.intake.template_plain import table_csv
from dossier.model.job import Aid
from dossier.model.rows import Measurement
from dossier.pictures import measuring, target
from dossier.pictures.difference import FORMULA
from dossier.words import Catalogue
from dossier.words.dates import written_number

PROPOSED = "measurements.proposed.csv"
_UNIT = "dE00"
_AREAS = (
    (1000.0, "mm²", 1.0),
    (100_000.0, "cm²", 100.0),
    (float("inf"), "dm²", 10_000.0),
)  # mm2, to say it in
_MOST_DECIMALS = 4


def rows(taken: Taken) -> list[Measurement]:
    """Every measurement as a row of `measurements.csv`; a colour by a grey card alone is none."""
    words = Catalogue(taken.job.language)
    found = [row for photo in taken.photos for row in _of(photo, words)]
    return found + [_difference(one, words) for one in taken.differences if not one.why]


def _of(photo: Measured, words: Catalogue) -> Iterator[Measurement]:
    day = photo.facts.taken[:10]
    for sized in photo.sizes:
        value, plus_minus, unit = written(sized, words)
        yield Measurement(
            what=what(sized.aid, words),
            value=value,
            unit=unit,
            part=sized.aid.part,
            how=_how_size(sized, photo, words),
            plus_minus=plus_minus,
            date=day,
        )
    for colour in photo.colours:
        if colour.lab and colour.plus_minus is not None:
            yield Measurement(
                what=_what_colour(photo, colour, words),
                value=lab(colour.lab, words),
                part=colour.aid.part,
                how=words.say(
                    "measuring.how.colour",
                    photograph=photo.row.file,
                    reference=_residual(photo, words),
                    formula=FORMULA,
                ),
                plus_minus=f"{number(colour.plus_minus, 1, words)} {_UNIT}",
                date=day,
            )


def what(aid: Aid, words: Catalogue) -> str:
    """Under which name a size goes into the measurements."""
    if aid.note:
        return words.say(f"measuring.what.{aid.kind}", name=aid.note)
    return words.say(f"measuring.what.{aid.kind}_unnamed", number=aid.number)


def _what_colour(photo: Measured, colour: measuring.Colour, words: Catalogue) -> str:
    return words.say(f"measuring.what.colour_{photo.row.side or 'unknown'}", name=colour.aid.note)


def written(sized: measuring.Sized, words: Catalogue) -> tuple[str, str, str]:
    """Value, uncertainty to two digits, and unit; the value to the same place."""
    unit, per = "mm", 1.0
    if sized.aid.kind == "area":
        unit, per = next((u, p) for limit, u, p in _AREAS if sized.measured.value < limit)
    value, plus_minus = sized.measured.value / per, sized.measured.plus_minus / per
    places = _places(plus_minus)
    return number(value, places, words), number(plus_minus, places, words), unit


def _places(plus_minus: float) -> int:
    """Decimals that keep two significant digits (JCGM 100:2008, 7.2.6)."""
    if not isfinite(plus_minus) or plus_minus <= 0:
        return _MOST_DECIMALS
    return min(max(1 - floor(log10(plus_minus)), 0), _MOST_DECIMALS)


def number(value: float, places: int, words: Catalogue) -> str:
    return written_number(words.language, f"{value:.{places}f}")


def lab(found: tuple[float, float, float], words: Catalogue) -> str:
    lightness, a, b = (number(value, 1, words) for value in found)
    return f"L* {lightness}, a* {a}, b* {b}"


def _how_size(sized: measuring.Sized, photo: Measured, words: Catalogue) -> str:
    scales = [words.say("measuring.how.scale", number=aid.number, size=aid.size) for aid in sized.by]
    plane = words.say(f"measuring.plane.{sized.measured.plane.replace(' ', '_')}")
    return words.say(
        "measuring.how.size",
        photograph=photo.row.file,
        scales=", ".join(scales),
        plane=plane,
        within=round(sized.measured.within),
    )


def _residual(photo: Measured, words: Catalogue) -> str:
    return words.say("measuring.how.reference", **_figures(photo, words))


def _figures(photo: Measured, words: Catalogue) -> dict[str, str]:
    """How well the target on a photograph was met; only of one that has a target."""
    by = photo.reference
    assert by is not None
    assert by.made is not None
    fit = by.correction
    figures = {"mean": fit.mean, "left_out": fit.left_out, "largest": fit.largest}
    said = {name: number(value or 0.0, 1, words) for name, value in figures.items()}
    return said | {"formula": fit.formula, "made": words.say(f"measuring.made.{by.made.split()[0]}")}


def _difference(one: Difference, words: Catalogue) -> Measurement:
    assert one.before is not None
    assert one.after is not None
    return Measurement(
        what=words.say("measuring.what.difference", name=one.name),
        value=number(one.value, 1, words),
        unit=_UNIT,
        part=one.part,
        how=words.say(
            "measuring.how.difference",
            formula=FORMULA,
            before=one.before.row.file,
            before_reference=_residual(one.before, words),
            after=one.after.row.file,
            after_reference=_residual(one.after, words),
            tolerance=target.TOLERANCE,
        ),
        plus_minus=number(one.plus_minus, 1, words),
        date=one.after.facts.taken[:10],
    )


def write_proposal(folder: Path, taken: Taken, words: Catalogue) -> Path:
    """The measurements of today and the new ones. Raises OutputError where the file is there already."""
    path = folder / PROPOSED
    today = taken.job.measurements
    new = [row for row in rows(taken) if row not in today]
    values = [msgspec.structs.asdict(row) for row in (*today, *new)]
    write_new(path, table_csv(TABLES["measurements"], values), words)
    return path


def lines(taken: Taken, words: Catalogue) -> list[str]:
    """What to show: each photograph with what was measured on it, then the differences, then the limits."""
    said = [line for photo in taken.photos for line in (photo.row.file, *_lines(photo, words), "")]
    for one in taken.differences:
        said.append(_difference_line(one, words))
    if not said:
        return [words.say("measuring.flow.nothing")]
    return [*said, "", words.say("measuring.flow.limits")]


def _lines(photo: Measured, words: Catalogue) -> Iterator[str]:
    if photo.problem:
        yield f"  {photo.problem}"
    for why in filter(None, (photo.unsized, photo.uncoloured)):
        yield "  " + words.say(f"measuring.why.{why}", file=photo.row.file)
    for sized in photo.sizes:
        value, plus_minus, unit = written(sized, words)
        yield words.say(
            "measuring.line.size",
            number=sized.aid.number,
            what=what(sized.aid, words),
            value=value,
            plus_minus=plus_minus,
            unit=unit,
        )
    for aid in photo.unmeasured:
        yield words.say("measuring.line.size_none", number=aid.number, what=what(aid, words))
    yield from _warnings(photo.sizes, words)
    if photo.unused:
        used, unused = (", ".join(aid.number for aid in some) for some in (photo.sizes[0].by, photo.unused))
        yield "  " + words.say("measuring.warn.unused", used=used, unused=unused)
    for wrong in photo.contradicting:
        yield _contradiction(wrong, words)
    if photo.reference:
        yield _reference_line(photo, photo.reference, words)
        if off := photo.reference.card_off:
            yield "  " + words.say("measuring.warn.card_off", off=number(off, 1, words), formula=FORMULA)
        if photo.unused_targets:
            unused = ", ".join(aid.number for aid in photo.unused_targets)
            used = photo.reference.number
            yield "  " + words.say("measuring.warn.unused_targets", used=used, unused=unused)
    for colour in photo.colours:
        yield _colour_line(photo, colour, words)


def _contradiction(wrong: measuring.Sized, words: Catalogue) -> str:
    value, plus_minus, unit = written(wrong, words)
    used = ", ".join(aid.number for aid in wrong.by)
    figures = {"value": value, "plus_minus": plus_minus, "unit": unit, "size": wrong.aid.size}
    return "  " + words.say("measuring.warn.contradicts", number=wrong.aid.number, used=used, **figures)


def _warnings(sizes: Sequence[measuring.Sized], words: Catalogue) -> Iterator[str]:
    """One warning a photograph: all its sizes have the same scale."""
    for plane in dict.fromkeys(sized.measured.plane.replace(" ", "_") for sized in sizes):
        if words.has(f"measuring.warn.{plane}"):
            yield "  " + words.say(f"measuring.warn.{plane}")


def _reference_line(photo: Measured, by: measuring.Reference, words: Catalogue) -> str:
    if by.made is None:
        return words.say("measuring.line.grey_card", number=by.number)
    limits = {"mean_limit": target.GOOD_MEAN, "largest_limit": target.GOOD_LARGEST}
    good = "good" if by.correction.good_enough else "not_good"
    verdict = words.say(
        f"measuring.line.{'other_generation' if by.generation == 'other' else good}",
        **{name: number(limit, 0, words) for name, limit in limits.items()},
        tolerance=target.TOLERANCE,
    )
    if by.generation == "not_told":
        verdict += words.say("measuring.line.not_told")
    which = words.say("measuring.line.marked", number=by.number) if by.number else ""
    return words.say(
        "measuring.line.reference",
        which=which or words.say("measuring.line.found"),
        verdict=verdict,
        **_figures(photo, words),
    )


def _colour_line(photo: Measured, colour: measuring.Colour, words: Catalogue) -> str:
    fields = {"number": colour.aid.number, "what": _what_colour(photo, colour, words)}
    if colour.lab is None:
        return words.say("measuring.line.colour_none", **fields)
    fields["value"] = lab(colour.lab, words)
    if colour.plus_minus is None:
        return words.say("measuring.line.colour_only", **fields)
    return words.say("measuring.line.colour", plus_minus=number(colour.plus_minus, 1, words), **fields)


def _difference_line(one: Difference, words: Catalogue) -> str:
    name = words.say("measuring.what.difference", name=one.name)
    if one.why:
        why = words.say(f"measuring.why.{one.why}", **one.fields)
        return words.say("measuring.line.no_difference", what=name, why=why)
    return words.say(
        "measuring.line.difference",
        what=name,
        value=number(one.value, 1, words),
        plus_minus=number(one.plus_minus, 1, words),
        formula=FORMULA,
    )
