"""Tagged, archivable PDF pages from reportlab flowables: PDF/A-3a and PDF/UA-1 in one file.

    Document(meta, page_size, margins, fonts).build([Heading("Title", 1, style), Text("Words.", style)])

Each flowable knows its place in the structure tree; whatever else is drawn is an artifact. A room that could
be lifted out as a library: it imports nothing of the rest of this program but its errors.
"""

from dossier.pages.tagging.boxes import Columns, Loose, NewPage, Row, Space, Stack, Together
from dossier.pages.tagging.canvas import TaggedCanvas
from dossier.pages.tagging.document import Document, Margins
from dossier.pages.tagging.fontfile import Font, register_fonts
from dossier.pages.tagging.lists import Bullets, Numbered, Term, Terms
from dossier.pages.tagging.meta import Meta
from dossier.pages.tagging.pictures import Figure, Keyed, Picture, Rule
from dossier.pages.tagging.table import DataTable, TableLook
from dossier.pages.tagging.text import Heading, Text, plain

__all__ = [
    "Bullets",
    "Columns",
    "DataTable",
    "Document",
    "Figure",
    "Font",
    "Heading",
    "Keyed",
    "Loose",
    "Margins",
    "Meta",
    "NewPage",
    "Numbered",
    "Picture",
    "Row",
    "Rule",
    "Space",
    "Stack",
    "TableLook",
    "TaggedCanvas",
    "Term",
    "Terms",
    "Text",
    "Together",
    "plain",
    "register_fonts",
]
