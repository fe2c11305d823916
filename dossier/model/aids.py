"""The words of what `marks.csv` holds to measure by and to measure. Of the job alone: no record has them."""

from __future__ import annotations

from typing import Literal, get_args

AidKind = Literal["scale", "target", "grey card", "length", "area", "pitch", "colour"]
AID_KINDS: tuple[AidKind, ...] = get_args(AidKind)
# The classic colour target of 24 patches has two sets of values, by when it was made.
TargetMade = Literal["before November 2014", "from November 2014"]
TARGET_MADE: tuple[TargetMade, ...] = get_args(TargetMade)
