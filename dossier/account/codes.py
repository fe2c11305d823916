"""The codes of what a look at a job finds, in the order they are shown, with their levels.

Their words stand in words/en/findings.toml: `message` and `hint` for the workshop, `gap` for the record.
"""

from __future__ import annotations

from dossier.model.finding import Level

CODES: dict[str, Level] = {
    # contradictions that no account can be made from
    "part-of-circle": "error",
    "pieces-too-many": "error",
    "pieces-of-several": "error",
    "split-exceeds": "error",
    "missing-but-worked-on": "error",
    "dates-out-of-order": "error",
    "other-part-came-otherwise": "error",
    "other-part-not-there": "error",
    # the object
    "not-finished": "gap",
    "no-know-it-by": "gap",
    "no-measurements": "gap",
    "no-condition": "gap",
    "no-examiner": "gap",
    # parts
    "no-work-recorded": "gap",
    "no-reason": "gap",
    "new-without-material": "gap",
    "made-by-not-said": "gap",
    "told-by-not-said": "gap",
    "undone-by-not-said": "gap",
    "old-piece-not-said": "gap",
    "old-piece-without-work": "gap",
    "added-but-was-there": "gap",
    "left-and-worked-on": "gap",
    "container-replaced-too": "gap",
    "original-in-replacement": "gap",
    "old-piece-past-date": "gap",
    # earlier records
    "read-differently": "gap",
    "claim-not-counted": "gap",
    "there-again": "gap",
    "called-otherwise": "gap",
    "earlier-part-not-here": "gap",
    "earlier-of-another-object": "gap",
    "earlier-withdrawn": "gap",
    "earlier-superseded": "gap",
    "earlier-corrected": "gap",
    # work
    "work-not-dated": "gap",
    "work-outside-dates": "gap",
    "dated-ahead": "gap",
    "work-not-signed": "gap",
    "worker-not-known": "gap",
    "firm-not-named": "gap",
    "work-not-agreed": "gap",
    "work-before-agreed": "gap",
    "work-on-refused": "gap",
    "agreed-not-done": "gap",
    "more-holes-after": "gap",
    "plated-without-work": "gap",
    "gold-word-above-figure": "gap",
    "gold-word-without-figure": "gap",
    "keep-off": "gap",
    "test-not-recorded": "gap",
    # protected species
    "permit-not-complete": "gap",
    "species-not-named": "gap",
    # photographs
    "no-cover": "gap",
    "no-picture-before": "gap",
    "part-not-photographed": "gap",
    "covered-not-photographed": "gap",
    "photograph-without-stage": "gap",
    "photograph-ahead": "gap",
    "pair-one-side": "gap",
    "pair-order": "gap",
    # private words where no copy can leave them out
    "private-name": "private",
    "private-address": "private",
    "private-telephone": "private",
    "private-email": "private",
    "private-mark": "private",
    "private-mark-shown": "private",
    "private-amount": "private",
    # nothing to mend
    "earlier-lost": "note",  # who brings it in may know nothing of that, and the record accuses nobody
    "no-advice": "note",
    "container-unsaid": "note",
    "mark-of-nobody": "note",
    "pieces-may-meet": "note",
    "counts-beside-its-parts": "note",
    "counts-beside-some-parts": "note",
    "differs-in-words": "note",
    "measure-figure-unclear": "note",
    "measure-of-two-readings": "note",
    "measure-without-figure": "note",
    "measure-without-unit": "note",
    "place-not-marked": "note",
    "nearly-a-mark": "note",
    "returned-twice": "note",
    "photograph-against-time": "note",  # a camera's clock is often wrong; of a pair it is a gap
    "pairs-nearly-alike": "note",
    "position-in-photograph": "note",  # the original alone has it, and goes with no copy for others
    "gold-word-as-it-came": "note",
    # to record and photograph at this stage
    "now-received": "now",
    "now-photograph-whole": "now",
    "now-photograph-marks": "now",
    "now-know-it-by": "now",
    "now-measure": "now",
    "now-condition": "now",
    "now-came-as": "now",
    "now-photograph-part": "now",
    "now-agree": "now",
    "now-photograph-inside": "now",
    "now-found-inside": "now",
    "now-photograph-covered": "now",
    "now-photograph-after": "now",
    "now-old-piece": "now",
    "now-told-by": "now",
    "now-hand-over": "now",
}
