"""Imports go down only, and the rooms of the middle floor do not know each other (DEVELOPERS.md)."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2] / "dossier"
GROUND = {"model", "canonical", "errors", "durable", "memory", "ordinary"}
WORDS = {"words"}
MIDDLE = {"account", "intake", "pictures", "pages", "container", "seal", "archive"}
TRADE = {"trade"}  # a floor of its own: what `account` and `intake` both reckon with
USES_TRADE = {"account", "intake"}
FLOWS = {"flows"}
PURE = {"account", "trade", "model", "canonical"}
# What gives a pure room away: paths, clock, network, randomness.
IMPURE = {
    "pathlib",
    "os",
    "time",
    "random",
    "secrets",
    "socket",
    "urllib",
    "shutil",
    "tempfile",
    "subprocess",
}

MODULES = sorted(ROOT.rglob("*.py"))


def room(module: Path) -> str:
    return module.relative_to(ROOT).parts[0].removesuffix(".py")


def imports(module: Path) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module} | {f"{node.module}.{alias.name}" for alias in node.names}
    return found


def rooms_used(module: Path) -> set[str]:
    return {name.split(".")[1] for name in imports(module) if name.startswith("dossier.")}


def allowed(name: str) -> set[str]:
    if name in GROUND:
        return GROUND
    if name in WORDS:
        return WORDS | {"errors"}
    if name in TRADE:
        return GROUND | WORDS | TRADE
    if name in MIDDLE:
        return GROUND | WORDS | {name} | (TRADE if name in USES_TRADE else set())
    if name in FLOWS:
        return GROUND | WORDS | MIDDLE | FLOWS
    return GROUND | WORDS | MIDDLE | FLOWS | {"cli"} | ({"start"} if name == "__main__" else set())


@pytest.mark.parametrize("module", MODULES, ids=lambda m: str(m.relative_to(ROOT)))
def test_imports_go_down_only(module: Path) -> None:
    name = room(module)
    here = {p.stem for p in ROOT.glob("*.py")} | {p.name for p in ROOT.iterdir() if p.is_dir()}
    used = rooms_used(module) & here
    assert used <= allowed(name), f"{module.name} in {name} reaches up or sideways to {used - allowed(name)}"


@pytest.mark.parametrize(
    "module", [m for m in MODULES if room(m) in PURE], ids=lambda m: str(m.relative_to(ROOT))
)
def test_pure_rooms_stay_pure(module: Path) -> None:
    assert not {name.split(".")[0] for name in imports(module)} & IMPURE
    assert not {"durable", "ordinary"} & rooms_used(module)


def test_verify_needs_nothing_of_intake() -> None:
    for module in [ROOT / "flows" / "verify.py", *(ROOT / "flows" / "verifying").glob("*.py")]:
        assert "intake" not in rooms_used(module)
