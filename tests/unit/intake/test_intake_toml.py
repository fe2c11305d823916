"""Places in TOML text: every key and list item the standard library reads has a place, the right one."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.intake.template_plain import toml_value
from dossier.intake.tomltext import Path, TomlTextError, read_toml

TEXT = """\
number = "1" # not a "key = 2"
"quoted key" = 'x'
long = \"\"\"
inside = "no key"
[not.a.table]
\"\"\"
raw = '''
[[neither]]'''
list = [
  "one", # remark
  "two",
]
object.maker = {what = "a", known_from = "seen"}

[dates]
received = 2026-03-02

[[agreements]]
number = "A1"

[[agreements]]
number = "A2"
[agreements.more]
x = [{a = 1}, {b = 2}]
"""


def paths(value: Any, path: Path = ()) -> set[Path]:
    """Every path of keys and list items in `value`."""
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    found = set() if not path else {path}
    return found.union(*(paths(item, (*path, key)) for key, item in items))


def test_every_value_has_a_place() -> None:
    values, places = read_toml(TEXT)
    assert paths(values) <= set(places)
    assert set(places) == paths(values)


@pytest.mark.parametrize(
    ("path", "place"),
    [
        (("number",), (1, 1)),
        (("quoted key",), (2, 1)),
        (("raw",), (7, 1)),
        (("list", 1), (11, 3)),
        (("object", "maker"), (13, 1)),
        (("object", "maker", "known_from"), (13, 29)),
        (("dates", "received"), (16, 1)),
        (("agreements", 0, "number"), (19, 1)),
        (("agreements", 1), (21, 1)),
        (("agreements", 1, "number"), (22, 1)),
        (("agreements", 1, "more", "x", 1, "b"), (24, 16)),
    ],
)
def test_places_are_those_an_editor_shows(path: Path, place: tuple[int, int]) -> None:
    assert read_toml(TEXT)[1][path] == place


KEYS = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), min_size=1, max_size=8)
LEAVES = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=12) | st.booleans()


@settings(deadline=None, max_examples=150)
@given(table=st.dictionaries(KEYS, LEAVES | st.lists(LEAVES, max_size=4), max_size=6))
def test_what_the_template_writes_reads_back_equal_with_every_place(table: dict[str, Any]) -> None:
    text = "".join(f"{toml_value(key)} = {toml_value(value)}\n" for key, value in table.items())
    values, places = read_toml(text)
    assert values == table
    assert set(places) == paths(table)
    assert [places[key,][0] for key in table] == list(range(1, len(table) + 1))


@pytest.mark.parametrize(
    ("text", "line", "column"),
    [("a = 1\nb = \n", 2, 5), ("a = 1\na = 2\n", 2, 6), ('a = "x', 1, 7), ("[a\n", 1, 3)],
)
def test_a_fault_is_placed(text: str, line: int, column: int) -> None:
    with pytest.raises(TomlTextError) as caught:
        read_toml(text)
    assert (caught.value.line, caught.value.column) == (line, column)
    assert "(at" not in caught.value.message


@pytest.mark.parametrize("text", ["a = " + "[" * 5000, "a = " + "[" * 400 + "]" * 400, "a = " + "9" * 5000])
def test_hostile_text_is_refused_or_read_but_never_escapes(text: str) -> None:
    try:
        read_toml(text)
    except TomlTextError as error:
        assert error.line == 1
