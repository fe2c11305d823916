"""The straightforward way to the same kind of file, to measure the compile against: what one writes first.

Each photograph decoded whole and scaled by Pillow, pictures and captions laid out by reportlab as it comes,
the originals attached by pikepdf, the file signed by pyHanko with the trial key: each step as its library's
first example has it, one after another. No record, no tagging, no pairs, nothing checked.

    python tests/bench/plain.py FOLDER_OF_A_JOB TARGET.pdf
"""

from __future__ import annotations

import argparse
import sys
from io import BytesIO
from pathlib import Path

import pikepdf
from PIL import Image, ImageOps
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.sign import signers
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import getSampleStyleSheet
from reportlab.platypus import Image as Placed
from reportlab.platypus import KeepTogether, Paragraph, SimpleDocTemplate, Spacer

sys.path.insert(0, str(Path(__file__).resolve().parent))
from floor import LONG_SIDE, Cost, measured

ROOT = Path(__file__).resolve().parents[2]
KEY = ROOT / "keys_example" / "trial-key.pem"
WIDTH = 400  # points on the page


def make(photographs: list[Path], target: Path) -> None:
    laid_out = BytesIO()
    style = getSampleStyleSheet()["BodyText"]
    story = [
        KeepTogether([_placed(path), Paragraph(f"Photograph {n}: {path.name}", style), Spacer(1, 12)])
        for n, path in enumerate(photographs, start=1)
    ]
    SimpleDocTemplate(laid_out, pagesize=A4).build(story)
    attached = _attached(laid_out, photographs)
    signer = signers.SimpleSigner.load(str(KEY), str(KEY.with_name("trial-certificate.pem")))
    meta = signers.PdfSignatureMetadata(field_name="Signature")
    with target.open("wb") as out:
        signers.sign_pdf(IncrementalPdfFileWriter(attached), meta, signer=signer, output=out)


def _placed(path: Path) -> Placed:
    small = BytesIO()
    with Image.open(path) as image:
        upright = ImageOps.exif_transpose(image)
        upright.thumbnail((LONG_SIDE, LONG_SIDE), Image.Resampling.LANCZOS)
        upright.save(small, "JPEG", quality=85)
    small.seek(0)
    return Placed(small, width=WIDTH, height=WIDTH * upright.height / upright.width)


def _attached(laid_out: BytesIO, photographs: list[Path]) -> BytesIO:
    whole = BytesIO()
    with pikepdf.open(laid_out) as pdf:
        for path in photographs:
            pdf.attachments[path.name] = pikepdf.AttachedFileSpec.from_filepath(pdf, path)
        pdf.save(whole)
    whole.seek(0)
    return whole


def cost(job: Path, target: Path) -> Cost:
    return measured(lambda: make(sorted((job / "photos").iterdir()), target))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("job", type=Path)
    parser.add_argument("target", type=Path)
    arguments = parser.parse_args()
    spent = cost(arguments.job, arguments.target)
    size = arguments.target.stat().st_size / 1e6
    print(f"{spent.cpu:.2f} s CPU {spent.wall:.2f} s wall {spent.peak:.0f} MiB, {size:.1f} MB")


if __name__ == "__main__":
    main()
