"""A draft as plain files: a commented `job.toml`, the tables as CSV, and a page that explains them.

Not done here: choosing the contents, making folders.
"""

from __future__ import annotations

import re

from dossier.intake.draft import Draft, Values, help_for, top_fields
from dossier.intake.schema import LISTS, RULES, TABLES, WORKSHOP_LISTS, WORKSHOP_TOP, Field, Fields
from dossier.words import Catalogue

_FORMULA = ("=", "+", "-", "@")


def plain_files(draft: Draft, words: Catalogue) -> dict[str, bytes]:
    """The files of a job by name."""
    files = {"job.toml": job_toml(draft, words).encode()}
    for table, fields in TABLES.items():
        files[f"{table}.csv"] = table_csv(fields, draft.tables[table])
    files["read me.txt"] = read_me(words).encode()
    return files


def job_toml(draft: Draft, words: Catalogue) -> str:
    """`job.toml` with a remark on each line that is not filled in, and on each that is."""
    blocks = ["\n".join(f"# {line}" for line in draft.remarks)]
    for table, fields in top_fields().items():
        values = draft.top if table == "top" else draft.sections[table]
        head = [] if table == "top" else [_header(f"[{table}]", fields, values)]
        blocks.append("\n".join([*head, *_pairs(table, fields, values, words)]))
    blocks.extend(_list_block(table, fields, draft.lists[table], words) for table, fields in LISTS.items())
    return "\n\n".join(blocks) + "\n"


def _header(header: str, fields: Fields, values: Values) -> str:
    """A table with nothing in it stands as a remark, unless every job has it."""
    return header if values or not any(field.needed for field in fields) else f"# {header}"


def _pairs(table: str, fields: Fields, values: Values, words: Catalogue) -> list[str]:
    lines = []
    for field in fields:
        said = help_for(words, table, field)
        if field.name in values:
            lines.append(f"{field.name} = {toml_value(values[field.name])}{_remark(said)}")
        else:
            empty = "[]" if field.kind == "lines" else '""'
            lines.append(f"# {field.name} = {empty}{_remark(said)}")
    return lines


def _remark(said: str) -> str:
    return f"  # {said}" if said else ""


def _list_block(table: str, fields: Fields, rows: list[Values], words: Catalogue) -> str:
    """The rows of a list; where there is none, one as a remark."""
    if not rows:
        return "\n".join([f"# [[{table}]]", *_pairs(table, fields, {}, words)])
    first = "\n".join([f"[[{table}]]", *_pairs(table, fields, rows[0], words)])
    others = [_short_block(table, row) for row in rows[1:]]
    return "\n\n".join([first, *others])


def _short_block(table: str, row: Values) -> str:
    return "\n".join([f"[[{table}]]", *(f"{name} = {toml_value(value)}" for name, value in row.items())])


def toml_value(value: object) -> str:
    """A text, list of texts, true or false in TOML."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list | tuple):
        return f"[{', '.join(toml_value(item) for item in value)}]"
    return f'"{re.sub(_ESCAPED, _escape, str(value))}"'


_PARTING = re.compile(r'[",;\t\r\n]')
_ESCAPED = re.compile(r'[\x00-\x1f\x7f"\\]')


def _escape(match: re.Match[str]) -> str:
    short = {"\n": "\\n", "\t": "\\t", '"': '\\"', "\\": "\\\\"}
    return short.get(match[0], f"\\u{ord(match[0]):04X}")


def table_csv(fields: Fields, rows: list[Values]) -> bytes:
    """The table with a mark of its encoding, which spreadsheet programs look for."""
    cells = [[field.heading for field in fields]]
    cells += [[_cell(row.get(field.name, "")) for field in fields] for row in rows]
    lines = (",".join(map(_quoted, row)) + "\r\n" for row in cells)
    return "".join(lines).encode("utf-8-sig")


def _quoted(text: str) -> str:
    """Not only where there is a comma (RFC 4180): some programs part cells at semicolons and tabs as well."""
    return '"' + text.replace('"', '""') + '"' if _PARTING.search(text) else text


def _cell(value: object) -> str:
    """A space before what a spreadsheet program would take for a formula; the reader drops it again."""
    text = toml_value(value) if isinstance(value, bool) else str(value)
    return f" {text}" if text.startswith(_FORMULA) else text


def workshop_toml(words: Catalogue) -> bytes:
    """A workshop to write over."""
    example = words.table("template.example")
    top = words.table("template.workshop")
    lines = [f"# {line}" for line in top["top"]]
    lines += _pairs("workshop", WORKSHOP_TOP, {k: v for k, v in example["workshop"].items() if v}, words)
    for table, fields in WORKSHOP_LISTS.items():
        rows = "\n\n".join(_short_block(table, row) for row in example[table])
        lines.append(f"\n# {top[table]}\n{rows}")
        assert all(field.name in row for row in example[table] for field in fields if field.needed)
    return ("\n".join(lines) + "\n").encode()


def read_me(words: Catalogue) -> str:
    """The page that explains the files and every column."""
    said = words.table("template.read_me")
    blocks = [said["title"], "\n".join(said["plain"]), "\n".join(said["rules"])]
    for table, fields in TABLES.items():
        blocks.append("\n".join([f"{table}.csv", *(_column_line(words, table, field) for field in fields)]))
    blocks.append("\n".join([said["rules_file"], *(_key_line(words, field) for field in RULES)]))
    return "\n\n".join(blocks) + "\n"


def _key_line(words: Catalogue, field: Field) -> str:
    return f"  {field.name:<14} {help_for(words, 'rules', field)}"


def _column_line(words: Catalogue, table: str, field: Field) -> str:
    return f"  {field.heading:<14} {help_for(words, table, field)}"
