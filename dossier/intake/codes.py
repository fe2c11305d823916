"""The codes of what reading a job folder can find, in one table.

Stable: a code is never given a second meaning. Its words stand in the catalogue under
`intake.finding.<code>`; `error` means the job cannot be compiled, `gap` that it can and will say so.
"""

from __future__ import annotations

from dossier.model.finding import Level

# After these a table is not wholly known, so nothing is said about what it seems to lack.
NOT_WHOLE = frozenset(
    {
        "cannot-read",
        "file-too-big",
        "heading-blank",
        "heading-twice",
        "link-outside",
        "missing-heading",
        "no-headings",
        "not-text",
        "quote-not-closed",
        "too-many-rows",
    }
)
# After these not all that is in a folder is known.
NOT_SEEN = frozenset({"cannot-read", "link-outside", "too-many-files"})
# Each says of one photograph that nothing can be seen of it.
NOT_SHOWN = frozenset({"photograph-cannot-serve", "photograph-not-opened"})

CODES: dict[str, Level] = {
    # the folder and its files
    "no-folder": "error",
    "file-given": "error",
    "no-job-file": "error",
    "two-forms": "error",
    "no-workshop": "error",
    "no-parts": "gap",
    "unknown-file": "error",
    "file-not-read": "note",
    "file-beside": "gap",
    "in-cloud": "error",
    "photograph-elsewhere": "note",
    "note-not-read": "note",
    "link-outside": "error",
    "cannot-read": "error",
    "file-too-big": "error",
    "not-text": "error",
    "letters-in-doubt": "gap",
    "open-elsewhere": "gap",
    "too-many-files": "error",
    "earlier-record-not-here": "error",
    "earlier-record-unreadable": "error",
    "photograph-cannot-serve": "gap",
    "photograph-beside": "note",
    "photograph-not-opened": "error",
    "more-problems": "error",
    # TOML files
    "toml-syntax": "error",
    "unknown-key": "error",
    "key-out-of-place": "error",
    "wrong-type": "error",
    # the workbook
    "workbook-unreadable": "error",
    "workbook-too-big": "error",
    "unknown-sheet": "error",
    "sheet-not-read": "note",
    "comments-not-read": "note",
    "formula-without-result": "error",
    "cell-error": "error",
    "merged-cells": "error",
    "line-twice": "error",
    "known-from-not-here": "error",
    # tables
    "no-headings": "error",
    "unknown-heading": "error",
    "heading-blank": "error",
    "heading-twice": "error",
    "missing-heading": "error",
    "cell-without-heading": "error",
    "quote-not-closed": "error",
    "too-many-rows": "error",
    # single values
    "missing-value": "error",
    "unknown-word": "error",
    "date-wrong": "error",
    "date-ambiguous": "error",
    "range-as-date": "error",
    "count-wrong": "error",
    "pieces-above-all": "error",
    "degrees-wrong": "error",
    "number-wrong": "error",
    "says-nothing": "note",
    "day-in-words": "note",
    "price-without-currency": "note",
    "strange-character": "error",
    "place-wrong": "error",
    "place-commas": "error",
    "place-unclear": "error",
    "points-wrong": "error",
    "place-flat": "error",
    "corners-crossed": "error",
    "size-missing": "error",
    "size-wrong": "error",
    "language-wrong": "error",
    "time-zone-unknown": "error",
    "web-address-wrong": "error",
    "time-server-wrong": "error",
    "time-places-wrong": "error",
    "rules-elsewhere": "error",
    "rule-too-wide": "error",
    # figures that nothing is worked out from; they stay as written
    "figure-unclear": "gap",
    "cut-lacks": "gap",
    # opinions of worth
    "currency-unknown": "error",
    "amount-wrong": "error",
    "amount-digits": "error",
    "amount-unclear": "error",
    "values-order": "error",
    "value-lacks": "gap",
    # one row against another
    "number-twice": "error",
    "unknown-part": "error",
    "part-of-itself": "error",
    "too-many-named": "error",
    "parts-unclear": "error",
    "no-other-parts": "error",
    "no-part-left": "error",
    "exception-unclear": "error",
    "pieces-of-several-parts": "error",
    "pieces-disagree": "error",
    "unknown-person": "error",
    "unknown-agreement": "error",
    "unknown-photograph": "error",
    "photograph-twice": "error",
    "two-covers": "error",
    "clock-wrong": "error",
}
