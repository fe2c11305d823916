"""A time-stamp authority for the tests: certificates of our own, tokens by `openssl ts -reply`, over HTTP.

openssl is the reference for what a token is; what a server can do wrong is done to its answer here.
"""

from __future__ import annotations

import datetime as dt
import os
import shutil
import subprocess
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

CONFIG = """
[tsa]
default_tsa = one
[one]
serial = {folder}/serial
crypto_device = builtin
signer_cert = {folder}/tsa.pem
certs = {folder}/chain.pem
signer_key = {folder}/tsa.key
signer_digest = sha256
default_policy = 1.2.3.4.1
digests = sha256, sha384, sha512
accuracy = secs:1
ordering = no
tsa_name = no
ess_cert_id_chain = no
ess_cert_id_alg = {ess}
"""
NOW = dt.datetime.now(dt.UTC).replace(microsecond=0)
YEAR = dt.timedelta(days=365)


def openssl(*words: object, data: bytes = b"") -> bytes:
    """Run openssl; the test is skipped where it is not on this machine, on CI it must be."""
    if shutil.which("openssl") is None:
        (pytest.fail if os.environ.get("CI") else pytest.skip)("openssl is not on this machine")
    done = subprocess.run(
        ["openssl", *map(str, words)], input=data, capture_output=True, check=False, timeout=30
    )
    assert done.returncode == 0, done.stderr.decode()
    return done.stdout


class Authority:
    """A root, an issuer below it, and a certificate for time-stamps; each can be made wrongly."""

    def __init__(
        self,
        folder: Path,
        *,
        rsa_key: bool = False,
        purposes: tuple[x509.ObjectIdentifier, ...] = (ExtendedKeyUsageOID.TIME_STAMPING,),
        critical: bool = True,
        until: dt.datetime = NOW + YEAR,
        ess: str = "sha256",
        issuer_is_ca: bool = True,
        issuer_until: dt.datetime | None = None,
    ) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        self.folder = folder
        root_key, issuer_key = (ec.generate_private_key(ec.SECP256R1()) for _ in range(2))
        self.root_key, self.issuer_key = root_key, issuer_key
        key = rsa.generate_private_key(65537, 2048) if rsa_key else ec.generate_private_key(ec.SECP256R1())
        self.root = certificate("Example Root of Clocks", root_key, None, root_key, ca=True)
        self.issuer = certificate(
            *("Example Issuer of Clocks", issuer_key, self.root, root_key),
            ca=issuer_is_ca,
            until=issuer_until or max(until, NOW + YEAR),
        )
        usage = (x509.ExtendedKeyUsage(purposes), critical)
        self.own = certificate("Example Clock No. 1", key, self.issuer, issuer_key, usage=usage, until=until)
        for name, some in {"tsa": [self.own], "chain": [self.issuer], "root": [self.root]}.items():
            (folder / f"{name}.pem").write_bytes(b"".join(one.public_bytes(Encoding.PEM) for one in some))
        pem = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
        (folder / "tsa.key").write_bytes(pem)
        (folder / "serial").write_text("01")
        (folder / "ts.cnf").write_text(CONFIG.format(folder=folder, ess=ess))
        self._one_at_a_time = threading.Lock()  # the file of serial numbers

    def answer(self, query: bytes) -> bytes:
        """What openssl answers to a TimeStampReq."""
        asked = self.folder / "asked.tsq"
        with self._one_at_a_time:
            asked.write_bytes(query)
            return openssl(
                "ts", "-reply", "-config", self.folder / "ts.cnf", "-section", "one", "-queryfile", asked
            )


def certificate(
    name: str,
    key: ec.EllipticCurvePrivateKey | rsa.RSAPrivateKey,
    issuer: x509.Certificate | None,
    issuer_key: ec.EllipticCurvePrivateKey,
    *,
    ca: bool = False,
    usage: tuple[x509.ExtendedKeyUsage, bool] | None = None,
    until: dt.datetime = NOW + YEAR,
) -> x509.Certificate:
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])
    builder = (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer.subject if issuer else subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(NOW - 2 * YEAR)
        .not_valid_after(until)
        .add_extension(x509.BasicConstraints(ca=ca, path_length=None), critical=True)
    )
    if usage:
        builder = builder.add_extension(usage[0], critical=usage[1])
    return builder.sign(issuer_key, hashes.SHA256())


Answer = Callable[[bytes], bytes]


@contextmanager
def serving(answer: Answer, *, wait: float = 0, drip: bool = False, status: int = 200) -> Iterator[str]:
    """The address of a server that answers each request so."""

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["Content-Length"]))
            time.sleep(wait)
            data = answer(body)
            self.send_response(status)
            self.send_header("Content-Type", "application/timestamp-reply")
            if status in (301, 302, 307, 308):
                self.send_header("Location", f"http://{self.headers['Host']}/elsewhere")
            self.send_header("Content-Length", str(len(data)))
            self.end_headers()
            self._send(data)

        def _send(self, data: bytes) -> None:
            try:
                for at in range(0, len(data), 1 if drip else len(data)):
                    self.wfile.write(data[at : at + 1] if drip else data)
                    self.wfile.flush()
                    time.sleep(0.2 if drip else 0)
            except OSError:
                pass  # the other side has gone

        def log_message(self, *_: object) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    server.daemon_threads = True
    thread = threading.Thread(target=server.serve_forever, args=(0.05,), daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}/"
    finally:
        server.shutdown()
        server.server_close()
