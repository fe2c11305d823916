"""The trial keys of `keys_example/`: anybody has them, so a signature by them proves nothing."""

from __future__ import annotations

TRIAL_THUMBPRINTS: frozenset[str] = frozenset({"LT16t_2GLsiz3Myfe5HJnMwgcARaPneHSJdeSwhCMgk"})


def is_trial(kid: str) -> bool:
    """Whether the thumbprint `kid` is that of a trial key."""
    return kid in TRIAL_THUMBPRINTS
