"""What the library `cryptography` raises for a certificate that anyone may have made.

Its errors have no common root but Exception; these are the ones it documents, and a boundary that reads
certificates of others catches them all.
"""

from __future__ import annotations

from cryptography import x509
from cryptography.exceptions import UnsupportedAlgorithm

CERTIFICATE_ERRORS = (
    ValueError,
    TypeError,
    UnsupportedAlgorithm,
    x509.InvalidVersion,
    x509.DuplicateExtension,
    x509.ExtensionNotFound,
    x509.UnsupportedGeneralNameType,
)
