"""The sentences of the disclosure: how they read, that each can be traced and none says more."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from functools import cache
from importlib import resources
from typing import Any

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.account.parts import parts_now
from dossier.account.sentences import disclosure
from dossier.account.speech import Speech
from dossier.model.job import Job, Workshop
from dossier.model.record import Sentence
from dossier.model.rows import Advice, LookedAt, Object, Part, Work
from dossier.model.words import CAME_AS, DONE, KNOWN_FROM, CameAs, Done
from dossier.words import LANGUAGES, Catalogue

Change = Callable[[dict[str, Any]], Job]


def told(job: Job, words: Catalogue) -> tuple[Sentence, ...]:
    return disclosure(job, parts_now(job.parts, job.work), words)


def job_of(parts: list[Part], work: list[Work], **members: Any) -> Job:
    return Job(
        number="1",
        workshop=Workshop(name="w"),
        object=Object(type="case"),
        parts=tuple(parts),
        work=tuple(work),
        **members,
    )


def texts(parts: list[Part], work: list[Work], words: Catalogue, **members: Any) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for sentence in told(job_of(parts, work, **members), words):
        found.setdefault(sentence.group, []).append(sentence.text)
    return found


def test_a_new_lining_reads_as_one_would_say_it(words: Catalogue) -> None:
    lining = Part(
        number="2",
        part="Lining of the lid",
        came_as="original",
        material="silk over board",
        new_material="goatskin over board",
        made_by="the workshop",
        why="The original had come apart.",
        old_piece="Kept by the workshop until 2028.",
    )
    other = Part(number="3", part="Handle", came_as="original", known_from="seen")
    found = texts([lining, other], [Work(number=1, parts=("2",), done="replaced")], words)
    (said,) = found["new"]
    assert said == (
        "The lining of the lid is new: goatskin over board, made by the workshop, because the original had "
        "come apart. The material before was silk over board. "
        "The original is kept by the workshop until 2028."
    )


def test_how_a_part_was_made_anew_stands_beside_its_material(words: Catalogue) -> None:
    """Each way once; parts that were made in other ways have sentences of their own; work on the new piece
    afterwards is no way of making it.
    """
    new = {"came_as": "original", "material": "silk", "new_material": "goatskin", "made_by": "us"}
    parts = [Part(number=n, part=f"lining {n}", **new) for n in "123"]  # type: ignore[arg-type]
    cut = "cut to the pattern of the original"
    work = [
        Work(number=1, parts=("1", "2"), done="replaced", how=cut),
        Work(number=2, parts=("2",), done="cleaned", how="dusted"),
        Work(number=3, parts=("3",), done="replaced", how="cut 2 mm smaller"),
    ]
    both, third = texts(parts, work, words)["new"]
    assert both.startswith(f"The lining 1 and lining 2 are new: goatskin, {cut}, made by the workshop. ")
    assert third.startswith("The lining 3 is new: goatskin, cut 2 mm smaller, made by the workshop. ")
    (said,) = texts(parts[:1], work[:1], Catalogue("de"))["new"]
    assert said.startswith(f"Lining 1 neu: goatskin, {cut}, Anfertigung: ")


def test_like_parts_share_a_sentence(words: Catalogue) -> None:
    parts = [
        Part(number=n, part=name, came_as="original")
        for n, name in (("1", "handle"), ("2", "straps"), ("3", "body"))
    ]
    found = texts(parts, [Work(number=1, parts=("1", "2", "3"), done="cleaned")], words)
    assert found["worked_on"] == ["Cleaned: handle, straps and body."]
    found = texts(parts, [Work(number=1, parts=("1", "2"), done="repaired", how="re-sewn")], words)
    assert found["worked_on"] == ["The handle and straps were repaired: re-sewn."]


def test_some_pieces_of_a_part(words: Catalogue) -> None:
    pins = Part(
        number="1", part="pins", pieces=64, came_as="original", material="brass", new_material="brass"
    )
    work = [
        Work(number=1, parts=("1",), pieces=9, done="replaced"),
        Work(number=2, parts=("1",), pieces=30, done="cleaned"),
    ]
    found = texts([pins], work, words)
    assert found["new"] == [
        (
            "9 of the 64 pins are new: brass. The material before was brass. "
            "Where the originals are now is not recorded."
        )
    ]
    assert found["worked_on"] == ["Cleaned: 30 of the 64 pins."]
    assert found["kept"] == [
        "Original (what this is known from is not recorded), with no work recorded: 25 to 34 of the 64 pins."
    ]


def test_so_many_of_a_headings_pieces_are_not_all_pieces_of_its_rows(words: Catalogue) -> None:
    """A book of 160 leaves, 150 of text and 10 plates: "100 of them cleaned" says that of no row as a whole.
    Of the 12 partly renewed, at least 12 - 10 = 2 and at most 12 are of text, and at most 10 are plates.
    """
    leaves = Part(number="1", part="leaf", pieces=160, came_as="original")
    rest = {"part_of": "1", "came_as": "original", "seen": "inside"}
    text = Part(number="1a", part="text leaf", pieces=150, **rest)  # type: ignore[arg-type]
    plates = Part(number="1b", part="plate", pieces=10, **rest)  # type: ignore[arg-type]
    work = [
        Work(number=1, parts=("1",), pieces=100, done="cleaned", how="dry"),
        Work(number=2, parts=("1",), pieces=12, done="part renewed", how="corners made up"),
        Work(number=3, parts=("1",), pieces=3, done="altered", how="trimmed"),
        Work(number=4, parts=("1",), done="secured", how="guarded"),
    ]
    found = texts([leaves, text, plates], work, words)
    assert found["worked_on"] == [
        "100 of the 160 leaves were cleaned: dry.",
        "The 150 text leaves and 10 plates were secured: guarded.",
    ]
    assert [said.split(":")[0] for said in found["part_renewed"]] == [
        "2 to 12 of the 150 text leaves were partly renewed",
        "0 to 10 of the 10 plates were partly renewed",
    ]
    assert found["changed"] == ["3 of the 160 leaves were altered in size, shape or use: trimmed."]
    bought = [
        leaves,
        msgspec.structs.replace(text, came_as="not known"),
        msgspec.structs.replace(plates, came_as="later addition", known_from="paper"),
    ]
    found = texts(bought, work[:1], words)
    assert found["earlier"] == [
        (
            "The 10 plates came as later additions (known from papers). "
            "100 of the 160 leaves were cleaned: dry."
        )
    ]
    assert found["not_known"][0].endswith("is not known. 100 of the 160 leaves were cleaned: dry.")
    (said,) = (s for s in told(job_of(bought, work[:1]), words) if s.group == "earlier")
    assert said.rows == ("parts/1b", "parts/1", "work/1")


def test_what_is_not_known_is_said(words: Catalogue) -> None:
    parts = [
        Part(number="1", part="drawer", came_as="original"),
        Part(number="2", part="drawer bottom", part_of="1", came_as="original"),
        Part(number="3", part="lock", came_as="not known"),
        Part(number="4", part="feet", came_as="original"),
    ]
    work = [
        Work(number=1, parts=("1",), done="replaced"),
        Work(number=2, parts=("4",), done="not examined"),
        Work(number=3, parts=("3",), done="cleaned"),
    ]
    found = texts(parts, work, words, looked_at=LookedAt(could_not_see=("back of the lock",)))
    assert found["not_known"] == [
        "Not examined: feet.",
        (
            "What became of the drawer bottom is not known: no work is recorded on it, and of what "
            "contains it, the drawer was replaced."
        ),
        "Whether the lock is original is not known. It was cleaned.",
        "Could not be seen when the object was looked at: back of the lock.",
    ]


def test_what_was_done_to_all_is_not_read_of_some(words: Catalogue) -> None:
    """Behind "3 of the 64 nails were taken off", "they" would be the three; and no way is told twice."""
    nails = Part(number="1", part="nail", pieces=64, came_as="later addition", known_from="seen")
    work = [
        Work(number=1, parts=("1",), done="cleaned"),
        Work(number=2, parts=("1",), done="cleaned"),
        Work(number=3, parts=("1",), done="repaired", pieces=3),
        Work(number=4, parts=("1",), done="secured"),
    ]
    assert texts([nails], work, words)["earlier"] == [
        (
            "The 64 nails came as later additions (known from looking). They were cleaned. "
            "Repaired: 3 of the 64 nails. Secured: 64 nails."
        )
    ]


def test_what_is_gone_was_not_kept(words: Catalogue) -> None:
    """Of 4 doors, 1 was taken away: the reason why they were kept is of the 3."""
    door = Part(
        number="1", part="door", pieces=4, came_as="original", kept_why="they are sound", old_piece="lost"
    )
    (said,) = (
        text
        for text in texts([door], [Work(number=1, parts=("1",), pieces=1, done="taken away")], words)["kept"]
        if "kept" in text
    )
    assert said == "3 of the 4 doors were kept, because they are sound."


@pytest.mark.parametrize(
    ("why", "said"),
    [
        ("because it was cracked", "The lid is new, because it was cracked. "),
        ("Because of wear", "The lid is new. Reason: wear. "),
        ("due to a burn", "The lid is new. Reason: a burn. "),
        ("it was cracked", "The lid is new, because it was cracked. "),
        (
            "To fill the row; the places were there.",
            "The lid is new. Reason: To fill the row; the places were there. ",
        ),
    ],
)
def test_a_reason_has_one_because(why: str, said: str, words: Catalogue) -> None:
    lid = Part(number="1", part="lid", came_as="original", why=why)
    (text,) = texts([lid], [Work(number=1, parts=("1",), done="replaced")], words)["new"]
    assert text.startswith(said)


def test_no_bracket_stands_in_a_bracket() -> None:
    """Names carry brackets of their own: "cloth (2 pieces)"."""
    box = Part(number="1", part="cloth", pieces=2, came_as="original")
    inner = Part(number="2", part="cord", part_of="1", pieces=2, came_as="original")
    work = [Work(number=1, parts=("1",), done="replaced", covered="yes")]
    for language in LANGUAGES:
        for text in (t for some in texts([box, inner], work, Catalogue(language)).values() for t in some):
            assert not re.search(r"[(（][^)）]*[(（]|[)）] ?[(（]", text), text


def test_what_came_as_another_piece_is_never_called_original(words: Catalogue) -> None:
    lock = Part(number="1", part="lock", came_as="earlier replacement", known_from="paper")
    work = [Work(number=1, parts=("1",), done="repaired", how="spring bent back")]
    found = texts([lock], work, words)
    assert found["earlier"] == [
        "The lock came as an earlier replacement (known from papers). It was repaired: spring bent back."
    ]
    assert "kept" not in found and "worked_on" not in found


def test_parts_of_which_the_same_is_said_share_a_sentence(words: Catalogue) -> None:
    new = {"came_as": "original", "material": "brass", "new_material": "brass", "old_piece": "given back"}
    parts = [Part(number=n, part=f"{n} corner", **new) for n in ("left", "right")]  # type: ignore[arg-type]
    parts += [
        Part(number=n, part=f"{n} hinge", came_as="later addition", known_from="seen") for n in ("a", "b")
    ]
    found = texts(parts, [Work(number=1, parts=("left", "right"), done="replaced")], words)
    assert found["new"] == [
        (
            "The left corner and right corner are new: brass. The material before was brass. "
            "The originals were given back."
        )
    ]
    assert found["earlier"] == [
        "The a hinge and b hinge came as later additions (known from looking). No work is recorded on them."
    ]


def test_what_has_commas_of_its_own_is_parted_by_semicolons(words: Catalogue) -> None:
    foot = Part(
        number="1",
        part="foot",
        pieces=4,
        came_as="original",
        material="brass, lacquered",
        new_material="brass, lacquered",
        made_by="the workshop",
        why="one was lost in transit",
    )
    work = [Work(number=1, parts=("1",), pieces=1, done="replaced", how="cast after the others")]
    (text,) = texts([foot], work, words)["new"]
    assert text.startswith(
        "1 of the 4 feet is new: brass, lacquered; cast after the others; made by the workshop. "
        "Reason: one was lost in transit. "
    )


def test_pieces_of_one_thing_that_a_colon_tells_more_of(words: Catalogue) -> None:
    inlay = Part(number="1", part="inlay: lines and fan", pieces=16, came_as="original")
    (text,) = texts([inlay], [Work(number=1, parts=("1",), pieces=1, done="replaced")], words)["new"]
    assert text.startswith("1 of 16 pieces of inlay: lines and fan is new")


def test_what_is_new_or_gone_in_place_of_what_was_not_the_first_says_so(words: Catalogue) -> None:
    sac = Part(number="1", part="sac", came_as="earlier replacement", known_from="our opinion")
    lever = Part(number="2", part="lever", came_as="from another object", known_from="seen")
    work = [Work(number=1, parts=("1",), done="replaced"), Work(number=2, parts=("2",), done="taken away")]
    found = texts([sac, lever], work, words)
    assert found["new"][0].startswith(
        "The sac came as an earlier replacement (in our opinion). The sac is new."
    )
    gone = "The lever came from another object (known from looking). The lever was taken away."
    assert found["gone"][0].startswith(gone)
    assert "earlier" not in found


def test_what_lies_behind_many_things_is_one(words: Catalogue) -> None:
    silk = Part(number="1", part="silk behind the sound frets", came_as="missing")
    (text,) = texts([silk], [Work(number=1, parts=("1",), done="added")], words)["new"]
    assert text.startswith("The silk behind the sound frets is new, in place of what was missing")


def test_a_reason_by_itself_stands_as_it_is_typed(words: Catalogue) -> None:
    advised = (Advice(what="Bushing of the pivots", why_not="The owner wishes to wait."),)
    (text,) = texts([], [], words, advised=advised)["undone"]
    assert text == "Advised and left undone: Bushing of the pivots. Reason: The owner wishes to wait."


@pytest.mark.parametrize(
    ("came_as", "group"),
    [("original", "part_renewed"), ("later addition", "earlier"), ("not known", "not_known")],
)
def test_a_part_renewed_tells_what_with_and_how_to_tell(
    words: Catalogue, came_as: CameAs, group: str
) -> None:
    strap = Part(
        number="1",
        part="Strap",
        came_as=came_as,
        material="cowhide",
        new_material="cowhide, chrome tanned",
        made_by="ourselves",
        why="torn through",
        difference="chrome tanned",
        told_by="lighter inside",
    )
    work = [Work(number=1, parts=("1",), done="part renewed", how="new end spliced in")]
    found = texts([strap], work, words)
    assert " ".join(found[group]).endswith(
        "The Strap was partly renewed: new end spliced in; cowhide, chrome tanned; made by the workshop. "
        "Reason: torn through. The material before was cowhide. "
        "How it differs from what was there: chrome tanned. How to tell: lighter inside."
    )


@pytest.mark.parametrize(
    ("old_piece", "said"),
    [
        ("given back to the owner", "The original was given back to the owner."),
        ("In the box", "The original is in the box."),
        ("unknown", "The original: unknown."),
        ("", "Where the original is now is not recorded."),
    ],
)
def test_where_the_old_piece_is(old_piece: str, said: str, words: Catalogue) -> None:
    lid = Part(number="1", part="lid", came_as="original", old_piece=old_piece)
    for done, group in (("replaced", "new"), ("taken away", "gone")):
        (text,) = texts([lid], [Work(number=1, parts=("1",), done=done)], words)[group]  # type: ignore[arg-type]
        assert text.endswith(said)


def test_changed_says_so_or_that_nothing_is_recorded(words: Catalogue) -> None:
    strap = Part(number="1", part="strap", came_as="original")
    assert texts([strap], [], words)["changed"] == ["No change of size, shape or use is recorded."]
    work = [Work(number=1, parts=("1",), done="altered", how="shortened by 2 cm")]
    assert texts([strap], work, words)["changed"] == [
        "The strap was altered in size, shape or use: shortened by 2 cm."
    ]


def test_capitals_are_a_habit_of_a_column_only_where_all_entries_have_them(words: Catalogue) -> None:
    habit = Speech([Part(number="1", part="Handle"), Part(number="2", part="D-ring")], [], words)
    assert [habit.name(Part(number="", part=name)) for name in ("Handle", "D-ring")] == ["handle", "D-ring"]
    mixed = Speech([Part(number="1", part="handle"), Part(number="2", part="Morocco label")], [], words)
    assert mixed.name(Part(number="", part="Morocco label")) == "Morocco label"


tokens = st.integers(0, 10_000).map(lambda n: f"zq{n}x1")  # no word: has no plural
free_parts = st.lists(
    st.builds(
        Part,
        number=st.none(),
        part=tokens,
        part_of=st.sampled_from(["", "1", "2"]),
        pieces=st.integers(1, 9),
        came_as=st.sampled_from(CAME_AS),
        known_from=st.sampled_from(KNOWN_FROM),
        material=tokens,
        condition=tokens,
        new_material=st.one_of(st.just(""), tokens),
        made_by=st.one_of(st.just(""), tokens),
        why=st.one_of(st.just(""), tokens),
        difference=st.one_of(st.just(""), tokens),
        told_by=st.one_of(st.just(""), tokens),
        old_piece=st.one_of(st.just(""), tokens),
        kept_why=st.one_of(st.just(""), tokens),
    ),
    min_size=1,
    max_size=5,
)
free_work = st.lists(
    st.builds(
        Work,
        number=st.none(),
        parts=st.lists(st.sampled_from(["1", "2", "3", "4", "5"]), min_size=1, max_size=3).map(tuple),
        pieces=st.integers(0, 4),
        done=st.sampled_from(DONE),
        how=st.one_of(st.just(""), tokens),
        covered=st.sampled_from(["yes", "no"]),
    ),
    max_size=6,
)


@settings(deadline=None, max_examples=60)
@given(free_parts, free_work, tokens)
def test_a_sentence_says_no_word_that_is_not_ours_or_its_rows(
    parts: list[Part], work: list[Work], advice: str
) -> None:
    parts = [msgspec.structs.replace(p, number=str(n)) for n, p in enumerate(parts, 1)]
    work = [msgspec.structs.replace(row, number=n) for n, row in enumerate(work, 1)]
    job = job_of(parts, work, advised=(Advice(what=advice),))
    rows: dict[str, Part | Work | Advice] = {f"parts/{p.number}": p for p in parts}
    rows |= {f"work/{row.number}": row for row in work} | {"advised/1": job.advised[0]}
    for sentence in told(job, Catalogue("en")):
        said = words_of(sentence.text) - ours()
        allowed = {word for key in sentence.rows for word in words_of(str(msgspec.to_builtins(rows[key])))}
        assert said <= allowed | {str(n) for n in range(50)}, (sentence, said - allowed)
        assert sentence.text.endswith(".") and "{" not in sentence.text


@settings(deadline=None, max_examples=60)
@given(free_parts, free_work)
def test_every_part_that_counts_is_spoken_of(parts: list[Part], work: list[Work]) -> None:
    parts = [msgspec.structs.replace(p, number=str(n)) for n, p in enumerate(parts, 1)]
    work = [msgspec.structs.replace(row, number=n) for n, row in enumerate(work, 1)]
    job = job_of(parts, work)
    now = parts_now(job.parts, job.work)
    spoken = {key for sentence in told(job, Catalogue("en")) for key in sentence.rows}
    assert {f"parts/{row.part}" for row in now} <= spoken


def words_of(text: str) -> set[str]:
    return set(re.findall(r"[\w-]+", text.casefold()))


@cache
def ours() -> set[str]:
    """Every word of our own templates and of the vocabularies."""
    text = resources.files("dossier.words").joinpath("en/sentences.toml").read_text(encoding="utf-8")
    tomllib.loads(text)
    return words_of(text) | {word for done in DONE for word in words_of(done)}


def test_a_reason_that_begins_with_its_verb_is_a_sentence_of_its_own() -> None:
    """ "because had come apart" is no English: what is typed without a subject stands after "Reason:"."""
    for why, said in (("had come apart", "Reason: had come apart."), ("it had come apart", "because it had")):
        worn = Part(number="1", part="lining", came_as="original", why=why, new_material="linen")
        (new,) = [
            s
            for s in told(job_of([worn], [Work(number=1, parts=("1",), done="replaced")]), Catalogue("en"))
            if s.group == "new"
        ]
        assert said in new.text


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_sentence_names_more_parts_than_can_be_read(language: str) -> None:
    """Fifty of each kind: none is left out, and each sentence leads to those it names and to their work."""
    came: tuple[CameAs, ...] = ("original",) * 3 + ("earlier replacement", "not known", "missing")
    done: tuple[Done | None, ...] = (None, "cleaned", "not examined", "cleaned", None, None)
    parts = [Part(number=str(n), part=f"Q{n}q", came_as=came[n // 50]) for n in range(300)]
    work = [
        Work(
            number=kind,
            parts=tuple(part.number for part in parts[50 * kind :][:50]),
            done=how,
            how="dry",
            covered="yes",
        )
        for kind, how in enumerate(done)
        if how
    ]
    named = set()
    for sentence in told(job_of(parts, work), Catalogue(language)):
        names = re.findall(r"Q(\d+)q", sentence.text)
        assert len(set(names)) <= 12
        kinds = {int(name) // 50 for name in names}
        of_work = {f"work/{kind}" for kind in kinds if done[kind]}
        assert set(sentence.rows) == {f"parts/{name}" for name in names} | of_work or not names
        named |= set(names)
    assert named == {part.number for part in parts}
