"""Writes the table of codes into FORMAT.md from where the codes stand: `python schemas/make_codes_table.py`.

With `--check` it writes nothing and ends with 1 where the table is not up to date.
"""

from __future__ import annotations

import sys
import tomllib
from importlib import resources
from pathlib import Path

from dossier.flows.verifying.checks import CODES as FLOW_CODES
from dossier.flows.verifying.statements import CODES as STATEMENT_CODES
from dossier.model.result import CHECK_NUMBERS
from dossier.seal import codes, standing
from dossier.seal.stamp_codes import CODES as TIME_CODES

FORMAT = Path(__file__).with_name("FORMAT.md")
BEGIN, END = "<!-- codes: made by make_codes_table.py -->\n", "<!-- end of codes -->\n"
LAST = 99  # sorts what cannot be read behind the numbered checks

Row = tuple[int, str, str, str]  # number of the check, code, answer, sentence


def rows() -> list[Row]:
    """Every code, by number of its check."""
    seal, verify = words("seal")["code"], words("verify")
    container, pdf = words("container"), words("seal_pdf")["check"]
    found: dict[str, Row] = {}
    rooms = (
        (codes.CODES, seal),
        (standing.CODES, words("keycard")["code"]),
        (FLOW_CODES, verify["code"]),
        (TIME_CODES, words("stamp")["code"]),
        (STATEMENT_CODES, words("statements")["code"]),
    )
    for room, sentences in rooms:
        for code, (name, verdict) in room.items():
            found[code] = (CHECK_NUMBERS[name], code, verdict, said(sentences[code]))
    for code, text in container["finding"].items():
        found[code] = (1, code, "does not match", text)
    for code, text in pdf.items():
        verdict = "matches" if code == "pdf-signature-matches" else "does not match"
        found[code] = (8, code, verdict, text)
    unreadable = {code: seal[code] for code in codes.UNREADABLE}
    for code, text in {**container["unreadable"], **verify["unreadable"], **unreadable}.items():
        if code != "other":  # what is said where a code has no words of its own
            found.setdefault(code, (LAST, code, "cannot be read", text))
    return sorted(found.values(), key=lambda row: row[0])


def words(room: str) -> dict[str, dict[str, str]]:
    """The English words of a room, as its file has them."""
    text = resources.files("dossier.words").joinpath("en", f"{room}.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def said(sentence: str | dict[str, str]) -> str:
    """The sentence of a code; of one that counts, the form for several."""
    return sentence["other"] if isinstance(sentence, dict) else sentence


def table() -> str:
    lines = ["| check | code | answer | in English |", "|---|---|---|---|"]
    for number, code, verdict, text in rows():
        lines.append(f"| {number if number != LAST else '-'} | `{code}` | {verdict} | {text} |")
    return "\n".join(lines) + "\n"


def updated(document: str) -> str:
    """The document with its table made anew."""
    before, _, rest = document.partition(BEGIN)
    _, _, after = rest.partition(END)
    return before + BEGIN + table() + END + after


def main(arguments: list[str]) -> int:
    document = FORMAT.read_text(encoding="utf-8")
    if "--check" in arguments:
        return int(updated(document) != document)
    FORMAT.write_text(updated(document), encoding="utf-8", newline="\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
