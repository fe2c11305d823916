"""Line breaks, against another reader of UAX #14 (uniseg) and the rules of Japanese composition."""

from __future__ import annotations

import itertools
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from uniseg.graphemecluster import grapheme_cluster_boundaries
from uniseg.linebreak import line_break_boundaries

from dossier.pages import fonts
from dossier.pages.tagging import composed
from dossier.pages.tagging.breaks import breaks, cluster_starts, clusters
from dossier.pages.tagging.composed import Look, compose

JAPANESE = [
    "革鞄の持ち手を、山羊革（植物タンニン鞣し）で作り直した。",
    "縫い目は「元の穴」を使い、糸は麻糸No.18である。",
    "確かではない……。「そうか」と、キャビネットのヒンジをチェックした。",
    "1920年代のものと思われる。Received by 山田太郎 on 2026年11月25日。",
    "修復前の写真は12枚あり、すべて手元に残してある（写真３〜８）。",
    "人々・家々、ちょっとしたウォッチ、ファスナー。",
]
# JIS X 4051: what may not begin, and what may not end, a line (common members, from memory).
NOT_FIRST = set("、。，．・：；？！ー々ゝゞぁぃぅぇぉっゃゅょァィゥェォッャュョ）」』】〕〉》”’…")
NOT_LAST = set("（「『【〔〈《“‘")
FIGURES = "0123456789"


@pytest.mark.parametrize("text", JAPANESE)
def test_japanese_breaks_are_breaks_of_uax_14(text: str) -> None:
    ours, theirs = set(breaks(text)), set(line_break_boundaries(text)) - {0, len(text)}
    assert ours <= theirs
    # A figure stays with the letter counting it, as with a unit (JIS X 4051, from memory) and with its label.
    counted = {i for i in theirs if text[i - 1] in FIGURES and "\u3041" <= text[i] <= "\u9fff"}
    counted |= {i for i in theirs if text[i] in FIGURES and "\u4e00" <= text[i - 1] <= "\u9fff"}
    assert not ours & counted
    assert len(ours) >= 0.9 * len(theirs - counted)


@pytest.mark.parametrize("text", JAPANESE)
def test_no_line_begins_or_ends_with_what_may_not(text: str) -> None:
    fonts.register()
    for width in range(40, 160, 3):
        lines = compose([(text, Look(fonts.SERIF, 10))], [width])
        assert "".join("".join(item.text for item in line.items) + line.ends for line in lines) == text
        for line in lines:
            assert line.width <= width + 1e-6
        shown = ["".join(item.text for item in line.items) for line in lines]
        assert not NOT_FIRST & {line[0] for line in shown[1:]}
        assert not NOT_LAST & {line[-1] for line in shown[:-1]}


@pytest.mark.parametrize(
    ("text", "places"),
    [
        ("2026年3月2日に受入", [9, 10, 11]),
        ("照合は写真12を参照", [1, 2, 3, 4, 8, 9]),
        ("全64点中9点、2か所", [4, 8, 10]),
    ],
)
def test_no_date_and_no_number_with_its_label_is_parted(text: str, places: list[int]) -> None:
    """A numeral with its unit or label is set as one (JLREQ, from memory)."""
    assert breaks(text) == places


def test_words_of_other_scripts_stay_whole() -> None:
    assert breaks("two words") == [4]
    assert breaks("김민수 씨가 가방을") == [4, 7]
    assert breaks("well-known\u00a0thing") == []
    assert breaks("con\u00adtent") == [4]


def test_thai_vowels_stay_with_their_letters() -> None:
    text = "กระเป๋าหนังใบนี้"
    places = breaks(text)
    assert places
    for place in places:
        assert text[place] not in "ะาำๆฯ"
        assert text[place - 1] not in "เแโใไ"


_SCRIPTS = st.text(
    st.sampled_from("aé e\u0301\u0308かが\u3099日ก\u0e49ำश\u094dर\u093f\u200d👩\U0001f3fd🇩🇪אּ\ufe0f"),
    max_size=16,
)


@settings(max_examples=200, deadline=None)
@given(text=_SCRIPTS)
def test_nothing_is_broken_within_a_cluster(text: str) -> None:
    """Every start of ours is a boundary of UAX #29, or stands before a letter that a joiner ties on."""
    theirs = set(grapheme_cluster_boundaries(text))
    assert set(breaks(text)) <= set(cluster_starts(text))
    extra = [i for i in cluster_starts(text) if i not in theirs]
    # GB9c: marks may follow.
    joined = [text[:i].rstrip("\u0301\u0308\u3099\u0e49\u093f\ufe0f\U0001f3fd") for i in extra]
    assert all(
        before.endswith(("\u200d", "\u094d")) or text[i] in "ำ"
        for i, before in zip(extra, joined, strict=True)
    )


def test_no_last_line_of_one_character_and_its_stop() -> None:
    """Japanese setting avoids a last line of a single character (JLREQ, widow adjustment; from memory).

    No more goes along than that: the words are of two characters, and the line ends between them.
    """
    fonts.register()
    look = Look(fonts.SERIF, 10)
    for text, last in (
        ("以上の内容は点数とともに文章で記しています。", "ます。"),
        ("オリジナル、処置あり", "あり"),
        ("隠れた部分", "部分"),
        ("手を加えず残置", "残置"),
    ):
        all_but_one = len(text.rstrip("。")) - 1
        lines = compose([(text, look)], [10.0 * all_but_one + 0.1])
        said = ["".join(item.text for item in line.items) for line in lines]
        assert said == [text.removesuffix(last), last]


@given(
    st.text(st.sampled_from("aé\u0301\u05d0\u200d\U0001f1e6\U0001f600か\u3099กำ\u17d2ក"), max_size=40),
    st.integers(1, 5),
)
@settings(deadline=None)
def test_clusters_come_one_by_one_as_they_come_together(text: str, looked_at: int) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("dossier.pages.tagging.breaks._LOOKED_AT", looked_at)
        found = list(clusters(text, 0, len(text)))
    assert found == list(itertools.pairwise([*cluster_starts(text), len(text)])) if text else not found


@pytest.mark.parametrize("letters", ["א", "אa", "a\u0301", "\U0001f1e6", "\u05e9\u05c1", "e"])
def test_a_long_word_is_measured_a_line_at_a_time(letters: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A stranger may write a word of thousands of letters: setting it must not grow with its square."""
    fonts.register()
    measured, item = 0, composed._item

    def counted(text: str, *rest: Any) -> composed.Item:
        nonlocal measured
        measured += len(text)
        return item(text, *rest)

    monkeypatch.setattr(composed, "_item", counted)
    word = letters * (6000 // len(letters))
    lines = compose([(word, Look(fonts.SERIF, 10))], [120])
    assert sum(len(one.text) for line in lines for one in line.items) == len(word)
    assert len(lines) > 30
    assert measured < 30 * len(word)
