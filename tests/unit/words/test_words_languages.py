"""Every language says all that a dossier, sheet and card and the result of a check need, and nothing else.

English is the reference for what there is to say. Plural categories: CLDR, through Babel.
"""

from __future__ import annotations

import string
import tomllib
from collections.abc import Iterator
from importlib import resources
from typing import Any, get_args

import pytest
from babel import Locale
from small_jobs import job_of, part
from small_jobs import said as sentences_of

from dossier.model import words as vocabulary
from dossier.model.rows import Work
from dossier.words import LANGUAGES, Catalogue, speak
from dossier.words.compare import as_written, normal, phrases

OTHERS = [language for language in LANGUAGES if language != "en"]

# File -> tables that every language has ("" all of the file). What only the workshop's own screen shows is
# English: messages of the reader, help, questions of `check`.
NEEDED: dict[str, tuple[str, ...]] = {
    "cautions": ("",),
    "code": ("",),
    "compile": ("attached", "reason"),
    "container": ("unreadable", "finding"),
    "copy": (
        "done",
        "not_in",
        "all_in",
        "along",
        "not_in_order",
        "not_in_order_hint",
        "not_a_dossier_hint",
        "picture_differs",
    ),
    "evidence": ("align",),
    "findings": ("*.gap", "label", "measure", "permit"),
    "keycard": (
        *(
            "holder",
            "before_required",
            "no_end",
            "to_confirm",
            "digits_elsewhere",
            "files_elsewhere",
            "confirmed",
            "not_confirmed",
            "cannot_tell",
            "unusable",
            "span",
        ),
        *(
            "closed",
            "label",
            "key",
            "overall",
            "code",
            "fault",
            "error",
            "handed",
            "lost_besides",
            "lost_by_unconfirmed",
            "handed_from",
        ),
    ),
    "measuring": ("what", "how", "made", "plane"),
    "pages": ("",),
    "papers": (
        *("subject", "private", "private_foot", "sheet_text", "slip", "labels", "label", "head", "group"),
        *("receipt", "handover", "estimate"),
    ),
    "result": ("",),
    "seal": ("code", "way"),
    "seal_pdf": ("check",),
    "sentences": ("",),
    "stamp": ("code", "where", "authority"),
    "statements": (
        "unaltered",
        "not_unaltered",
        "cannot_tell",
        "besides",
        "code",
        "kind",
        "label",
        "line",
        "row",
    ),
    "trade": ("say", "unit", "as", "unclear", "source", "plating", "term", "cut"),
    "verify": ("",),
}
# Tables whose entries are lists of words to look for: a language has its own.
LISTS = {"measure", "grammar"}
PLURALS = {"zero", "one", "two", "few", "many", "other"}


def file_of(language: str, name: str) -> dict[str, Any]:
    file = resources.files("dossier.words").joinpath(language, f"{name}.toml")
    return tomllib.loads(file.read_text(encoding="utf-8")) if file.is_file() else {}


def is_plural(found: Any) -> bool:
    return isinstance(found, dict) and "other" in found and set(found) <= PLURALS


def leaves(table: dict[str, Any], at: str = "") -> Iterator[tuple[str, Any]]:
    for key, found in table.items():
        if isinstance(found, dict) and not is_plural(found):
            yield from leaves(found, f"{at}{key}/")
        else:
            yield f"{at}{key}", found


def needed(name: str) -> dict[str, Any]:
    """What English says, cut to what every language must say."""
    found = dict(leaves(file_of("en", name)))
    tables = NEEDED[name]
    if "" in tables:
        return found
    return {
        key: said
        for key, said in found.items()
        if any(key.split("/")[0] == t for t in tables) or ("*.gap" in tables and key.endswith("/gap"))
    }


def fields(said: Any) -> set[str]:
    texts = said.values() if is_plural(said) else [said]
    return {name for text in texts for _, name, _, _ in string.Formatter().parse(str(text)) if name}


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("name", sorted(NEEDED))
def test_a_language_says_all_of_it_and_nothing_else(language: str, name: str) -> None:
    english, own = needed(name), dict(leaves(file_of(language, name)))
    optional = {key for key in own if name == "trade" and key.startswith("reading/")}
    optional |= {key for key in own if name == "cautions" and key.endswith("/unless")}
    optional |= {key for key in own if language == "es" and key.endswith("_before_i")}  # y is e there
    missing = {key for key in english if not key.endswith("/unless")} - own.keys()
    surplus = own.keys() - english.keys() - optional
    assert (sorted(missing), sorted(surplus)) == ([], [])


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("name", sorted(NEEDED))
def test_no_field_is_lost_or_invented(language: str, name: str) -> None:
    """A sentence may leave out a field of grammar (a verb, an article), and never one that says something."""
    grammar = {"be", "was", "it", "them", "differs", "compares", "container_was", "an_earlier_replacement"}
    grammar |= {"a_later_addition", "subject", "things", "n"}
    own = dict(leaves(file_of(language, name)))
    for key, english in needed(name).items():
        if key in own and isinstance(english, str | dict):
            assert fields(own[key]) <= fields(english) | {"subject", "things"}, key
            assert fields(english) - fields(own[key]) <= grammar, key
            if fields(english) & {"subject", "things"}:
                assert fields(own[key]) & {"subject", "things"}, key


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("name", sorted(NEEDED))
def test_plurals_are_those_of_the_language(language: str, name: str) -> None:
    """CLDR's categories for whole numbers; a category that no count below a million has may be left out."""
    rule = Locale.parse(language).plural_form
    wanted = {rule(n) for n in (*range(200), 1000, 100_000)}
    for key, said in leaves(file_of(language, name)):
        if is_plural(said):
            assert wanted <= set(said), key


@pytest.mark.parametrize("language", OTHERS)
def test_every_word_of_the_record_has_a_translation(language: str) -> None:
    own = file_of(language, "tokens")
    closed = {
        str(word)
        for name in dir(vocabulary)
        if name[0].isupper() and not name.isupper()
        for word in get_args(getattr(vocabulary, name))
        if word
    }
    assert sorted(closed - own.keys()) == []


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("name", [*sorted(NEEDED), "tokens"])
def test_nothing_is_left_in_english(language: str, name: str) -> None:
    """A whole sentence that reads as in English was forgotten."""
    english = dict(leaves(file_of("en", name)))
    same = [
        key
        for key, said in leaves(file_of(language, name))
        if isinstance(said, str) and len(said.split()) > 3 and said == english.get(key)
    ]
    assert [key for key in same if not key.endswith("/source")] == []


@pytest.mark.parametrize("language", OTHERS)
def test_words_to_look_for_are_words(language: str) -> None:
    """Each is found in itself, so that a pattern is never one that cannot match."""
    for code, row in file_of(language, "cautions").items():
        for word in row["words"]:
            assert phrases([word]).search(normal(word)), (code, word)


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_star_stands_at_an_end_of_a_phrase(language: str) -> None:
    """Within one it finds nothing; of what a rule is used on (`on`) the words are taken one by one."""
    for name in ("cautions", "off", "private", "rules"):
        for key, found in leaves(file_of(language, name)):
            if isinstance(found, list) and not (name == "rules" and key.endswith("/on")):
                assert [word for word in found if "*" in word.strip("*")] == [], f"{name}/{key}"


def test_the_program_speaks_one_language_at_a_time() -> None:
    words = Catalogue()
    assert words.language == "en"
    speak("xx")
    assert words.language == "en"


def test_english_answers_for_what_a_language_does_not_have() -> None:
    for language in OTHERS:
        assert Catalogue(language).say("cli.short") if Catalogue("en").has("cli.short") else True
        assert Catalogue(language).has("findings.pieces-too-many.hint")


def test_a_missing_word_is_a_bug() -> None:
    with pytest.raises(KeyError, match="no words"):
        Catalogue("en").say("pages.no.such.words")


def test_a_word_can_stand_inside_longer_ones() -> None:
    """German compounds and Japanese, where a phrase is not a word between spaces."""
    assert phrases(["*kleber"]).search(normal("mit Kontaktkleber geklebt"))
    assert not phrases(["*kleber"]).search(normal("Klebereste"))
    assert phrases(["*接着剤*"]).search(normal("速乾性接着剤を使用"))
    assert not phrases(["kleber"]).search(normal("Kontaktkleber"))


def test_words_found_without_accents_are_shown_as_they_were_written() -> None:
    text = "Handed to Ingeborg MÜLLER-Łukasiewicz, today"
    assert as_written(text, normal("Müller Łukasiewicz")) == "MÜLLER-Łukasiewicz"
    assert as_written(text, "somebody else") == "somebody else"


@pytest.mark.parametrize(("language", "of_one"), [("de", 1), ("fr", 1), ("it", 1), ("en", 2), ("es", 2)])
@pytest.mark.parametrize("what", ["pieces", "parts"])
def test_a_range_from_none_to_one_has_the_word_for_one_where_the_language_has_it(
    language: str, of_one: int, what: str
) -> None:
    """CLDR, pluralRanges (UTS 35, part 3), from memory: in English and Spanish a range is of several."""
    words = Catalogue(language)
    for high, like in ((1, of_one), (2, 2)):
        noun = words.say(f"pages.count.{what}", n=like).removeprefix(f"{like} ")
        assert words.say(f"pages.count.{what}_range", low=0, high=high, n=high).endswith(f"{high} {noun}")


# "original" and "kept" in each language, as the sentences of the disclosure have them
ORIGINAL = {
    "de": "original",
    "en": "original",
    "es": "original",
    "fr": "d’origine",
    "it": "original",
    "ja": "オリジナル",
}
KEPT = {
    "de": "erhalten",
    "en": "kept",
    "es": "conservad",
    "fr": "conservé",
    "it": "conservat",
    "ja": "残した",
}


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_group_without_a_sentence_denies_no_more_than_its_sentences_would_say(language: str) -> None:
    """A saddle that came as a later addition got a new seat, and page 2 said of the whole object that no part
    was renewed in part; its mane, an earlier replacement, was replaced, and no earlier change was recorded.
    """
    job = job_of(
        part("1", "saddle", came_as="later addition"),
        part("2", "mane", came_as="earlier replacement"),
        part("3", "girth", came_as="not known"),
        language=language,
        work=(
            Work(number=1, parts=("1",), done="part renewed"),
            Work(number=2, parts=("2",), done="replaced"),
            Work(number=3, parts=("1", "3"), done="cleaned"),
        ),
    )
    told, words = sentences_of(job), Catalogue(language)
    for group in ("kept", "worked_on", "part_renewed"):
        assert group not in told
        assert ORIGINAL[language] in words.say(f"pages.none.{group}")
    alone = sentences_of(job_of(job.parts[1], language=language, work=job.work[1:2]))
    assert "new" in alone
    assert "earlier" not in alone
    assert KEPT[language] in words.say("pages.none.earlier")


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("n", [0, 1, 2, 40])
def test_a_check_counts_parts_as_the_pages_do(language: str, n: int) -> None:
    """One part is no "1 parts"."""
    words = Catalogue(language)
    assert words.say("verify.parts", n=n) == words.say("pages.count.parts", n=n)
    assert ("photographs" in words.say("verify.photographs", n=n)) == (language == "en" and n != 1)
