"""The result of a check, as `verify --json` prints it."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any


def result_of(run: Callable[..., Any], file: Path) -> dict[str, Any]:
    ran = run("verify", file, "--json")
    (result,) = json.loads(ran.out)
    assert ran.code == result["exit_code"]
    plain: dict[str, Any] = result
    return plain


def wrong(result: dict[str, Any]) -> dict[str, list[str]]:
    """Codes that do not match, with their places."""
    return {c["code"]: c["where"] for c in result["checks"] if c["verdict"] == "does not match"}
