"""The catalogue: a SQLite file that finds a job in a second, and can be thrown away: the bags say it all.

Entries come as plain values from the flow, which knows how to read a record. Not here: reading records, bags.
Where the archive cannot be written (a disk that is locked, a disc), the catalogue is made in memory.
"""

from __future__ import annotations

import re
import sqlite3
import unicodedata
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from pathlib import Path

import msgspec

from dossier.errors import ArchiveError
from dossier.words import Catalogue as Words

NAME = "catalogue.sqlite"
_SCHEMA_VERSION = 5
_LONGEST = 1000  # letters of a word that is made ready to be found
# Scripts written without spaces: each sign is a word, and signs side by side are looked for side by side.
_SIGN = re.compile("[\u3005\u3041-\u30ff\u3400-\u9fff\uac00-\ud7af\uf900-\ufaff]")
# Letters that Unicode does not take apart, as they are written without them.
_PLAIN = str.maketrans(
    {
        "\u0142": "l",
        "\u00f8": "o",
        "\u0111": "d",
        "\u00f0": "d",
        "\u0131": "i",
        "\u00df": "ss",
        "\u00e6": "ae",
        "\u0153": "oe",
        "\u00fe": "th",
    }
)
_SCHEMA = """
CREATE TABLE entry (
  bag TEXT PRIMARY KEY, record TEXT, digest TEXT, job TEXT, object TEXT, maker TEXT, owner TEXT,
  received TEXT, returned TEXT, put_away TEXT, bytes INTEGER,
  about TEXT, said TEXT, left_out TEXT
);
CREATE TABLE gone (bag TEXT PRIMARY KEY);
CREATE VIRTUAL TABLE words USING fts5 (bag UNINDEXED, text, tokenize = "unicode61 remove_diacritics 2");
"""


class Entry(msgspec.Struct, frozen=True, kw_only=True):
    """One bag, as the catalogue lists it; `text` is everything it can be found by.

    A bag of something said later is `about` another one, and says it in one line; `later` are these lines of
    a bag that was found. `left_out` says what is not in this copy of the record.
    """

    bag: str
    record: str = ""
    digest: str = ""
    job: str = ""
    object: str = ""
    maker: str = ""
    owner: str = ""
    received: str = ""
    returned: str = ""
    put_away: str = ""
    bytes: int = 0
    about: str = ""
    said: str = ""
    left_out: str = ""
    later: tuple[str, ...] = ()
    text: str = ""


_COLUMNS = tuple(name for name in Entry.__struct_fields__ if name not in ("text", "later"))
# What was said later is found with the bag that it is about, where that is there.
_FIND = """
SELECT {columns} FROM entry WHERE bag IN (
  SELECT COALESCE((SELECT main.bag FROM entry AS main WHERE main.bag = hit.about), hit.bag)
  FROM words JOIN entry AS hit USING (bag) WHERE words MATCH ?
) ORDER BY job = ? COLLATE NOCASE DESC, received DESC, bag LIMIT ?
"""


class Catalogue:
    """The catalogue of one archive. `refresh` brings it level with the bags before anything is looked up."""

    def __init__(self, archive: Path) -> None:
        self._path = archive / NAME
        self._memory: sqlite3.Connection | None = None

    def refresh(self, bags: Sequence[str], read: Callable[[str], Entry]) -> None:
        """Add the bags it does not list, drop the ones that are gone; a broken catalogue is made anew."""
        try:
            self._refresh(bags, read)
        except sqlite3.DatabaseError:
            self._make_anew(bags, read, self.gone(bags))

    def rebuild(self, bags: Sequence[str], read: Callable[[str], Entry]) -> None:
        self._make_anew(bags, read)

    def _make_anew(self, bags: Sequence[str], read: Callable[[str], Entry], gone: Sequence[str] = ()) -> None:
        """`gone`: what it shall still know of, written first: to read all bags takes long."""
        try:
            self._path.unlink(missing_ok=True)
            with self._open() as db:
                db.executemany("INSERT OR IGNORE INTO gone VALUES (?)", ((bag,) for bag in gone))
            self._refresh(bags, read)
        except (OSError, sqlite3.DatabaseError):
            self._in_memory(bags, read)

    def _in_memory(self, bags: Sequence[str], read: Callable[[str], Entry]) -> None:
        self._memory = sqlite3.connect(":memory:")
        try:
            self._refresh(bags, read)
        except sqlite3.DatabaseError as error:
            why = Words().say("archive.error.no_catalogue", file=self._path, why=error)
            raise ArchiveError(why) from error

    def gone(self, bags: Sequence[str]) -> list[str]:
        """The bags that it listed once and that are not among these; a rebuilt catalogue knows of none."""
        if not self._path.is_file():
            return []
        known: set[str] = set()
        with suppress(sqlite3.DatabaseError), closing(sqlite3.connect(self._path, timeout=10)) as db:
            for table in ("entry", "gone"):  # the second since version 5; a broken one says nothing
                rows = db.execute(f"SELECT bag FROM {table}")
                known.update(bag for (bag,) in rows if isinstance(bag, str))
        return sorted(known - set(bags))

    def find(self, words: Sequence[str], limit: int = 200) -> list[Entry]:
        """Entries that hold every word, each word also as the beginning of a longer one; newest first.

        Before them the job whose own number is what was typed: others may speak of it.
        """
        terms = [t for word in words for t in re.findall(r"\w+", _normal(word))]
        if not terms:
            return []
        query = " AND ".join(f'"{_apart(term)}"*' for term in terms)
        with self._open() as db:
            asked = (query, " ".join(words).strip(), limit)
            rows = db.execute(_FIND.format(columns=", ".join(_COLUMNS)), asked).fetchall()
            found = [dict(zip(_COLUMNS, row, strict=True)) for row in rows]
            return [Entry(**one, later=_later(db, one["bag"])) for one in found]

    def _refresh(self, bags: Sequence[str], read: Callable[[str], Entry]) -> None:
        with self._open() as db:
            listed = {row[0] for row in db.execute("SELECT bag FROM entry")}
            if not all(isinstance(bag, str) for bag in listed):
                raise sqlite3.DatabaseError("a catalogue that is none")
            db.executemany("DELETE FROM gone WHERE bag = ?", ((bag,) for bag in bags))
            for gone in sorted(listed - set(bags)):
                db.execute("INSERT OR IGNORE INTO gone VALUES (?)", (gone,))
                db.execute("DELETE FROM entry WHERE bag = ?", (gone,))
                db.execute("DELETE FROM words WHERE bag = ?", (gone,))
            for bag in sorted(set(bags) - listed):
                self._insert(db, read(bag))

    def _insert(self, db: sqlite3.Connection, entry: Entry) -> None:
        marks = ", ".join("?" for _ in _COLUMNS)
        values = [getattr(entry, column) for column in _COLUMNS]
        db.execute(f"INSERT INTO entry ({', '.join(_COLUMNS)}) VALUES ({marks})", values)
        db.execute("INSERT INTO words (bag, text) VALUES (?, ?)", (entry.bag, _apart(_normal(entry.text))))

    @contextmanager
    def _open(self) -> Iterator[sqlite3.Connection]:
        """One transaction: all of it is written, or nothing."""
        db = self._memory or sqlite3.connect(self._path, timeout=10)
        try:
            version = db.execute("PRAGMA user_version").fetchone()[0]
            if version == 0:
                db.executescript(f"BEGIN; {_SCHEMA} PRAGMA user_version = {_SCHEMA_VERSION}; COMMIT;")
            elif version != _SCHEMA_VERSION:
                raise sqlite3.DatabaseError("a catalogue of another version")
            with db:
                yield db
        finally:
            if db is not self._memory:
                db.close()


def _later(db: sqlite3.Connection, bag: str) -> tuple[str, ...]:
    """What was said later about the record in a bag, in the order of its days.

    Bags of several copies have names that end alike, in two hyphens and the beginning of the digest.
    """
    same = "about <> '' AND substr(about, -18) = substr(?, -18)"
    rows = db.execute(f"SELECT said FROM entry WHERE {same} AND said <> '' ORDER BY said, bag", (bag,))
    return tuple(said for (said,) in rows)


def _normal(text: str) -> str:
    """Letters and their accents as one (NFC): some systems write them apart, as in names of files.

    Word by word, and none that is longer than any: composing takes the square of a letter's marks.
    """
    words = (unicodedata.normalize("NFC", word) if len(word) < _LONGEST else word for word in text.split())
    return " ".join(words).casefold().translate(_PLAIN)


def _apart(text: str) -> str:
    return _SIGN.sub(r" \g<0> ", text).strip()
