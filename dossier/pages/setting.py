"""What every section is set from: one record's copy, its photographs, the words, the grid and the styles.

A `Setting` gives words and plain text; it draws nothing and changes nothing. Text from the record goes onto
a page only through `markup`, which takes away its power to be markup.
"""

from __future__ import annotations

import html
import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property, lru_cache

from dossier.model.counted import PartNow
from dossier.model.record import OpenRecord
from dossier.model.rows import Part, Work
from dossier.pages.as_set import as_set
from dossier.pages.fonts import missing_glyphs
from dossier.pages.options import PageOptions
from dossier.pages.photographs import Shot, Shots
from dossier.pages.style import Grid, Styles, grid
from dossier.words import Catalogue
from dossier.words.compare import joint, normal, repeated
from dossier.words.dates import long_date, short_date, typed_number, typed_price, written_number
from dossier.words.marks import with_names

_LEADING_DATE = re.compile(r"^\d{4}-\d{2}(-\d{2})?\b")
_ISOLATES = dict.fromkeys(range(0x2066, 0x206A))
_BETWEEN_GROUPS = re.compile(r"(?<=[\d)]) (?=[\d(])")  # figures of any script
_LONGEST_HEARD = 7_000  # letters of a paragraph that runs right to left
_SHORT = 80  # letters: about a line
_IN_ONE = 15  # letters that every column of a table has room for
_AFTER_FIGURE = re.compile(r"(?<=\d) ")
_FEW_PARTS = 6
_dates = lru_cache(maxsize=4096)(long_date)
_days = lru_cache(maxsize=4096)(short_date)


@lru_cache(maxsize=8192)
def printable(text: str) -> str:
    """`text` as it is set, every character that the fonts lack written as its Unicode number."""
    kept = as_set("".join(" " if ch in "\t\r\f\v\u2028\u2029" else ch for ch in text))
    lacking = set(missing_glyphs(kept.replace("\n", " ")))
    if not lacking:
        return kept
    return "".join(f"[U+{ord(ch):04X}]" if ch in lacking else ch for ch in kept)


def markup(text: str) -> str:
    """Plain text of a record as paragraph markup: escaped, line ends kept."""
    return html.escape(printable(text).strip(), quote=False).replace("\n", "<br/>")


def paragraphs(text: str) -> list[str]:
    """The paragraphs of a plain text, as markup."""
    blocks = text.replace("\r\n", "\n").split("\n\n")
    return [markup(part) for block in blocks for part in heard(block) if part.strip()]


def heard(text: str) -> list[str]:
    """A paragraph; of a very long one that runs right to left its parts.

    What is drawn in another order than it is read has its text beside it, in one string, and a string of a
    file that lasts has at most 32,767 bytes (ISO 19005-3, 6.1.13), two or four for a letter.
    """
    parts: list[str] = []
    while len(text) > _LONGEST_HEARD and runs_left(text):
        end = text.rfind(" ", 1, _LONGEST_HEARD) + 1 or _LONGEST_HEARD
        parts.append(text[:end].rstrip())
        text = text[end:]
    return [*parts, text]


def cut(text: str, most: int) -> str:
    """A text of at most `most` letters; a longer one ends in dots."""
    return text if len(text) <= most else f"{text[: most - 1].rstrip()}\u2026"


def capital(text: str) -> str:
    """With its first letter large, as a sentence begins."""
    return text[:1].upper() + text[1:]


@lru_cache(maxsize=8192)
def runs_left(text: str) -> bool:
    """Whether any letter runs right to left (UAX 9, 3.2: R and AL)."""
    return not text.isascii() and any(unicodedata.bidirectional(c) in ("R", "AL") for c in text)


def isolated(text: str) -> str:
    """A text whose letters change places among themselves alone: FSI and PDI around it (UAX 9, 2.4)."""
    return f"\u2068{text}\u2069"


def apart(value: object) -> object:
    """What stands in a sentence of ours: isolated where it runs right to left, as the sentence does not."""
    return isolated(value) if isinstance(value, str) and runs_left(value) else value


def bare(text: str) -> str:
    """Without isolates, which are for pages and plain text: what a file says of itself."""
    return text.translate(_ISOLATES)


def unbroken(text: str) -> str:
    """A telephone number, its groups on one line; words beside it break as words do."""
    return _BETWEEN_GROUPS.sub("\u00a0", text)


def in_one(text: str) -> str:
    """A short text (a batch, a size, a stage) on one line; of a longer one the words break as words do."""
    return text.replace(" ", "\u00a0") if len(text) <= _IN_ONE else text


def beside_label(text: str) -> str:
    """The value of a label: a short one that runs right to left stands at its label (LRM, UAX 9, 2.6)."""
    return f"\u200e{isolated(text)}" if len(text) < _SHORT and runs_left(text) else text


def _row(items: Iterable[str]) -> list[str]:
    """One item is itself; of several, each keeps its own direction."""
    every = list(items)
    return [str(apart(item)) for item in every] if len(every) > 1 else every


class Setting:
    """One drawing of one copy."""

    def __init__(
        self,
        record: OpenRecord,
        pictures: Mapping[str, bytes],
        options: PageOptions,
        *,
        on: Grid | None = None,
        scale: float = 1.0,
    ) -> None:
        self.record = record
        self.payload = record.payload
        self.apart = record.apart
        self.options = options
        self.words = Catalogue(options.language)
        self.grid = on or grid(options.paper)
        self.styles = Styles(self.grid.indent, scale)
        self.pictures = pictures
        self.shots = Shots(record, pictures)

    def say(self, key: str, **values: object) -> str:
        """Words of this room, as plain text."""
        return self.words.say(f"pages.{key}", **{name: apart(value) for name, value in values.items()})

    def set(self, key: str, **values: object) -> str:
        """Words of this room, as markup."""
        return markup(self.say(key, **values))

    def of_code(self, key: str, **values: object) -> str:
        """Words on the code; where no verification page stands before its text, on that: it is no link."""
        alone = "_alone" if self.options.code_text.startswith("#") else ""
        return self.words.say(f"{key}{alone}", **values)

    @property
    def record_number(self) -> str:
        """A draft has none: it gets its number, and its digest, when it is signed."""
        return self.say("checking.none_yet") if self.options.draft else self.payload.record

    def token(self, word: str) -> str:
        return self.words.token(word)

    def date(self, text: str) -> str:
        return _dates(self.words.language, text)

    def day(self, text: str) -> str:
        """A date in a column of a table."""
        return _days(self.words.language, text)

    def number(self, text: str) -> str:
        """A decimal number of the record ("1250.50") as a reader writes it."""
        return written_number(self.words.language, text)

    def typed(self, text: str) -> str:
        """A text with numbers in it as somebody typed it: what can be nothing but a decimal, as `number`."""
        return typed_number(self.words.language, text)

    def price(self, text: str) -> str:
        return typed_price(self.words.language, text)

    def signed(self, text: str) -> str:
        """A number with its sign, a minus being one."""
        return f"\u2212{self.number(text[1:])}" if text.startswith("-") else f"+{self.number(text)}"

    def dated(self, text: str) -> str:
        """A text that begins with a date, with the date as a reader writes it."""
        return _LEADING_DATE.sub(lambda found: self.date(found[0]), text)

    def known(self, basis: str) -> str:
        """What something is known from, as a reader says it."""
        key = f"known_from.{basis.replace(' ', '_')}"
        return self.say(key) if self.words.has(f"pages.{key}") else self.token(basis)

    def listed(self, items: Iterable[str]) -> str:
        """Items in a row: "a, b and c"; with semicolons where an item has a comma of its own."""
        every = [item for item in items if item]
        if len(every) < 2 or self._with_commas(every):
            return self.and_also(every)
        key = f"list.{joint(self.words, every[-1])}"
        return self.say(key, first=self.in_row(every[:-1]), last=every[-1])

    def begun(self, items: Iterable[str]) -> str:
        """The first items of a row that goes on; with semicolons as `listed` has them."""
        every = list(items)
        return self.and_also(every) if self._with_commas(every) else self.in_row(every)

    def _with_commas(self, items: Sequence[str]) -> bool:
        return any(mark in item for item in items for mark in (",", self._comma.strip()))

    def in_row(self, items: Iterable[str]) -> str:
        """Items with the comma of the language between them."""
        return self._comma.join(_row(items))

    def in_sentences(self, texts: Iterable[str]) -> str:
        """Texts one after the other with the full stop of the language between them."""
        stop = self.words.say("sentences.grammar.stop")
        return (stop if ord(stop) > 0x2E80 else f"{stop} ").join(text.rstrip(f".{stop}") for text in texts)

    def and_also(self, items: Iterable[str]) -> str:
        """Items with the semicolon of the language between them."""
        return self.words.say("sentences.grammar.also").join(_row(items))

    @cached_property
    def _comma(self) -> str:
        return self.words.say("sentences.grammar.comma")

    @cached_property
    def parts(self) -> dict[str, Part]:
        return {part.number: part for part in self.payload.parts}

    @cached_property
    def now(self) -> dict[str, tuple[PartNow, ...]]:
        found: dict[str, list[PartNow]] = {}
        for row in self.payload.parts_now:
            found.setdefault(row.part, []).append(row)
        return {part: tuple(rows) for part, rows in found.items()}

    @cached_property
    def work_on(self) -> dict[str, tuple[Work, ...]]:
        found: dict[str, list[Work]] = {}
        for row in self.payload.work:
            for part in row.parts:
                found.setdefault(part, []).append(row)
        return {part: tuple(rows) for part, rows in found.items()}

    @cached_property
    def people(self) -> dict[str, str]:
        """Name, or the mark that stands for it, of everybody who worked on the object."""
        workers = {worker.mark: worker.name for worker in self.payload.people if worker.name}
        firms = {firm.mark: firm.name for firm in self.payload.firms if firm.name}
        return {**firms, **workers}

    def person(self, mark: str) -> str:
        return self.people.get(mark, mark)

    def persons(self, typed: str) -> str:
        """As typed where any words may stand, with the names for marks such as "HS and MB"."""
        return with_names(typed, self.people)

    def maker(self, typed: str) -> str:
        """Who made a part: the workshop, or as typed."""
        return self.say("the_workshop") if typed == "workshop" else self.persons(typed)

    def beside(self, text: str, aside: str) -> str:
        """A text with something of less weight in brackets; without brackets where there is nothing."""
        return self.say("beside", text=text, aside=aside) if aside else text

    def labelled(self, label: str, value: str) -> str:
        return self.say("labelled", label=label, value=value)

    def part_name(self, number: str) -> str:
        """A part by number and name, the number set apart: "12 pins" would be a count."""
        part = self.parts.get(number)
        if not part or not part.part:
            return number
        name = f"{number}\u00a0\u00b7 {part.part}"
        return isolated(name) if runs_left(part.part) else name

    def short_name(self, number: str) -> str:
        """A part by its name, with its number where another part is called so too."""
        part = self.parts.get(number)
        if not part:
            return number
        if normal(part.part) not in self._shared_names:
            return part.part
        return self.words.say("sentences.grammar.numbered", name=part.part, number=number)

    @cached_property
    def _shared_names(self) -> frozenset[str]:
        return repeated(part.part for part in self.parts.values())

    def in_sentence(self, text: str) -> str:
        """A sentence in which names of parts that run right to left stand apart from what is around them.

        Without that, figures and names of a list would change places (UAX 9, 2.7).
        """
        return self._left_names.sub(lambda found: isolated(found[0]), text) if self._left_names else text

    @cached_property
    def _left_names(self) -> re.Pattern[str] | None:
        names = {part.part for part in self.payload.parts if runs_left(part.part)}
        longest = sorted(names, key=lambda name: (-len(name), name))
        return re.compile("|".join(map(re.escape, longest))) if names else None

    def part_names(self, numbers: Iterable[str], most: int = 12) -> str:
        """Parts by number and name; beyond `most`, by number alone."""
        every = list(numbers)
        if len(every) > most:
            return self.in_row(every)
        return self.listed(self.part_name(number) for number in every)

    def pieces(self, low: int, high: int) -> str:
        if low == high:
            return self.say("count.pieces", n=low)
        return self.say("count.pieces_range", low=low, high=high, n=high)

    @property
    def object_name(self) -> str:
        """Never empty, as no heading may be: a record that names its object in no way has a dash."""
        thing = self.payload.object
        return thing.title.strip() or thing.type.strip() or "\u2013"

    @property
    def workshop_contact(self) -> str:
        shop = self.payload.workshop
        return self.in_row(text for text in (shop.name, shop.address, unbroken(shop.telephone)) if text)

    def missing(self, kind: str) -> int:
        """How many of this kind are not in this copy."""
        return sum(row.count for row in self.record.missing if row.kind == kind)

    @property
    def not_in_copy(self) -> list[str]:
        """What is not in this copy, in words, each figure with what it counts."""
        return [
            _AFTER_FIGURE.sub("\u00a0", self.say(f"left_out.{row.kind}", n=row.count))
            if self.words.has(f"pages.left_out.{row.kind}")
            else self.beside(row.kind, str(row.count))
            for row in self.record.missing
            if row.count
        ]

    def shot_title(self, shot: Shot) -> str:
        return self.say("photograph.number", number=shot.number)

    def shot_words(self, shot: Shot) -> str:
        """The caption, or what can be said of a photograph without one."""
        if shot.details.caption:
            return shot.details.caption
        if shot.photograph.parts:
            return self.part_names(shot.photograph.parts, 4)
        return self.say("photograph.no_caption")

    def shot_when(self, shot: Shot) -> str:
        """When it was taken: stage and day, as far as they are known; of a private one that it is."""
        stage = shot.photograph.stage
        said = [in_one(self.say(f"stage.{stage.replace(' ', '_')}"))] if stage else []
        if shot.details.taken:
            said.append(self.date(shot.details.taken[:10]).replace(" ", "\u00a0"))  # no year alone on a line
        if shot.details.taken and shot.details.clock:
            said.append(self.say("photograph.clock"))
        if shot.details.private:
            said.append(self.say("photograph.private"))
        return self.in_row(said)

    def shot_shows(self, shot: Shot) -> str:
        """For who cannot see a photograph whose caption, with all its words, is read next."""
        parts = shot.photograph.parts
        if not parts:
            bare = self.say("photograph.alt_bare", number=shot.number)
            return bare if shot.details.caption else self.shot_alt(shot)
        few = len(parts) <= _FEW_PARTS
        shown = self.part_names(parts) if few else self.say("count.parts", n=len(parts))
        return self.say("photograph.alt_parts", number=shot.number, parts=shown)

    def shot_alt(self, shot: Shot) -> str:
        """For who cannot see a photograph that has no caption beside it: the same words."""
        when = self.shot_when(shot)
        words = self.shot_words(shot)
        words = words.rstrip(".") if when else words
        title = self.say("photograph.alt", number=shot.number, words=words)
        return printable(self.beside(title, when))
