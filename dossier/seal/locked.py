"""A private key behind a passphrase: PBES2 with PBKDF2-HMAC-SHA256 and AES-256-CBC (RFC 8018, RFC 5958).

Every program that reads PKCS#8 opens it; the rounds that a library would take by itself cost who guesses next
to nothing. Not done here: files, opening.
"""

from __future__ import annotations

import secrets

from cryptography.hazmat.primitives import hashes, padding
from cryptography.hazmat.primitives.ciphers import Cipher, algorithms, modes
from cryptography.hazmat.primitives.kdf.pbkdf2 import PBKDF2HMAC

ROUNDS = 600_000  # a tenth of a second; OWASP, Password Storage Cheat Sheet, PBKDF2-HMAC-SHA256 (from memory)
_SALT, _KEY, _BLOCK = 16, 32, 16  # bytes


def pem(plain: bytes, passphrase: str) -> bytes:
    """A PKCS#8 key in DER as an encrypted one in PEM (RFC 7468, section 11)."""
    from asn1crypto import algos, core, keys  # noqa: PLC0415 - 40 ms, only where a key is made
    from asn1crypto import pem as armour  # noqa: PLC0415 - see above

    salt, start = secrets.token_bytes(_SALT), secrets.token_bytes(_BLOCK)
    derived = PBKDF2HMAC(hashes.SHA256(), _KEY, salt, ROUNDS).derive(passphrase.encode("utf-8"))
    pad = padding.PKCS7(8 * _BLOCK).padder()
    lock = Cipher(algorithms.AES(derived), modes.CBC(start)).encryptor()
    content = lock.update(pad.update(plain) + pad.finalize()) + lock.finalize()
    stretched = {
        "algorithm": "pbkdf2",
        "parameters": {
            "salt": algos.Pbkdf2Salt("specified", salt),
            "iteration_count": ROUNDS,
            "prf": {"algorithm": "sha256", "parameters": core.Null()},  # RFC 8018, B.1.2
        },
    }
    cipher = {"algorithm": "aes256_cbc", "parameters": start}
    how = {"key_derivation_func": stretched, "encryption_scheme": cipher}
    locked = keys.EncryptedPrivateKeyInfo(
        {"encryption_algorithm": {"algorithm": "pbes2", "parameters": how}, "encrypted_data": content}
    )
    return bytes(armour.armor("ENCRYPTED PRIVATE KEY", locked.dump()))
