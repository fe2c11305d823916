"""A dossier taken apart and put together again with something in it that should not be there.

Shared by the tests of the container and by the attacks on whole dossiers.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from dossier.container import layout, values
from dossier.container.scan import by_table
from dossier.container.values import parse
from dossier.container.window import opened
from dossier.model import signature_slot
from dossier.model.container import Limits


@dataclass
class Forgery:
    """A dossier taken apart, to be put together again with something in it that should not be there.

    `objects` holds by number the value and the stream's bytes (or None); the slot's value is its bytes.
    What `whole` gives is well-formed in every respect that was not meddled with.
    """

    objects: dict[int, list[Any]]
    trailer: dict[str, Any] = field(default_factory=dict)

    @classmethod
    def of(cls, path: Path) -> Forgery:
        with opened(path, Limits()) as window:
            found = by_table(window, Limits())
            assert found is not None
            objects: dict[int, list[Any]] = {}
            for number in range(1, found.count + 1):
                piece = found.piece(number)
                value = piece.text if piece.is_slot else parse(piece.text)
                stream = window.read(piece.stream_at, piece.stream_length) if piece.is_stream else None
                objects[number] = [value, stream]
            text = window.read(found.xref_at, window.size)
        entries: Any = parse(text[text.index(b"trailer\n") + 8 : text.rindex(b"\nstartxref\n")])
        return cls(objects, {key: entries[values.Name(key)] for key in ("/ID", "/Info") if key in entries})

    @property
    def root(self) -> Any:
        return self.objects[1][0]

    def strip(self) -> None:
        """Take the signature out, as somebody would who means to change a page: slot and field's value."""
        del self.objects[len(self.objects)]
        del self.objects[self.numbers("/FT", values.Name("/Sig"))[0]][0][values.Name("/V")]

    @property
    def signed(self) -> bool:
        return isinstance(self.objects[len(self.objects)][0], bytes)

    def numbers(self, key: str, value: Any) -> list[int]:
        """The objects that are dictionaries with this entry."""
        name = values.Name(key)
        return [n for n, (v, _) in self.objects.items() if isinstance(v, dict) and v.get(name) == value]

    def add(self, value: Any, stream: bytes | None = None) -> values.Ref:
        """A further object, before the slot where there is one, so that the slot stays last."""
        slot = len(self.objects)
        if not self.signed:
            self.objects[slot + 1] = [value, stream]
            return values.Ref(slot + 1)
        self.objects[slot + 1] = self.objects[slot]
        self.objects[slot] = [value, stream]
        field_number = self.numbers("/FT", values.Name("/Sig"))[0]
        self.objects[field_number][0][values.Name("/V")] = values.Ref(slot + 1)
        return values.Ref(slot)

    def object_bytes(self, number: int) -> bytes:
        value, stream = self.objects[number]
        if isinstance(value, bytes):
            return layout.object_start(number) + value
        if stream is None:
            return layout.whole_object(number, value)
        return layout.stream_start(number, value, len(stream)) + stream + layout.stream_end(stream[-1:])

    def whole(self, replaced: dict[int, bytes] | None = None) -> bytes:
        """The file, with the whole bytes of some objects replaced; the byte range is made to fit again."""
        out, offsets = bytearray(layout.HEADER), []
        for number in sorted(self.objects):
            offsets.append(len(out))
            out += (replaced or {}).get(number) or self.object_bytes(number)
        xref_at = len(out)
        out += layout.xref_table(offsets)
        entries = {"/Root": values.Ref(1), "/Size": len(offsets) + 1, **self.trailer}
        named = {values.Name(key): value for key, value in entries.items()}
        out += b"trailer\n" + values.serialize(named) + layout.tail(xref_at)
        return self._covered(bytes(out), xref_at)

    def _covered(self, whole: bytes, xref_at: int) -> bytes:
        at = xref_at - signature_slot.LENGTH
        info = signature_slot.read(whole[at:xref_at])
        if info is None:
            return whole
        covered = signature_slot.byte_range(at, len(whole))
        when = dt.datetime.strptime(info.when, "D:%Y%m%d%H%M%SZ").replace(tzinfo=dt.UTC)
        said = signature_slot.entries(when, info.name, info.reason, info.location)
        contents = bytes.fromhex(info.contents.decode())
        return whole[:at] + signature_slot.filled(covered, said, contents) + whole[xref_at:]
