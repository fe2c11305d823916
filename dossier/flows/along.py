"""What the workshop said about a record later goes along with a copy that its holder makes.

A copy without the correction that lay beside its source would let a buyer read that none is at hand. Not done
here: the copy (`holder_copy`), what a statement does (`verifying.statements`). Invariants: nothing is
overwritten; receipts, which name an owner, and papers signed by hand stay.
"""

from __future__ import annotations

import contextlib
import hashlib
import itertools
from pathlib import Path

from dossier import durable
from dossier.errors import UnreadableError
from dossier.flows import dossier_files as files
from dossier.flows.verifying import lying_beside
from dossier.flows.verifying.chain import sealed_in
from dossier.model.statements import Statement
from dossier.seal import statements


def carry(source: Path, target: Path) -> tuple[str, ...]:
    """Write the statements about its record that lie with `source` into the copy's folder `target`.

    Gives their names. Raises OSError.
    """
    sealed = sealed_in(target / files.RECORD)
    digest = hashlib.sha256(sealed.payload).hexdigest() if sealed else ""
    found = sorted(one.path for one in lying_beside.beside(source).about if one.about == digest)
    names: dict[bytes, str] = {}  # one that lies here twice goes once
    for path in found:
        data = lying_beside.small(path)
        if data not in names and _goes_along(data):
            name = _free(path.name, target)
            durable.write(target / name, data)
            names[data] = name
    return tuple(names.values())


def _free(name: str, target: Path) -> str:
    """A name that nothing in `target` has: two statements may lie in two folders under one."""
    stem, suffix = Path(name).stem, Path(name).suffix
    others = (f"{stem}-{count}{suffix}" for count in itertools.count(2))
    return next(one for one in itertools.chain([name], others) if not (target / one).exists())


def _goes_along(data: bytes) -> bool:
    with contextlib.suppress(UnreadableError):
        read = statements.read(data)
        return read is not None and isinstance(read.value, Statement) and read.value.scan is None
    return False
