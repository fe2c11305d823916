"""Whatever bytes stand in a file, reading it ends with findings or one UnreadableError, and soon."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plain_pages import plain_pages

from dossier.container.read import page_digests, read_dossier
from dossier.errors import UnreadableError
from dossier.model.container import SignatureInfo
from dossier.seal.pdf import check_pdf_signature

PIECES = [
    b"<<",
    b">>",
    b" 0 R",
    b"1 0 obj\n",
    b"\nendobj\n",
    b"\nstream\n",
    b"xref\n0 3\n",
    b"%%EOF\n",
    b"/Kids [ ",
]
PIECES += [
    b"startxref\n15\n",
    b"(",
    b"/Type /Page",
    b"\0" * 40,
    b"9" * 20,
    b"/Length 99999999",
    b"trailer\n",
    b"-1",
]
edits = st.lists(
    st.tuples(st.floats(0, 1), st.integers(0, 60), st.sampled_from(PIECES) | st.binary(max_size=20)),
    min_size=1,
    max_size=6,
)
QUICK = settings(deadline=None, max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture])


@pytest.fixture(scope="module")
def small() -> bytes:
    import pikepdf  # noqa: PLC0415 - one use

    made = io.BytesIO()
    with pikepdf.new() as pdf:
        for _ in range(3):
            pdf.add_blank_page()
        pdf.Root.Metadata = pdf.make_stream(b"<x/>", Type=pikepdf.Name.Metadata)
        pdf.trailer.ID = pikepdf.Array([pikepdf.String(b"\0" * 16)] * 2)
        pdf.save(made)
    return plain_pages(made.getvalue())


def read_all(path: Path) -> list[str]:
    try:
        found = read_dossier(path)
        page_digests(path)
    except UnreadableError as error:
        return [error.code]
    return [finding.code for finding in found.findings]


def test_the_file_to_start_from_is_in_order(small: bytes, tmp_path: Path) -> None:
    (tmp_path / "x.pdf").write_bytes(small)
    assert read_all(tmp_path / "x.pdf") == []


@given(edits=edits)
@QUICK
def test_edited(small: bytes, tmp_path: Path, edits: list[tuple[float, int, bytes]]) -> None:
    whole = small
    for where, cut, new in edits:
        at = int(where * len(whole))
        whole = whole[:at] + new + whole[at + cut :]
    (tmp_path / "x.pdf").write_bytes(whole)
    read_all(tmp_path / "x.pdf")


@given(whole=st.binary(max_size=400), header=st.booleans())
@QUICK
def test_any_bytes(tmp_path: Path, whole: bytes, header: bool) -> None:
    (tmp_path / "x.pdf").write_bytes((b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n" if header else b"") + whole)
    assert read_all(tmp_path / "x.pdf")


@given(st.binary(max_size=300), st.integers(0, 0xFFFF))
@QUICK
def test_any_signature(content: bytes, length: int) -> None:
    for der in (
        content,
        b"\x30\x82" + length.to_bytes(2) + content,
        b"\x30\x82" + len(content).to_bytes(2) + content,
    ):
        info = SignatureInfo(byte_range=(0, 1, 2, 3), contents=der.hex().encode().ljust(2000, b"0"))
        assert check_pdf_signature(info, bytes(32), []).verdict == "does not match"
