"""Japanese sentences of a small invented job, written out by hand; words found where no space parts them.

Checked against: how Japanese conservation reports are worded (noun endings, full-width marks: common
practice, no source); 1 デシ of leather is 10 cm × 10 cm, as hides are sold in Japan (the same).
"""

from __future__ import annotations

import pytest
from small_jobs import (
    codes,
    job_of,
    part,
    read,
    rules,
    said,
    said_with_history,
    said_within_a_replaced_part,
    work_of,
)

from dossier.account.findings import assess
from dossier.model.job import Job, Workshop
from dossier.model.rows import Advice, Contact, LookedAt, Object, Work
from dossier.trade.plater import metal_of
from dossier.trade.rules import in_force, matches
from dossier.words import Catalogue
from dossier.words.compare import normal, phrases

WORDS = Catalogue("ja")

PARTS = (
    part("1", "錠前"),
    part("2", "革ベルト", pieces=2, kept_why="使い込まれた反りがこの鞄の歴史であるため。"),
    part("3", "持ち手"),
    part(
        "4",
        "蓋の内張り",
        material="絹",
        new_material="山羊革",
        made_by="当工房",
        why="絹が朽ちていたため。",
        told_by="縁に「26」の刻印",
        difference="色調がやや鈍い",
        old_piece="所有者に返却。",
    ),
    part("5", "鋲", pieces=64, material="真鍮", new_material="真鍮", old_piece="保管せず"),
    part("6", "鍵", came_as="missing", new_material="鋼"),
    part("7", "底鋲", pieces=4, came_as="later addition", known_from="our opinion"),
    part("8", "内底", came_as="not known", known_from="not known"),
    part("9", "縁革", came_as="not known", known_from="not known"),
    part("10", "芯板"),
    part("11", "名札", came_as="missing"),
    part("12", "当て革", why="剥がれていたため"),
    part("13", "縫い目", new_material="麻糸", material="麻糸"),
    part("14", "掛け金", came_as="from another object", known_from="paper"),
)
WORK = (
    *work_of(
        {
            2: "柔らかい刷毛で乾拭き。",
            6: "生麩糊による",
            10: "9 cmを縫い直し",
            11: "2 cm短縮",
        }
    ),
    Work(number=12, parts=("14",), done="new surface"),
)
JOB = job_of(
    *PARTS,
    language="ja",
    work=WORK,
    looked_at=LookedAt(could_not_see=("錠前の裏面",)),
    advised=(Advice(what="名札の新調", why_not="元の形が不明なため"),),
)


@pytest.fixture(scope="module")
def sentences() -> dict[str, list[str]]:
    return said(JOB)


@pytest.mark.parametrize(
    ("group", "text"),
    [
        ("kept", "オリジナル（目視による）で、手を加えず残したもの：錠前。"),
        ("kept", "オリジナル（目視による）で、処置の記録がないもの：鋲（64点中55点）。"),
        ("kept", "意図して残した部材：革ベルト（2点）。理由：使い込まれた反りがこの鞄の歴史であるため。"),
        ("worked_on", "革ベルト（2点）、持ち手をクリーニング：柔らかい刷毛で乾拭き。"),
        ("worked_on", "芯板を補修。"),
        (
            "new",
            (
                "蓋の内張りを新調：山羊革、製作は当工房。理由：絹が朽ちていたため。元の材料は絹。"
                "元のものとの違い：色調がやや鈍い。見分け方：縁に「26」の刻印。"
                "旧材（オリジナル）の所在：所有者に返却。"
            ),
        ),
        (
            "new",
            "鋲（64点中9点）を新調：真鍮。元の材料は真鍮。旧材（オリジナル）の所在：保管せず。",
        ),
        ("new", "受入時に欠失していた鍵を新調：鋼。欠失していたものとの異同は記録なし。"),
        ("part_renewed", "縫い目の一部を新調：9 cmを縫い直し、麻糸。元の材料は麻糸。"),
        (
            "earlier",
            "受入時に後年の付加（当方の見解）であったもの：底鋲（4点）。これに対する処置の記録なし。",
        ),
        ("earlier", "受入時に他の品からの転用（資料による）であったもの：掛け金。これの表面を再仕上げ。"),
        ("not_known", "未調査：縁革。"),
        ("not_known", "オリジナルかどうか不明で、処置の記録もないもの：縁革。"),
        ("not_known", "オリジナルかどうか不明：内底。これを固定：生麩糊による。"),
        ("not_known", "調査時に見ることができなかった箇所：錠前の裏面。"),
        ("changed", "持ち手の寸法、形状または用途を変更：2 cm短縮。"),
        ("undone", "提案したが実施しなかった処置：名札の新調。理由：元の形が不明なため。"),
        ("gone", "当て革を撤去。理由：剥がれていたため。旧材（オリジナル）の所在は記録なし。"),
        ("gone", "受入時に欠失しており、欠失のままのもの：名札。"),
        ("hidden", "処置後に覆われ、見えなくなった箇所（補修）：芯板。"),
    ],
)
def test_the_sentences_read_as_a_workshop_would_write_them(
    sentences: dict[str, list[str]], group: str, text: str
) -> None:
    assert text in sentences[group]


def test_what_was_said_before_stands_beside_what_is_read_now() -> None:
    texts = said_with_history(JOB, "堰端工房")
    assert (
        "持ち手についての従前の記載：新調、同種（堰端工房、2020年3月3日）。本記録での判断：「オリジナル」。"
        "いずれの記載も併記し、集計では次のとおり数える：以前の交換品。"
    ) in texts


def test_a_part_within_one_that_was_replaced() -> None:
    texts = said_within_a_replaced_part("ja", "引き出し", "引き出しの底板")
    assert (
        "現在どうなっているか不明：引き出しの底板。これに対する処置の記録はなく、"
        "これを含む部材については「引き出しを交換」との記録がある。"
    ) in texts


@pytest.mark.parametrize(
    ("material", "code"),
    [
        ("速乾性接着剤で接着", "solvent-hexane"),
        ("hexaneを含む接着剤", "solvent-hexane"),
        ("鋼に真鍮めっき", "plating"),
        ("持ち手は象牙製", "species-ivory"),
        ("セルロイドの柄", "celluloid"),
        ("牛革、カビの跡あり", "mould"),
        ("ローズウッドの突板", "species-wood"),
        ("模造ワニ革の縁とクロコダイルの蓋", "species-reptile"),
        ("亜鉛白の下に鉛白", "lead"),
    ],
)
def test_words_are_found_where_no_space_parts_them(material: str, code: str) -> None:
    assert code in codes("ja", material)


@pytest.mark.parametrize(
    "material",
    [
        "水性速乾性接着剤",
        "クロコダイル型押しの牛革",
        "表面に浮かびあり",
        "布をはさみ込んで縫製",
        "亜鉛白",
        "無溶剤",
    ],
)
def test_what_only_sounds_like_it_is_not_found(material: str) -> None:
    assert codes("ja", material) == []


def test_voiced_kana_are_letters_of_their_own() -> None:
    """Unicode, block Katakana: HA, BA and PA are three letters, composed or not, half-width too."""
    assert len({normal("ハ"), normal("バ"), normal("パ")}) == 3
    assert normal("カビ") == normal("カヒ\u3099") == normal("ｶﾋﾞ")
    assert normal("Rauchkräuseln é") == "rauchkrauseln e"


def test_what_is_taken_out_is_the_word_and_not_its_sentence() -> None:
    assert phrases(["*亜鉛白*"]).without(normal("亜鉛白の下に鉛白")).strip() == "の下に鉛白"


@pytest.mark.parametrize(
    ("written", "unit", "low"),
    [
        ("36 デシ", "square decimetre", "36"),
        ("1.8 ミリ", "millimetre", "9/5"),
        ("2 インチ", "inch", "2"),
        ("210 デニール", "denier", "210"),
    ],
)
def test_units_as_the_trade_in_japan_writes_them(written: str, unit: str, low: str) -> None:
    """International yard and pound, 1959: one inch is 25.4 mm."""
    assert read(written, "ja") == (unit, low)


def test_metals_have_japanese_names() -> None:
    assert (metal_of("純金", "ja"), metal_of("ニッケル", "ja"), metal_of("真鍮", "ja")) == (
        "gold",
        "nickel",
        "",
    )


@pytest.mark.parametrize(
    ("how", "material", "rule"),
    [
        ("湿らせた綿棒で拭き取り", "木、石膏地に水押しの金箔", "wet-water-gilding"),
        ("アセトンで拭く", "牛革、植物タンニン鞣し", "strong-solvent-leather"),
        ("研磨剤で磨く", "鋼、真鍮めっき", "metal-polish-plated"),
        ("アルコールで拭く", "プリント帆布", "solvent-printed-canvas"),
        ("約60 °Cで加温", "牛革", "warm-vegetable-tanned"),
        ("50～75℃に加温", "牛革", "hot-vegetable-tanned"),
        ("エタノールで拭く", "胡桃、セラック仕上げ", "alcohol-shellac"),
    ],
)
def test_what_is_kept_off_a_material_is_found_in_japanese(how: str, material: str, rule: str) -> None:
    """Rules of the trade: common practice, no source."""
    assert rules("ja", how, material) == [rule]


def test_what_is_fine_is_fine_in_japanese() -> None:
    work = Work(
        number=1, parts=("1",), done="cleaned", how="柔らかい刷毛で乾拭き", product="水性速乾性接着剤"
    )
    parts = {"1": part("1", "前胴", material="牛革")}
    assert list(matches([work], parts, in_force((), "ja"), "ja")) == []


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("佐藤様のご希望により残した", "private-name"),
        ("佐藤花子様の指示", "private-name"),
        ("費用は48,600円とした", "private-amount"),
        ("札幌市中央区北1条2丁目に返送", "private-address"),
    ],
)
def test_private_words_are_found_where_no_space_parts_them(text: str, code: str) -> None:
    assert private(text) == [code]


@pytest.mark.parametrize("text", ["鋲64点中9点", "白木の部材", "2026年3月に48600目を数えた", "縫い穴25箇所"])
def test_counts_and_words_of_the_trade_are_not_private(text: str) -> None:
    assert private(text) == []


def private(text: str) -> list[str]:
    owner = Contact(name="佐藤 花子", address="札幌市中央区北1条2丁目")
    job = Job(
        number="1",
        language="ja",
        workshop=Workshop(name="w"),
        object=Object(type="鞄"),
        owner=owner,
        price="48,600円",
        parts=(part("1", "蓋", condition=text),),
    )
    found = (finding.code for finding in assess(job, WORDS, (), today="2026-11-25"))
    return [code for code in dict.fromkeys(found) if code.startswith("private-")]
