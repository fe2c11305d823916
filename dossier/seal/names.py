"""Whether a record and what holds out its key give the workshop one name and page (FORMAT.md 8, check 5).

Pure. Not done here: whom to trust. Invariant: another name is said and never accused, as one may have two.
"""

from __future__ import annotations

from collections.abc import Sequence

from cryptography import x509
from cryptography.x509.oid import NameOID

from dossier.model.result import Check
from dossier.seal import chains
from dossier.seal.codes import CODES, printable
from dossier.seal.foreign import CERTIFICATE_ERRORS
from dossier.seal.keycard import CardFile
from dossier.seal.keys import short_name
from dossier.words import Catalogue
from dossier.words.compare import normal

_KINDS = (NameOID.COMMON_NAME, NameOID.ORGANIZATION_NAME)


def look(
    workshop: str,
    page: str,
    kids: Sequence[str],
    card: CardFile | None,
    certificates: Sequence[x509.Certificate],
    words: Catalogue,
) -> list[Check]:
    """What to say of them: by the confirmed card that answers for the key, else by its certificate.

    `page`: the verification page that the record names, to which its code leads: on paper for good.
    `kids`: the keys whose signatures hold; `certificates`: of one of them, and its issuers'.
    """
    if card is not None:
        other = "" if same(workshop, card.card.name) else card.card.name
        said = [_said("card-other-name", words, workshop=workshop, other=other)] if other else []
        return said + other_page(page, card.card.verification_page, words)
    if not certificates or chains.kid_of(certificates[0]) not in kids or not chains.is_vouched(certificates):
        return []
    other = other_name(certificates[0], workshop)
    return [_said("certificate-other-name", words, workshop=workshop, other=other)] if other else []


def other_page(page: str, other: str, words: Catalogue) -> list[Check]:
    """A telephone opens the `page` of a code, which may be lost to others: what else names one is told."""
    return (
        [_said("code-other-page", words, page=page, other=other)] if page and other not in ("", page) else []
    )


def other_name(certificate: x509.Certificate, workshop: str) -> str:
    """The name that a certificate is made out to, "" where it is the workshop's own.

    One that an authority made out to nobody (an address alone, say) is not the workshop's; a key's own is.
    """
    try:
        found = [_text(one) for kind in _KINDS for one in certificate.subject.get_attributes_for_oid(kind)]
        if not any(found) and certificate.issuer != certificate.subject:
            found = [certificate.subject.rfc4514_string() or "-"]
    except CERTIFICATE_ERRORS:
        return ""
    return "" if any(same(workshop, one) for one in found) else next(filter(None, found), "")


def same(workshop: str, other: str) -> bool:
    """Without case, accents and punctuation; a certificate has room for 64 bytes of a name alone."""
    return other in (workshop, short_name(workshop)) or normal(other) in _plain(workshop)


def _plain(workshop: str) -> set[str]:
    return {normal(workshop), normal(short_name(workshop))} - {""}


def _text(attribute: x509.NameAttribute[str | bytes]) -> str:
    value = attribute.value
    return value if isinstance(value, str) else value.decode("utf-8", "replace")


def _said(code: str, words: Catalogue, **said: str) -> Check:
    name, verdict = CODES[code]
    text = words.say(f"seal.code.{code}", **{key: printable(one) for key, one in said.items()})
    return Check(check=name, verdict=verdict, code=code, text=text)
