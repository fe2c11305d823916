"""What was put away later beside a bag is looked at within bounds, and what is beyond them is named."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest

from dossier import canonical
from dossier.flows.verifying import lying_beside
from dossier.seal import base64url

VECTORS = Path(__file__).parents[2] / "vectors" / "keycard" / "record"
STATEMENT = VECTORS / "record-withdrawn" / "statement.json"


@pytest.fixture
def bags(tmp_path: Path) -> Path:
    """An archive's bags: a dossier's own, and four of what was said later."""
    dossier = tmp_path / "0001--5ea1" / "data" / "dossier"
    dossier.mkdir(parents=True)
    (tmp_path / "0001--5ea1" / "bagit.txt").write_bytes(b"BagIt-Version: 1.0\n")
    for number in range(4):
        inside = tmp_path / f"0001--5ea1--withdrawal-{number}" / "data" / "statements"
        inside.mkdir(parents=True)
        shutil.copy(STATEMENT, inside / "statement.json")
    return tmp_path


def beside(bags: Path) -> lying_beside.AtHand:
    return lying_beside.beside(bags / "0001--5ea1" / "data" / "dossier")


def test_bags_beside_are_read(bags: Path) -> None:
    found = beside(bags)
    assert (len(found.about), len(found.read), found.unread) == (4, 1, ())


def test_bags_beyond_the_bound_are_named(bags: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(lying_beside, "MOST_LATER", 3)
    found = beside(bags)
    assert (len(found.about), found.unread) == (3, ("0001--5ea1--withdrawal-3/",))


def test_names_in_a_bag_beyond_the_bound_are_told(bags: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(lying_beside, "MOST_IN_BAG", 1)
    (bags / "0001--5ea1--withdrawal-2" / "data" / "statements" / "z.jpg").write_bytes(b"\xff\xd8")
    assert beside(bags).unread == ("0001--5ea1--withdrawal-2/./",)


def test_all_bags_together_have_one_measure_of_bytes(bags: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Before, each bag had its own, and a folder of them could fill the memory; nothing more is read then."""
    monkeypatch.setattr(lying_beside, "MOST_BYTES", STATEMENT.stat().st_size)
    found = beside(bags)
    assert (len(found.about), len(found.unread)) == (1, 3)
    assert found.unread[0] == "0001--5ea1--withdrawal-1/data/statements/statement.json"


def test_what_is_under_check_is_not_asked_for_by_itself(bags: Path, tmp_path: Path) -> None:
    """A link that was named, or the PDF of a folder that is one: it had been said not to be looked at."""
    own = bags / "0001--5ea1" / "data" / "dossier"
    for name in ("my.pdf", "dossier.pdf", "record.json"):
        (own / name).symlink_to(STATEMENT)
    assert lying_beside.beside(own / "my.pdf").unread == ("dossier.pdf", "record.json")
    assert lying_beside.beside(own).unread == ("my.pdf",)


def test_a_record_of_a_later_version_is_no_statement(tmp_path: Path) -> None:
    """A member of a capital letter stands before those that are known (RFC 8785, 3.2.3: by UTF-16 units)."""
    vectors = Path(__file__).parents[2] / "vectors" / "record"
    record = next(iter(sorted(vectors.glob("**/record.json"))))
    plain = msgspec.json.decode(record.read_bytes())
    payload = base64url.decode(plain["payload"])
    plain["payload"] = base64url.encode(b'{"A":1,' + payload.removeprefix(b"{"))
    (tmp_path / "r.json").write_bytes(canonical.encode(plain))
    assert lying_beside.beside(tmp_path / "other.pdf").unread == ()
    (tmp_path / "r.json").write_bytes(canonical.encode(plain | {"zz": 1}))
    assert lying_beside.beside(tmp_path / "other.pdf").unread == ("r.json",)


def test_a_pipe_for_a_statement_is_named(tmp_path: Path, pipe: Callable[[Path], None]) -> None:
    (tmp_path / "statements").mkdir()
    pipe(tmp_path / "statements" / "withdrawal.json")
    assert lying_beside.beside(tmp_path / "dossier.pdf").unread == ("statements/withdrawal.json",)


def otherwise() -> dict[str, bytes]:
    """A withdrawal as another program may write it again."""
    data = STATEMENT.read_bytes()
    plain = msgspec.json.decode(data)
    turned = msgspec.json.encode(dict(reversed(list(plain.items()))))
    return {
        "members turned": turned,
        "turned and indented": msgspec.json.format(turned, indent=2),
        "UTF-16, no mark": data.decode().encode("utf-16-le"),
        "UTF-16, the other way round": data.decode().encode("utf-16-be"),
        "UTF-32": data.decode().encode("utf-32"),
        "UTF-32, no mark": data.decode().encode("utf-32-be"),
        "escapes": data.replace(b'"payload"', b'"p\\u0061yload"'),
        "escapes in the other name": turned.replace(b'"signatures"', b'"signature\\u0073"'),
        "a null before it": b"\0" + data,
        "another member": b'{"Note":1,' + data.removeprefix(b"{"),
    }


@pytest.mark.parametrize("how", otherwise())
def test_a_statement_that_another_program_wrote_is_named(tmp_path: Path, how: str) -> None:
    (tmp_path / "w.json").write_bytes(otherwise()[how])
    assert lying_beside.beside(tmp_path / "dossier.pdf").unread == ("w.json",)


def test_other_files_in_json_are_none(tmp_path: Path) -> None:
    vectors = Path(__file__).parents[2] / "vectors" / "record"
    record = msgspec.json.decode(next(iter(sorted(vectors.glob("**/record.json")))).read_bytes())
    turned = dict(reversed(list(record.items())))
    (tmp_path / "turned.json").write_bytes(msgspec.json.encode(turned))
    (tmp_path / "again.json").write_bytes(msgspec.json.format(msgspec.json.encode(record)))
    (tmp_path / "other.json").write_bytes(b'{"signatures": ["A. B."], "payload": 3}')
    (tmp_path / "sheet.jsonld").write_bytes(b'{"@context": {"payload": "https://example.org/"}}')
    assert lying_beside.beside(tmp_path / "dossier.pdf").unread == ()


def test_what_is_looked_through_for_them_is_bounded(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Any folder may be full of JSON: the rest is passed over, as what is far longer than any is."""
    monkeypatch.setattr(lying_beside, "_MOST_JSON", 30)
    monkeypatch.setattr(lying_beside, "_LONGEST_OTHERWISE", 100)
    (tmp_path / "a.json").write_bytes(b'{"a": "' + b"x" * 100 + b'"}')
    for name in "bc":
        (tmp_path / f"{name}.json").write_bytes(b'{"another": 1}')
    said = otherwise()["another member"]
    (tmp_path / "d.json").write_bytes(said)
    assert lying_beside.beside(tmp_path / "dossier.pdf").unread == ()
    monkeypatch.setattr(lying_beside, "_MOST_JSON", 200 + len(said))
    monkeypatch.setattr(lying_beside, "_LONGEST_OTHERWISE", len(said))
    assert lying_beside.beside(tmp_path / "dossier.pdf").unread == ("d.json",)
