"""What lies beside by the name of the certificate is a pipe that nobody writes to."""

from __future__ import annotations

import os
from typing import Any


def make(bench: Any) -> Any:
    (bench.folder / "certificate.pem").unlink(missing_ok=True)
    os.mkfifo(bench.folder / "certificate.pem")
    return bench.folder
