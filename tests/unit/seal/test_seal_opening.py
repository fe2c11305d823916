"""The quick look for digests in a payload finds what a walk through all of it finds."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier import canonical
from dossier.seal import base64url, opening

_NAMES = st.sampled_from(["...", "_sd", "_sd_alg", "apart", "photographs", "details", "owner", "x"])
_WORDS = st.sampled_from(["", "...", '"...":', '"_sd":', "\\", '\\"...":', "A" * 43])
_ANY = st.recursive(
    _WORDS | st.booleans(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(_NAMES, inner, max_size=3),
    max_leaves=12,
)
_SLOT = st.fixed_dictionaries({"...": _WORDS}, optional={"y": _ANY}) | _ANY
_PAYLOADS = st.fixed_dictionaries(
    {},
    optional={
        "_sd_alg": _WORDS,
        "apart": st.dictionaries(_NAMES, st.lists(_SLOT, max_size=3), max_size=3) | _ANY,
        "photographs": st.lists(
            st.fixed_dictionaries({"details": st.lists(_SLOT, max_size=2)}) | _ANY, max_size=3
        ),
        "object": _ANY,
    },
)


@given(_PAYLOADS)
@settings(deadline=None, max_examples=500)
def test_no_digest_is_missed(plain: dict[str, Any]) -> None:
    """RFC 9901 section 7.1 step 3: every digest of the payload, wherever it stands."""
    data = canonical.encode(plain)
    assert opening._all_marked(canonical.decode(data), data) == opening._marked(canonical.decode(data))


@pytest.mark.parametrize("last", "ABQgw_-")
def test_a_salt_is_sixteen_bytes_in_one_form(last: str) -> None:
    """RFC 4648 section 3.5: the spare bits are zero."""
    text = "A" * 21 + last
    try:
        fits = len(base64url.decode(text)) == opening.SALT_BYTES
    except canonical.NotCanonicalError:
        fits = False
    assert bool(opening._SALT.fullmatch(text)) is fits
