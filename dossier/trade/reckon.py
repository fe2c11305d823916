"""All that is worked out from the figures of a job, each traceable to its rows: `reckonings`.

What was written stays as it is; a reckoning stands beside it. Metric figures are not converted. Not here: the
sums themselves (`units`, `plater`, `cuts`).
"""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from dossier.model.job import Job
from dossier.model.record import Reckoning
from dossier.model.rows import Part
from dossier.trade import cuts, plater
from dossier.trade.units import UNITS, Quantity, Unclear, conversions
from dossier.trade.written import find
from dossier.words import Catalogue
from dossier.words.dates import typed_number, written_number


def reckonings(job: Job, words: Catalogue) -> tuple[Reckoning, ...]:
    """Conversions in the order of the rows, one for each thing written; then plating, then cuts."""
    found: dict[tuple[str, str], Reckoning] = {}
    for one in (*_converted(job, words), *_platings(job, words), *_cuts(job, words)):
        before = found.get((one.given, one.text))
        rows = tuple(dict.fromkeys((*(before.rows if before else ()), *one.rows)))
        found[one.given, one.text] = msgspec.structs.replace(one, rows=rows)
    return tuple(found.values())


def _platings(job: Job, words: Catalogue) -> Iterator[Reckoning]:
    for place, row in enumerate(job.plating, 1):
        yield from plater.reckonings(row, f"plating/{place}", words)


def _cuts(job: Job, words: Catalogue) -> Iterator[Reckoning]:
    for place, row in enumerate(job.calculations, 1):
        yield from cuts.reckonings(row, f"calculations/{place}", words)


def _converted(job: Job, words: Catalogue) -> Iterator[Reckoning]:
    for key, text, about in _texts(job):
        if any(c.isdigit() for c in text):
            for read in find(text, about, words.language):
                yield from conversion(read, key, words)


def _texts(job: Job) -> Iterator[tuple[str, str, str]]:
    """Row, text, and what it is about; figures of people's prose (conditions, reasons) are left alone."""
    parts = {part.number: part for part in job.parts}
    for place, row in enumerate(job.measurements, 1):
        of = parts.get(row.part)
        about = " ".join((row.what, row.how, of.material if of else ""))
        yield f"measurements/{place}", f"{typed_number(job.language, row.value)} {row.unit}", about
    for part in job.parts:
        yield from ((f"parts/{part.number}", text, about) for text, about in _of_part(part))
    for work in job.work:
        yield from ((f"work/{work.number}", text, "") for text in (work.product, work.how))
    for place, plating in enumerate(job.plating, 1):
        yield f"plating/{place}", plating.thickness, ""


def _of_part(part: Part) -> Iterator[tuple[str, str]]:
    yield part.measure, ""
    yield part.material, ""
    yield part.new_material, ""


def conversion(read: Quantity | Unclear, key: str, words: Catalogue) -> Iterator[Reckoning]:
    """One quantity in the usual units; or what makes it unclear, with each way to read it."""
    if isinstance(read, Unclear):
        also = words.say("sentences.grammar.also")
        readings = also.join(filter(None, (_reading(quantity, words) for quantity in read.readings)))
        text = words.say(f"trade.unclear.{read.why}", given=read.written, readings=readings)
        yield Reckoning(code="unclear", given=read.written, text=text, rows=(key,))
        return
    result = in_words(read, words)
    if result:
        text = words.say("trade.say.conversion", given=read.written, result=result)
        source = words.say(f"trade.source.{_source(read)}")
        yield Reckoning(code="conversion", given=read.written, text=text, source=source, rows=(key,))


def in_words(quantity: Quantity, words: Catalogue) -> str:
    """ "3.18 mm"; "metric ticket 75, 360 denier, Nm 25, Ne 14.8"; "" for what is metric already."""
    every = ((key, written_number(words.language, number)) for key, number in conversions(quantity))
    said = (words.say(f"trade.unit.{key}", n=number) for key, number in every)
    return words.say("sentences.grammar.comma").join(said)


def _reading(quantity: Quantity, words: Catalogue) -> str:
    unit = words.say(f"trade.as.{quantity.unit}")
    return words.say("trade.say.reading", unit=unit, result=in_words(quantity, words)).strip() if unit else ""


def _source(quantity: Quantity) -> str:
    if quantity.unit in ("leather ounce", "iron"):
        return "leather"
    if quantity.dimension == "thread":
        return "thread"
    if quantity.dimension == "pitch":
        return "metric_pitch" if UNITS[quantity.unit].metric else "pitch"
    return "inch"
