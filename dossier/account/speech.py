"""Grammar of the sentences: parts as noun phrases, their number, joining clauses.

The words and lists of the grammar stand in words/<language>/sentences.toml, table "grammar".
Not here: what is said of which part (`sentences`). Invariant: typed words are passed on as typed, but for
space, a closing full stop, and the first capital of a column whose entries all begin with one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any, NamedTuple

from dossier.account.phrases import clause, listed, sentence
from dossier.account.register import Register, pieces_of
from dossier.model.rows import Part, Work
from dossier.words import Catalogue
from dossier.words.compare import normal, repeated

_WORDS_OF_A_NAME = 3  # before "of the lid" and the like; longer, its noun is not guessed
_LEAST_OF_A_WORD = 3
_WHOSE = ("'s", "\u2019s")
_COLUMNS = ("part", "material", "new_material", "difference", "told_by", "why", "kept_why")


class Thing(NamedTuple):
    """A part, or some of its pieces: `name` for a list, `many` for the verb."""

    name: str
    many: bool
    some: bool
    part: Part

    @property
    def key(self) -> str:
        return f"parts/{self.part.number}"


class Speech:
    def __init__(self, parts: Sequence[Part], work: Sequence[Work], words: Catalogue) -> None:
        self.words = words
        self.grammar: dict[str, Any] = words.table("sentences.grammar")
        self.starts = frozenset(self.grammar["starts"])
        self._behind_noun = frozenset(self.grammar["behind_noun"])
        columns = {name: [getattr(part, name) for part in parts] for name in _COLUMNS}
        columns["how"] = [row.how for row in work]
        self.capitals = frozenset(name for name, texts in columns.items() if _all_capital(texts))
        self.shared = repeated(self._bare(part) for part in parts)
        register = Register(parts)
        self.wholes = frozenset(self._wholes(register))
        # Of eight puppets with 142 pieces three pieces are no puppets; of two wallpapers one is.
        self.of_pieces = {
            number for number in self.wholes if any(part.pieces > 1 for part in register.headed()[number])
        }

    def _wholes(self, register: Register) -> Iterator[str]:
        """Headings that are named as a whole, a panel of 86 pieces of glass: none of its rows is called so
        too, as the text leaf of 160 leaves is; handles of the lower half are no half.
        """
        for number in register.headings:
            own = normal(register.parts[number].part)
            if not any(own in normal(self._head(part.part)) for part in register.under[number]):
                yield number

    def say(self, key: str, **values: object) -> str:
        return self.words.say(f"sentences.{key}", **values)

    def number(self, key: str, many: bool) -> str:
        """ "is" or "are", "It" or "They"."""
        return self.say(f"grammar.{key}", n=2 if many else 1)

    def name(self, part: Part) -> str:
        """The part's name, with its number where another part is called so too."""
        name = self._bare(part)
        if normal(name) not in self.shared:
            return name
        return self.say("grammar.numbered", name=name, number=part.number)

    def _bare(self, part: Part) -> str:
        name = clause(part.part)
        article = next((one for one in self.grammar["articles"] if name.casefold().startswith(one)), "")
        name = name[len(article) :]
        return name if name[1:2] == " " else self.inside(name, "part")  # the A string of a violin

    def inside(self, text: str, column: str) -> str:
        """Typed words inside a sentence of ours: their capital down where it is only the column's habit, or
        stands on a common word.
        """
        text = clause(text)
        habit = column in self.capitals and text[1:2].islower()
        if text and (habit or text.split(" ", 1)[0].casefold() in self.starts):
            return self.lowered(text)
        return text

    def lowered(self, text: str) -> str:
        """The first letter down, in a language that would write it so inside a sentence."""
        return text[:1].lower() + text[1:] if self.grammar["small_inside"] else text

    def is_many(self, name: str) -> bool:
        """Whether a part's name is of many things: the last word before "of the lid" and the like; or a list,
        whose last word may stand behind a comma ("body, head and legs").
        """
        goes_on = self.grammar["name_goes_on"]
        name = _up_to(name, [on for on in goes_on if on != ","])
        if any(word in name for word in self.grammar["joins"]):
            return True
        head = (_up_to(name, goes_on).split() or [""])[-1].casefold()
        return self._is_of_many(head)

    def _is_of_many(self, word: str) -> bool:
        """Whether a word (in small letters) is one for many things, by its ending or a list."""
        if word in self.grammar["many_things"]:
            return True
        one = word.endswith(tuple(self.grammar["one_ends"])) or word in self.grammar["one_thing"]
        return word.endswith(tuple(self.grammar["many_ends"])) and not one

    def _names_many(self, part: Part) -> bool:
        """Whether the name is of many things; of several pieces also where it goes on behind the word for
        them in a way that is no place ("pins found loose").
        """
        name = self._bare(part)
        return self.is_many(name) or (pieces_of(part) > 1 and self._goes_on_behind_many(name))

    def _goes_on_behind_many(self, name: str) -> bool:
        words = self._head(name).casefold().split()
        pairs = [*pairwise(words)]
        behind = any(two in self._behind_noun and self._is_of_many(one) for one, two in pairs)
        return behind or any(self._is_of_many(one) and self._is_no_noun(two) for one, two in pairs[-1:])

    def as_many(self, name: str) -> str:
        """The name of one thing as that of several, "9 of the 64 nails"; "" of a stuff, of what is no word or
        goes on behind its noun, and of what may be another language's (other letters, a capital), whose
        plural is not guessed.
        """
        head = self._head(name)
        rest = name[len(head) :]
        last = (head.split() or [""])[-1]
        if self._goes_on(head.casefold().split()):
            return ""
        foreign = not head.isascii() or last[:1].isupper()
        stuff = f" {head.casefold()}".endswith(tuple(f" {word}" for word in self.grammar["stuffs"]))
        if stuff or foreign or not head[-1:].islower() or "," in name or ":" in name:
            return ""
        found = ((one, many) for one, many in self.grammar["many_of"] if head.endswith(one))
        one, many = next(found, ("", ""))
        return f"{head.removesuffix(one)}{many}{rest}" if many else ""

    def _goes_on(self, words: Sequence[str]) -> bool:
        """Whether a name may go on behind its noun, as "pin found loose" does."""
        if len(words) > _WORDS_OF_A_NAME or not self._behind_noun.isdisjoint(words[1:]):
            return True
        if any(self._is_of_many(word) for word in words[:-1] if not self._may_stand_before(word)):
            return True  # "pages uncut"
        return any(map(self._is_no_noun, words[-1:]))

    def _may_stand_before(self, word: str) -> bool:
        """Whether a word that looks like one for many things may stand before the noun: "S hook"."""
        return len(word) < _LEAST_OF_A_WORD or word.endswith(_WHOSE) or word in self.grammar["before_noun"]

    def _is_no_noun(self, word: str) -> bool:
        """Whether a last word is none that a name ends with, by a list or as a participle."""
        ends = word.endswith(tuple(self.grammar["not_noun_ends"])) and word not in self.grammar["nouns"]
        return ends or word in self.grammar["not_nouns"]

    def _head(self, name: str) -> str:
        """The name up to where it goes on about where it is."""
        return _up_to(name, self.grammar["name_goes_on"])

    def thing(self, part: Part, low: int, high: int) -> Thing:
        """Between `low` and `high` of the part's pieces."""
        n, name = pieces_of(part), self.name(part)
        typed_many = self._names_many(part)
        as_many = "" if typed_many or n == 1 or part.number in self.wholes else self.as_many(name)
        if low >= n:
            return self._all(part, name, as_many if self._head(name) == name else "")
        if n == 1 and low < high:
            return Thing(self.say("grammar.perhaps", name=name), typed_many, True, part)
        name, many = (as_many, True) if as_many else (name, typed_many)
        count = str(high) if low == high else self.say("grammar.range", low=low, high=high)
        form = "some_of_pieces" if part.number in self.of_pieces else "some" if many else "some_pieces"
        return Thing(self.say(f"grammar.{form}", count=count, n=n, name=name), high > 1, True, part)

    def _all(self, part: Part, name: str, as_many: str) -> Thing:
        """All pieces of a part. A name that goes on may be of one thing in pieces: a lining of five."""
        n, many = pieces_of(part), self._names_many(part)
        if many or n == 1:
            return Thing(name, many, False, part)
        form = "all_many" if as_many else "all_pieces"
        return Thing(self.say(f"grammar.{form}", name=as_many or name, n=n), bool(as_many), False, part)

    def whole(self, part: Part) -> Thing:
        return self.thing(part, pieces_of(part), pieces_of(part))

    def things(self, some: Sequence[Thing]) -> str:
        """ "lid and 3 of the 4 feet"; pieces come last, as "3 of the 4 feet and lid" may be of both."""
        return listed([t.name for t in sorted(some, key=lambda t: t.some)], self.words)

    def subject(self, some: Sequence[Thing]) -> str:
        """ "The handle and straps"; the article fits what it stands before."""
        text = self.things(some)
        return text if all(t.some for t in some) else self.say("grammar.the", name=text)

    def verbs(self, some: Sequence[Thing]) -> dict[str, str]:
        """The fields of a template that agree in number with its subject."""
        many = len(some) > 1 or some[0].many
        return {
            "subject": self.subject(some),
            "things": self.things(some),
            "be": self.number("is", many),
            "was": self.number("was", many),
            "it": self.number("it", many),
            "an_earlier_replacement": self.number("an_earlier_replacement", many),
            "a_later_addition": self.number("a_later_addition", many),
        }

    def with_reason(self, head: str, why: str, *, joined: bool = True) -> list[str]:
        """The head with ", because ..." where the reason is a clause, else (or not `joined`) the reason as a
        sentence.
        """
        why = self.reason(why)
        if not why:
            return [head]
        if joined and self.grammar["clause"] and self.can_follow(why):
            return [head + self.say("grammar.because", why=self.inside(why, "why"))]
        return [head, self.say("grammar.reason", why=why)]

    def can_follow(self, why: str) -> bool:
        """Whether a reason is a clause that "because" can stand before: not "had come apart", nor "Old and
        worn". Of a language without a list of verbs, any.
        """
        verbs = self.grammar["clause"]
        padded = f" {why.casefold()} "
        clause_of = [word for word in verbs if f" {word} " in padded]
        begun = padded.startswith(tuple(f" {word} " for word in (*clause_of, *self.grammar["purpose"])))
        return not verbs or (bool(clause_of) and not self.inside(why, "why")[0].isupper() and not begun)

    def reason(self, why: str) -> str:
        """A typed reason without the "because" that a sentence of ours says."""
        why = clause(why)
        begun = next((w for w in self.grammar["because_said"] if why.casefold().startswith(w)), "")
        return why[len(begun) :]

    def detailed(self, head: str, said: str) -> str:
        """The head with what is said of it, behind the colon of the language."""
        return self.say("grammar.details", head=head, said=said) if said else head

    def joined(self, some: Sequence[str]) -> str:
        return self.say("grammar.between").join(sentence(text, self.words) for text in some if text)


def _up_to(name: str, ends: Sequence[str]) -> str:
    """What stands before the first of `ends`."""
    return name[: min((at for end in ends if (at := name.find(end)) > 0), default=len(name))]


def _all_capital(texts: Sequence[str]) -> bool:
    """True when whoever filled the column begins every entry with a capital: a habit, not names."""
    said = [text for text in texts if text]
    return len(said) > 1 and all(text[0].isupper() for text in said)
