"""The closed vocabularies of the job folder and the record, as the trade says them.

The record carries these English words themselves, so that it can be read without this program;
a catalogue (`dossier.words`) turns them into other languages on the page.
"""

from __future__ import annotations

from typing import Literal, get_args

Stage = Literal["received", "looked at", "agreed", "opened", "working", "done", "returned"]
STAGES: tuple[Stage, ...] = get_args(Stage)

CameAs = Literal[
    "original", "earlier replacement", "later addition", "from another object", "missing", "not known"
]
CAME_AS: tuple[CameAs, ...] = get_args(CameAs)

KnownFrom = Literal["seen", "paper", "owner says", "our opinion", "not known"]
KNOWN_FROM: tuple[KnownFrom, ...] = get_args(KnownFrom)

Seen = Literal["outside", "inside", "hidden"]
SEEN: tuple[Seen, ...] = get_args(Seen)

Done = Literal[
    "left as found",
    "not examined",
    "cleaned",
    "fed or protected",
    "secured",
    "repaired",
    "part renewed",
    "new surface",
    "altered",
    "replaced",
    "added",
    "taken off and refitted",
    "taken away",
]
DONE: tuple[Done, ...] = get_args(Done)
NO_WORK: frozenset[Done] = frozenset({"left as found", "not examined"})

# What there is now, derived from `came as` and the work log; nobody types it.
Now = Literal[
    "original, left as found",
    "original, no work recorded",
    "original, treated",
    "original, new surface",
    "original, part renewed",
    "earlier replacement",
    "later addition",
    "from another object",
    "new, like for like",
    "new, with a difference",
    "new, likeness not known",
    "missing",
    "taken away",
    "not known",
]
NOW: tuple[Now, ...] = get_args(Now)

ForWhom = Literal["private owner", "dealer", "our own stock", "museum", "insurer", "auction house", "other"]
FOR_WHOM: tuple[ForWhom, ...] = get_args(ForWhom)

Answer = Literal["agreed", "refused", "no answer yet"]
ANSWERS: tuple[Answer, ...] = get_args(Answer)

Covered = Literal["yes", "no", "not said"]
# "" is not said, as everywhere.
StitchHoles = Literal["", "yes", "partly", "no"]
STITCH_HOLES: tuple[StitchHoles, ...] = ("yes", "partly", "no")
YesNo = Literal["", "yes", "no"]
# Whether the workshop may show photographs of the object and the work to others, without any name.
MayBeShown = Literal["", "no", "yes", "ask each time"]
MAY_BE_SHOWN: tuple[MayBeShown, ...] = ("no", "yes", "ask each time")
ThicknessIs = Literal["", "least", "mean", "one place"]
THICKNESS_IS: tuple[ThicknessIs, ...] = ("least", "mean", "one place")
CutKind = Literal["board", "wrapped leather", "sewn leather"]
CUT_KINDS: tuple[CutKind, ...] = get_args(CutKind)
RuleAnswer = Literal["fine", "test first", "keep off"]
RULE_ANSWERS: tuple[RuleAnswer, ...] = get_args(RuleAnswer)
# What was seen of an earlier record's signature when a new record was made.
Checked = Literal["", "signature matches, key confirmed", "signature matches, key not confirmed"]
Dimension = Literal["area", "length", "mass"]
DIMENSIONS: tuple[Dimension, ...] = get_args(Dimension)
PlaceKind = Literal["point", "box", "outline"]
PLACE_KINDS: tuple[PlaceKind, ...] = get_args(PlaceKind)
Side = Literal["before", "during", "after"]

# Stages in which a photograph shows the object before, during and after the work.
SIDE_OF_STAGE: dict[Stage, Side] = {
    "received": "before",
    "looked at": "before",
    "agreed": "before",
    "opened": "before",
    "working": "during",
    "done": "after",
    "returned": "after",
}

CopyKind = Literal["workshop", "owner", "resale", "insurer"]
COPIES: tuple[CopyKind, ...] = get_args(CopyKind)

# What a copy may leave out, and nothing else (FORMAT.md section "Leaving out").
LeftOut = Literal[
    "owner",
    "brought_by",
    "payer",
    "received_by",
    "agreement_details",
    "prices",
    "values",
    "private_marks",
    "private_notes",
    "inputs",
    "photograph",
]
LEFT_OUT: tuple[LeftOut, ...] = get_args(LeftOut)
