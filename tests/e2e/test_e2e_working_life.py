"""A workshop's working life through the command: its own key, its key card, a loss, statements, a receipt."""

from __future__ import annotations

import datetime as dt
import json
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import msgspec
import pikepdf
import pytest
from time_server import Authority, serving

from dossier.flows import dossier_files as files
from dossier.flows import holder_copy
from dossier.flows.compiling import writing
from dossier.model.statements import CardKey
from dossier.pages import document
from dossier.pages.options import PageOptions
from dossier.seal import card_change, keycard, keyfiles, keys, recovery
from dossier.seal import pdf as seal_pdf
from dossier.seal import record as seal


@dataclass(frozen=True)
class Life:
    """A workshop with a key, a recovery key, a first card, and a dossier beside which it lies."""

    home: Path
    dossier: Path
    fingerprint: str  # of the card
    key_fingerprint: str

    def __truediv__(self, name: str) -> Path:
        return self.home / name


@pytest.fixture(scope="module")
def first(job: Path, run: Callable[..., Any], tmp_path_factory: pytest.TempPathFactory) -> Life:
    home = tmp_path_factory.mktemp("life")
    for name in ("one", "two", "owner"):
        assert run("keys", "new", home / name, "--name", "Bench & Awl", "--no-passphrase").code == 0
    made = run("keys", "recovery", home / "recovery.txt", "--name", "Bench & Awl")
    assert made.code == 0
    shutil.copytree(job, home / "satchel")
    workshop = (job.parent / "workshop.toml").read_text(encoding="utf-8")
    (home / "workshop.toml").write_text(workshop.replace("keys/trial", "one/workshop"), encoding="utf-8")
    ran = run("compile", home / "satchel", "--to", home / "out")
    assert ran.code == 0, ran.err
    card = [
        "--recovery",
        home / "recovery.txt",
        "--name",
        "Bench & Awl",
        "--key",
        home / "one/workshop-key.pem",
    ]
    ran = run("keys", "card", home / "card-1.json", *card)
    assert ran.code == 0, ran.err
    shutil.copy(home / "card-1.json", home / "out" / "key-card.json")
    shown = run("keys", "show", home / "one/workshop-key.pem").out
    return Life(home, home / "out", digits(ran.out, "Fingerprint"), digits(shown, "Fingerprint"))


@pytest.fixture
def life(first: Life, tmp_path: Path) -> Life:
    """The same on a copy of the dossier, which a test may add to."""
    shutil.copytree(first.dossier, tmp_path / "out")
    return Life(first.home, tmp_path / "out", first.fingerprint, first.key_fingerprint)


def digits(text: str, label: str) -> str:
    line = next(line for line in text.splitlines() if line.startswith(label))
    return line.partition(":")[2].strip()


def answers(run: Callable[..., Any], path: Path, *words: object) -> tuple[int, dict[int, list[str]]]:
    ran = run("verify", path, *words, "--json")
    found: dict[int, list[str]] = {}
    for check in json.loads(ran.out)[0]["checks"]:
        found.setdefault(check["number"], []).append(check["code"])
    return ran.code, found


def test_a_buyer_confirms_the_card_by_telephone_or_by_its_file(life: Life, run: Callable[..., Any]) -> None:
    for trusted in (life.fingerprint, life / "card-1.json"):
        code, found = answers(run, life.dossier, "--trust", trusted)
        assert (code, found[5]) == (0, ["key-on-card"])
    code, found = answers(run, life.dossier)
    assert (code, found[5]) == (2, ["key-not-confirmed"])
    assert life.fingerprint in run("verify", life.dossier, "--json").out


def test_the_digits_of_a_card_are_shown_whenever_somebody_rings(life: Life, run: Callable[..., Any]) -> None:
    ran = run("keys", "show", life / "card-1.json")
    assert (ran.code, digits(ran.out, "Fingerprint")) == (0, life.fingerprint)


def test_statements_are_made_and_told(life: Life, run: Callable[..., Any]) -> None:
    key = ["--key", life / "one/workshop-key.pem"]
    trusted = ["--trust", life.fingerprint]
    strap = ["declare", "correction", life.dossier, "--reason", "The strap is of 1931."]
    assert (
        run(*strap, "--rows", "parts/2", "--rows", "parts/99", *key).code == 64
    )  # no such row (FORMAT.md, 3)
    said = run(*strap, "--rows", "parts/2", "--rows", "work/1", "--rows", "people/1", *key)
    assert said.code == 0, said.err
    assert answers(run, life.dossier, *trusted)[0] == 0
    assert answers(run, life.dossier / "dossier.pdf", *trusted)[1][11] == ["record-corrected"]
    first_lines = run("verify", life.dossier, *trusted).out.splitlines()[:4]
    assert any("a correction by the workshop (11)" in line for line in first_lines)
    (first,) = life.dossier.glob("correction-*.json")
    kept = first.read_bytes()
    again = run("declare", "correction", life.dossier, "--reason", "Again.", *key)
    assert again.code == 0, again.err
    assert first.read_bytes() == kept  # nothing is overwritten: the second has a name of its own
    assert len(list(life.dossier.glob("correction-*.json"))) == 2
    run("declare", "withdrawal", life.dossier, "--reason", "Wrong object.", *key)
    code, found = answers(run, life.dossier, *trusted)
    assert (code, found[11]) == (3, ["record-withdrawn", "record-corrected"])
    told = run("verify", life.dossier, *trusted).out
    assert all(reason in told for reason in ("Wrong object.", "The strap is of 1931.", "Again."))


def test_an_owner_signs_with_a_key_of_their_own(life: Life, run: Callable[..., Any]) -> None:
    said = run("acknowledge", life.dossier / "record.json", "--key", life / "owner/workshop-key.pem")
    assert said.code == 0, said.err
    code, found = answers(run, life.dossier, "--trust", life.fingerprint)
    assert (code, found[12]) == (0, ["receipt-signed"])


def test_a_loss_is_told_to_whoever_knows_the_workshop(
    life: Life, run: Callable[..., Any], tmp_path: Path
) -> None:
    today = dt.datetime.now(dt.UTC).date().isoformat()
    changed = run(
        *("keys", "card", tmp_path / "card-2.json", "--from", life / "card-1.json"),
        *("--recovery", life / "recovery.txt", "--key", life / "two/workshop-key.pem"),
        *("--lost", f"{life.key_fingerprint}={today}"),
    )
    assert changed.code == 0, changed.err
    assert digits(changed.out, "Fingerprint") == life.fingerprint
    code, found = answers(run, life.dossier, "--trust", tmp_path / "card-2.json")
    assert (code, found[5]) == (1, ["key-lost-before"])
    # Whoever confirmed the first card learns of it as soon as the second lies beside.
    shutil.copy(tmp_path / "card-2.json", life.dossier / "key-card-2.json")
    code, found = answers(run, life.dossier, "--trust", life / "card-1.json")
    assert (code, found[5]) == (1, ["key-lost-before"])


def test_without_the_recovery_key_a_card_is_renewed_and_nothing_else(
    life: Life, run: Callable[..., Any], tmp_path: Path
) -> None:
    key = ["--from", life / "card-1.json", "--key", life / "one/workshop-key.pem"]
    assert run("keys", "card", tmp_path / "a.json", *key, "--days", "900").code == 0
    assert run("keys", "card", tmp_path / "b.json", *key, "--telephone", "+43 1").code == 64
    assert (
        run("keys", "card", tmp_path / "c.json", *key, "--lost", f"{life.key_fingerprint}=2026-01-01").code
        == 64
    )
    thief = ["--from", life / "card-1.json", "--key", life / "two/workshop-key.pem"]
    assert run("keys", "card", tmp_path / "d.json", *thief).code == 64
    assert sorted(path.name for path in tmp_path.glob("*.json")) == ["a.json"]


def test_compile_signs_twice_and_lays_the_card_beside_where_the_card_calls_for_it(
    life: Life, run: Callable[..., Any], tmp_path: Path
) -> None:
    for name in ("satchel", "one"):
        shutil.copytree(life / name, tmp_path / name)
    assert run("keys", "new", tmp_path / "one", "--second", "--name", "X", "--no-passphrase").code == 0
    both = [keyfiles.load_key(tmp_path / "one" / f"workshop{name}-key.pem") for name in ("", "-second")]
    old = keycard.read((life / "card-1.json").read_bytes())
    paper = recovery.from_digits((life / "recovery.txt").read_text(encoding="utf-8"))
    changes = card_change.Changes(call_for=("ES256", "ML-DSA-65"))
    yesterday = dt.datetime.now(dt.UTC).date() - dt.timedelta(days=1)
    card = card_change.next_card(old, changes, recovery.keys_of(paper), both, yesterday)
    (tmp_path / "key-card.json").write_bytes(card)
    workshop = (life / "workshop.toml").read_text(encoding="utf-8")
    workshop = workshop.replace("certificate = ", 'key_card = "key-card.json"\ncertificate = ')
    (tmp_path / "workshop.toml").write_text(workshop, encoding="utf-8")
    one = run("compile", tmp_path / "satchel", "--to", tmp_path / "again")
    assert one.code == 65  # the card would refuse a record with one signature
    assert not (tmp_path / "again").exists()
    workshop = workshop.replace("key_card", 'second_key = "one/workshop-second-key.pem"\nkey_card')
    (tmp_path / "workshop.toml").write_text(workshop, encoding="utf-8")
    ran = run("compile", tmp_path / "satchel", "--to", tmp_path / "again")
    assert ran.code == 0, ran.err
    signatures = json.loads((tmp_path / "again/record.json").read_bytes())["signatures"]
    assert len(signatures) == 2
    code, found = answers(run, tmp_path / "again", "--trust", life.fingerprint)
    assert (code, found[5]) == (0, ["key-on-card"])
    key = tmp_path / "one" / "workshop-key.pem"
    ran = run("declare", "withdrawal", tmp_path / "again", "--reason", "As said.", "--key", key)
    assert (ran.code, "more signatures than this statement" in ran.err) == (0, True)
    code, found = answers(run, tmp_path / "again", "--trust", life.fingerprint)
    assert (code, found[11]) == (2, ["statement-short-of-card", "no-correction-known"])
    # The record that was made with the first key alone bears the same day, and falls short.
    code, found = answers(run, life.dossier, "--trust", tmp_path / "key-card.json")
    assert (code, found[5]) == (1, ["signature-short-of-card"])


def test_the_recovery_key_is_readable_by_its_owner_alone(life: Life) -> None:
    assert (life / "recovery.txt").stat().st_mode & 0o077 == 0


@pytest.mark.parametrize(
    "words",
    [
        ["keys", "card", "NEW", "--name", "X"],
        ["keys", "card", "NEW", "--recovery", "NOTHING", "--name", "X"],
        ["keys", "card", "NEW", "--from", "OUT/record.json", "--recovery", "RECOVERY"],
        ["keys", "card", "NEW", "--from", "CARD", "--recovery", "CARD"],
        ["keys", "card", "NEW", "--from", "CARD", "--lost", "12345"],
        ["keys", "card", "NEW", "--from", "CARD", "--person", "AB"],
        ["declare", "supersession", "OUT", "--reason", "x", "--key", "KEY", "--to", "NEW"],
        ["declare", "withdrawal", "CARD", "--reason", "x", "--key", "KEY", "--to", "NEW"],
        ["declare", "withdrawal", "OUT", "--reason", "x", "--key", "OUT/certificate.pem", "--to", "NEW"],
        ["acknowledge", "KEY", "--key", "KEY", "--to", "NEW"],
    ],
)
def test_what_cannot_be_is_one_sentence_and_writes_nothing(
    life: Life, run: Callable[..., Any], tmp_path: Path, words: list[str]
) -> None:
    places = {
        "NEW": tmp_path / "new.json",
        "OUT": life.dossier,
        "CARD": life / "card-1.json",
        "KEY": life / "one/workshop-key.pem",
        "RECOVERY": life / "recovery.txt",
        "NOTHING": tmp_path / "nothing.txt",
        "OUT/record.json": life.dossier / "record.json",
        "OUT/certificate.pem": life.dossier / "certificate.pem",
    }
    ran = run(*(places.get(word, word) for word in words))
    assert ran.code in (64, 66), (ran.out, ran.err)
    assert ran.err.startswith("dossier: ")
    assert not (tmp_path / "new.json").exists()


def test_statements_in_the_folder_are_looked_at_and_not_called_unchecked(
    life: Life, run: Callable[..., Any], tmp_path: Path
) -> None:
    key = ["--key", life / "one/workshop-key.pem"]
    scan = tmp_path / "signed-paper.jpg"
    scan.write_bytes(b"a picture of a paper")
    shutil.copy(scan, life.dossier / scan.name)
    for kind, more in (("correction", []), ("paper-receipt", ["--scan", scan])):
        ran = run("declare", kind, life.dossier, "--reason", "As said.", *key, *more)
        assert ran.code == 0, ran.err
    run("acknowledge", life.dossier, "--key", life / "owner/workshop-key.pem")
    ran = run("verify", life.dossier, "--trust", life.fingerprint, "--json")
    (result,) = json.loads(ran.out)
    (other,) = [check for check in result["checks"] if check["code"] == "file-beside-not-checked"]
    assert set(other["where"]) == {"card.pdf", "sheet.jsonld", "sheet.pdf", "sheet.txt"}
    assert ran.code == 0


def test_a_buyer_is_told_in_the_first_line_that_not_all_was_looked_at(
    life: Life, run: Callable[..., Any]
) -> None:
    (life.dossier / "statements").mkdir()
    (life.dossier / "statements" / "w.json").write_bytes(b'{"payload":"eyJhYm91dCI6')  # cut short
    ran = run("verify", life.dossier, "--trust", life.fingerprint)
    assert ran.code == 2
    assert "could not be told" in ran.out.splitlines()[2]
    assert "statements/w.json" in ran.out
    assert "no correction" not in ran.out


def test_a_thief_of_the_pages_key_cannot_put_other_pages_around_a_good_record(
    first: Life, run: Callable[..., Any], tmp_path: Path
) -> None:
    """The record stands by its second signature, whose key nobody stole; its pages bear only the other."""
    second = first / "one/workshop-second-key.pem"
    assert run("keys", "new", first / "one", "--name", "B", "--second", "--no-passphrase").code == 0
    card, key = tmp_path / "card.json", first / "one/workshop-key.pem"
    made = run(
        *("keys", "card", card, "--recovery", first / "recovery.txt", "--name", "Bench & Awl"),
        *("--key", key, "--key", second),
    )
    assert made.code == 0, made.err
    shutil.copytree(first / "satchel", tmp_path / "satchel")
    shop = (
        (first / "workshop.toml")
        .read_text(encoding="utf-8")
        .replace('"one/', f'"{first.home.as_posix()}/one/')
    )
    (tmp_path / "workshop.toml").write_text(f'second_key = "{second.as_posix()}"\n{shop}', encoding="utf-8")
    assert run("compile", tmp_path / "satchel", "--to", tmp_path / "out").code == 0
    today = dt.datetime.now(dt.UTC).date().isoformat()
    lost = run(
        *(
            "keys",
            "card",
            tmp_path / "later" / "card-2.json",
            "--from",
            card,
            "--recovery",
            first / "recovery.txt",
        ),
        *("--key", second, "--lost", f"{first.key_fingerprint}={today}"),
    )
    assert lost.code == 0, lost.err
    forged = tmp_path / "forged.pdf"
    with_other_pages(
        tmp_path / "out" / "dossier.pdf",
        forged,
        keyfiles.load_key(key, first / "one/workshop-certificate.pem"),
    )
    # The loss is not known yet. The record has a second signature, the pages cannot: they are drawn again.
    code, found = answers(run, forged, "--trust", card)
    assert (code, found[7], found[8]) == (1, ["pages-differ"], ["pdf-signature-matches"])
    code, found = answers(run, forged, "--trust", tmp_path / "later" / "card-2.json")
    assert (found[5], found[8]) == (["key-on-card"], ["pdf-signature-matches"])
    assert (code, found[7]) == (1, ["pages-differ"])
    code, found = answers(run, tmp_path / "out", "--trust", tmp_path / "later" / "card-2.json")
    assert (code, found[7]) == (0, ["pages-match"])


@pytest.fixture(scope="module")
def stamped(first: Life, tmp_path_factory: pytest.TempPathFactory, run: Callable[..., Any]) -> Life:
    """The same workshop with a time-stamp over its record."""
    home = tmp_path_factory.mktemp("stamped")
    shutil.copytree(first.home, home / "life")
    clock = Authority(home / "clock")
    (home / "life" / "root.pem").write_bytes((clock.folder / "root.pem").read_bytes())
    shop = home / "life" / "workshop.toml"
    with serving(clock.answer) as server:
        shop.write_text(f'time_servers = ["{server}"]\n' + shop.read_text(encoding="utf-8"), encoding="utf-8")
        ran = run("compile", home / "life" / "satchel", "--to", home / "out")
    assert ran.code == 0, ran.err
    return Life(home / "life", home / "out", first.fingerprint, first.key_fingerprint)


@pytest.mark.parametrize(
    ("lost_in", "has_stamp", "confirmed", "key", "own"),
    [
        (1, True, True, "key-stamped-before-loss", 0),
        (1, True, False, "key-lost-no-stamp", 2),  # whose clock it is, nobody has confirmed
        (1, False, True, "key-lost-no-stamp", 2),
        (0, True, True, "key-lost-before", 1),  # stamped on the day of the loss: not before it
        (0, False, True, "key-lost-before", 1),
    ],
)
def test_pages_around_a_record_of_a_lost_key_are_drawn_again_whatever_the_stamp(
    first: Life,
    stamped: Life,
    run: Callable[..., Any],
    tmp_path: Path,
    lost_in: int,
    has_stamp: bool,
    confirmed: bool,
    key: str,
    own: int,
) -> None:
    """A stamp from before the loss saves the record. It says nothing of pages; a thief signs these as well
    as the workshop does: other pages around the same record and stamp never match.
    """
    life = stamped if has_stamp else first
    (tmp_path / "card.json").write_bytes(lost_card(first, lost_in))
    trusting = ["--trust", tmp_path / "card.json"]
    trusting += ["--time-authority", stamped / "root.pem"] if confirmed else []
    pdf = life.dossier / "dossier.pdf"
    code, found = answers(run, pdf, *trusting)
    assert (code, found[5], found[7]) == (own, [key], ["pages-match"])
    forged = tmp_path / "forged.pdf"
    thief = keyfiles.load_key(first / "one/workshop-key.pem", first / "one/workshop-certificate.pem")
    with_other_pages(pdf, forged, thief)
    code, found = answers(run, forged, *trusting)
    assert (code, found[5], found[7], found[8]) == (1, [key], ["pages-differ"], ["pdf-signature-matches"])


def lost_card(life: Life, days: int) -> bytes:
    """A card by which others may have had the key from so many days after today on."""
    day = dt.datetime.now(dt.UTC).date() + dt.timedelta(days=days)
    before = keycard.read((life / "card-1.json").read_bytes()).card
    paper = recovery.keys_of(recovery.from_digits((life / "recovery.txt").read_text(encoding="utf-8")))
    second = keyfiles.load_key(life / "two/workshop-key.pem", life / "two/workshop-certificate.pem")
    lost = msgspec.structs.replace(before.keys[0], state="compromised", compromised_from=day.isoformat())
    ours = CardKey(key=second.public, state="in use", since=before.issued)
    card = msgspec.structs.replace(before, number=2, keys=(lost, ours))
    return keycard.make(card, paper, [second])


def test_a_withdrawal_by_a_key_that_was_lost_is_said_again(
    life: Life, run: Callable[..., Any], tmp_path: Path
) -> None:
    """By a key in use, or by the recovery key: by the lost one it lapses: a thief could have said it."""
    card = tmp_path / "card.json"
    card.write_bytes(lost_card(life, 1))
    said = ("declare", "withdrawal", life.dossier, "--reason", "It was another case.")
    old, new, paper = (tmp_path / name / "statement.json" for name in ("old", "new", "paper"))
    by = {
        old: ("--key", life / "one/workshop-key.pem"),
        new: ("--key", life / "two/workshop-key.pem"),
        paper: ("--recovery", life / "recovery.txt"),
    }
    codes = {}
    for target, signer in by.items():
        target.parent.mkdir()
        shutil.copy(life.dossier / "record.json", target.parent)
        ran = run(*said, *signer, "--to", target)
        assert ran.code == 0, ran.err
        codes[target] = answers(run, target.parent / "record.json", "--trust", card)[1][11]
    assert codes[old] == ["statement-by-another", "no-correction-known"]
    assert codes[new] == codes[paper] == ["record-withdrawn"]
    assert answers(run, paper, "--trust", card)[1] == {4: ["signatures-match"], 5: ["key-confirmed"]}
    assert run(*said, "--to", tmp_path / "none.json").code == 64
    # The recovery key speaks for nobody who has not confirmed its card.
    assert answers(run, paper.parent / "record.json")[1][11] == [
        "statement-by-another",
        "no-correction-known",
    ]


def with_other_pages(pdf: Path, target: Path, key: keys.WorkshopKey) -> None:
    """The same record in a file whose pages say another condition, signed as a whole again."""
    with pikepdf.open(pdf) as opened:
        texts = {name: spec.get_file().read_bytes() for name, spec in opened.attachments.items()}
    drawn = files.drawn_from(texts["pages.json"])
    record = seal.open_record(seal.from_json(texts["record.json"]))
    at = dt.datetime.fromtimestamp(record.payload.iat, dt.UTC)
    options = PageOptions(
        created=at,
        originals=drawn.originals,
        code_text=drawn.code,
        fingerprint=keys.fingerprint_words(key.kid),
        paper=drawn.paper,
        language=drawn.language,
    )
    other = msgspec.structs.replace(record.payload, condition="As new.")
    pages = document.draw(
        msgspec.structs.replace(record, payload=other), holder_copy._pictures(pdf, record), options
    )
    attached = writing._attachments(texts, [], at, writing.WORDS)
    writing.write_dossier(
        target, pages, attached, lambda path, _: seal_pdf.sign_pdf(path, key, when=at, name="n", reason="r")
    )
