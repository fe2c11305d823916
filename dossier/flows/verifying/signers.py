"""The certificates of those who signed in a PDF: of the workshop's key, and of the time-stamps inside.

Not done here: whether what they signed holds. Invariant: what cannot be read has no certificates.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator

from cryptography.hazmat.primitives.serialization import Encoding

from dossier.container.time_revisions import token as token_in
from dossier.errors import DossierError, NotCanonicalError
from dossier.flows import dossier_files as files
from dossier.model.container import DossierFile
from dossier.seal import chains, stamp, stamp_token
from dossier.seal import pdf as seal_pdf

Part = Callable[[str], bytes]  # an attachment's bytes by its name; UnreadableError


def certificates(file: DossierFile, part: Part) -> tuple[bytes, ...]:
    """All of them in DER, each once: the workshop's first, then those of every time-stamp inside."""
    found: list[bytes] = []
    with contextlib.suppress(DossierError):
        own = chains.load_all(part(files.CERTIFICATE))
        found += [one.public_bytes(Encoding.DER) for one in own]
    for take in _tokens(file, part):
        with contextlib.suppress(DossierError, NotCanonicalError):
            token = take()
            found += stamp_token.read(token).certificates if token else ()
    return tuple(dict.fromkeys(found))


def _tokens(file: DossierFile, part: Part) -> Iterator[Callable[[], bytes | None]]:
    yield lambda: _of_pages(file)
    if file.attachment(files.STAMP) is not None:
        yield lambda: stamp.read_file(part(files.STAMP))
    for one in file.time_stamps:
        yield lambda contents=one.contents: token_in(contents)  # type: ignore[misc]  # bound now, not later


def _of_pages(file: DossierFile) -> bytes | None:
    found = seal_pdf.time_stamp(file.signature)
    return found[0] if found else None
