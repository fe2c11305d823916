"""Files whose objects deceive: catalogue, page tree, bookmarks, what acts, lies over a page, is attached."""

from __future__ import annotations

import zlib
from typing import Any

from attack_kit import attack, entries, on_page, pages_of

from dossier.container import layout
from dossier.container.values import Name, Ref


@attack("catalogue")
def an_entry_of_the_catalogue_that_is_not_ours(forgery: Any) -> bytes:
    forgery.root[Name("/SpiderInfo")] = {}
    return forgery.whole()


@attack("catalogue")
def a_catalogue_that_is_none(forgery: Any) -> bytes:
    forgery.objects[1][0] = {}
    return forgery.whole()


@attack("page-tree")
def a_page_tree_that_bites_its_tail(forgery: Any) -> bytes:
    top = forgery.numbers("/Type", Name("/Pages"))[0]
    forgery.objects[top][0][Name("/Kids")].append(Ref(top))
    return forgery.whole()


@attack("page-tree")
def a_page_tree_a_thousand_deep(forgery: Any) -> bytes:
    below = forgery.root[Name("/Pages")]
    for _ in range(1000):
        below = forgery.add(entries(Type=Name("/Pages"), Kids=[below], Count=3))
    forgery.root[Name("/Pages")] = below
    return forgery.whole()


@attack("page-tree")
def a_page_that_names_another_parent(forgery: Any) -> bytes:
    """What a page inherits (ISO 32000-1 7.7.3.4) is then one thing from above and another from below."""
    top = forgery.root[Name("/Pages")]
    clean = forgery.add(dict(forgery.objects[top.number][0]))
    for page in pages_of(forgery):
        forgery.objects[page][0][Name("/Parent")] = clean
    forgery.objects[top.number][0][Name("/CropBox")] = [0, 400, 595, 842]
    return forgery.whole()


@attack("page-tree")
def a_page_too_few_said(forgery: Any) -> bytes:
    top = forgery.numbers("/Type", Name("/Pages"))[0]
    forgery.objects[top][0][Name("/Count")] = 2
    return forgery.whole()


@attack("page-tree")
def kids_shared_by_all_their_parents(forgery: Any) -> bytes:
    kids = forgery.add([])
    first = len(forgery.objects)
    forgery.objects[kids.number][0] = [Ref(first + n) for n in range(400)]
    for _ in range(400):
        forgery.add(entries(Type=Name("/Pages"), Kids=kids, Count=1))
    forgery.root[Name("/Pages")] = Ref(first)
    return forgery.whole()


@attack("outline")
def bookmarks_in_a_ring(forgery: Any) -> bytes:
    top = forgery.numbers("/Type", Name("/Outlines"))[0]
    last = forgery.objects[top][0][Name("/Last")]
    forgery.objects[last.number][0][Name("/Next")] = forgery.objects[top][0][Name("/First")]
    return forgery.whole()


@attack("outline")
def bookmarks_without_end(forgery: Any) -> bytes:
    top = forgery.numbers("/Type", Name("/Outlines"))[0]
    forgery.objects[top][0][Name("/First")] = Ref(top)
    return forgery.whole()


@attack("script")
def a_script_in_a_link(forgery: Any) -> bytes:
    on_page(forgery, entries(Subtype=Name("/Link"), A=entries(S=Name("/JavaScript"), JS=b"app.alert(1)")))
    return forgery.whole()


@attack("script")
def a_script_by_name(forgery: Any) -> bytes:
    forgery.root[Name("/Names")][Name("/JavaScript")] = entries(Names=[b"x", entries(S=Name("/JavaScript"))])
    return forgery.whole()


@attack("action")
def an_action_on_opening(forgery: Any) -> bytes:
    forgery.root[Name("/OpenAction")] = entries(S=Name("/GoTo"))
    return forgery.whole()


@attack("action")
def a_program_to_launch(forgery: Any) -> bytes:
    on_page(forgery, entries(Subtype=Name("/Link"), A=entries(S=Name("/Launch"), F=b"calc.exe")))
    return forgery.whole()


@attack("action")
def a_link_to_a_file(forgery: Any) -> bytes:
    on_page(forgery, entries(Subtype=Name("/Link"), A=entries(S=Name("/URI"), URI=b"file:///etc/passwd")))
    return forgery.whole()


@attack("action")
def a_link_out_of_sight(forgery: Any) -> bytes:
    target = forgery.add(b"javascript:1")
    on_page(forgery, entries(Subtype=Name("/Link"), A=entries(S=Name("/URI"), URI=target)))
    return forgery.whole()


@attack("action")
def an_action_on_a_page(forgery: Any) -> bytes:
    forgery.objects[pages_of(forgery)[0]][0][Name("/AA")] = entries(O=entries(S=Name("/Named")))
    return forgery.whole()


@attack("annotation")
def a_picture_laid_over_a_page(forgery: Any) -> bytes:
    look = forgery.add(
        entries(Type=Name("/XObject"), Subtype=Name("/Form"), BBox=[0, 0, 9, 9]), b"0 0 9 9 re f"
    )
    on_page(forgery, entries(Subtype=Name("/Stamp"), AP=entries(N=look)))
    return forgery.whole()


@attack("annotation")
def a_field_laid_over_a_page(forgery: Any) -> bytes:
    on_page(forgery, entries(Subtype=Name("/Widget"), FT=Name("/Tx"), T=b"x", V=b"not altered"))
    return forgery.whole()


@attack("optional-content")
def content_that_can_be_hidden(forgery: Any) -> bytes:
    group = forgery.add(entries(Type=Name("/OCG"), Name=b"layer"))
    forgery.root[Name("/OCProperties")] = entries(OCGs=[group], D=entries(OFF=[group]))
    return forgery.whole()


@attack("form")
def a_second_form_in_the_form(forgery: Any) -> bytes:
    forgery.root[Name("/AcroForm")][Name("/XFA")] = forgery.add({}, b"<xdp/>")
    return forgery.whole()


@attack("form")
def a_second_field(forgery: Any) -> bytes:
    forgery.root[Name("/AcroForm")][Name("/Fields")].append(forgery.add(entries(FT=Name("/Tx"), T=b"x")))
    return forgery.whole()


@attack("active-content")
def a_film(forgery: Any) -> bytes:
    on_page(forgery, entries(Subtype=Name("/RichMedia"), RichMediaContent={}))
    return forgery.whole()


@attack("active-content")
def a_stream_in_another_file(forgery: Any) -> bytes:
    forgery.add(entries(F=b"http://example.org/page"), b"")
    return forgery.whole()


@attack("active-content")
def an_object_stream(forgery: Any) -> bytes:
    """Shadow hide: objects packed where a scan by bytes does not see them."""
    forgery.add(
        entries(Type=Name("/ObjStm"), N=1, First=4, Filter=Name("/FlateDecode")), zlib.compress(b"2 0 <<>>")
    )
    return forgery.whole()


@attack("attached-elsewhere")
def a_second_list_of_files(forgery: Any) -> bytes:
    forgery.objects[pages_of(forgery)[0]][0][Name("/AF")] = forgery.root[Name("/AF")][:1]
    return forgery.whole()


@attack("attachment-list")
def two_lists_that_differ(forgery: Any) -> bytes:
    forgery.root[Name("/AF")].reverse()
    return forgery.whole()


@attack("attachment-list")
def a_names_tree_without_end(forgery: Any) -> bytes:
    ring = forgery.add({})
    forgery.objects[ring.number][0] = entries(Kids=[ring], Limits=[b"a", b"z"])
    forgery.root[Name("/Names")][Name("/EmbeddedFiles")][Name("/Kids")] = [ring]
    return forgery.whole()


@attack("attachment-list")
def two_names_for_one_file(forgery: Any) -> bytes:
    spec = forgery.numbers("/F", b"record.json")[0]
    forgery.objects[spec][0][Name("/UF")] = b"other.json"
    return forgery.whole()


@attack("attachment-list")
def one_file_shown_and_another_kept(forgery: Any) -> bytes:
    spec = forgery.objects[forgery.numbers("/F", b"record.json")[0]][0]
    other = forgery.objects[forgery.numbers("/F", b"empty.txt")[0]][0]
    spec[Name("/EF")][Name("/UF")] = other[Name("/EF")][Name("/F")]
    return forgery.whole()


@attack("attachment-list")
def a_relationship_that_is_a_list(forgery: Any) -> bytes:
    forgery.objects[forgery.numbers("/F", b"record.json")[0]][0][Name("/AFRelationship")] = [[]]
    return forgery.whole()


@attack("attachment-list")
def a_file_of_another_type(forgery: Any) -> bytes:
    """ISO 32000-1 table 44: the type of a file specification, where there is one, is Filespec."""
    forgery.objects[forgery.numbers("/F", b"record.json")[0]][0][Name("/Type")] = Name("/Filesqec")
    return forgery.whole()


@attack("page-tree")
def a_type_that_is_a_dictionary(forgery: Any) -> bytes:
    forgery.objects[pages_of(forgery)[0]][0][Name("/Type")] = entries(Type=[])
    return forgery.whole()


@attack("attachment-list")
def a_packed_attachment(forgery: Any) -> bytes:
    stream = forgery.objects[forgery.numbers("/F", b"record.json")[0]][0][Name("/EF")][Name("/F")].number
    forgery.objects[stream][0][Name("/Filter")] = Name("/FlateDecode")
    return forgery.whole()


def renamed(forgery: Any, name: bytes) -> bytes:
    spec = forgery.objects[forgery.numbers("/F", b"empty.txt")[0]][0]
    spec[Name("/F")] = spec[Name("/UF")] = name
    pairs = forgery.root[Name("/Names")][Name("/EmbeddedFiles")][Name("/Names")]
    pairs[0] = name  # sorts first anyway
    return forgery.whole()


@attack("attachment-name")
def a_name_that_leads_out(forgery: Any) -> bytes:
    return renamed(forgery, b"../../.profile")


@attack("attachment-name")
def a_name_that_leads_to_the_top(forgery: Any) -> bytes:
    return renamed(forgery, b"/etc/passwd")


@attack("attachment-name")
def a_name_of_a_drive(forgery: Any) -> bytes:
    return renamed(forgery, b"C:\\x")


@attack("attachment-twice")
def two_files_of_one_name(forgery: Any) -> bytes:
    return renamed(forgery, b"RECORD.json")


@attack("attachment-stray")
def a_file_in_no_list(forgery: Any) -> bytes:
    forgery.add(layout.attached_entries("text/plain", 1, "D:20260101000000Z"), b"x")
    return forgery.whole()


@attack("object-unused")
def words_that_nothing_leads_to(forgery: Any) -> bytes:
    forgery.add(entries(Contents=b"A second account of what was done."))
    return forgery.whole()


@attack("object-unused")
def a_stream_that_only_its_like_leads_to(forgery: Any) -> bytes:
    first = forgery.add(entries(Length=5), b"words")
    second = forgery.add(entries(Next=first))
    forgery.objects[first.number][0][Name("/Next")] = second
    return forgery.whole()


@attack("catalogue")
def words_for_an_extension(forgery: Any) -> bytes:
    forgery.root[Name("/Extensions")] = entries(ESIC=entries(Note=b"A second account."))
    return forgery.whole()


@attack("attachment-stray")
def a_file_on_a_page(forgery: Any) -> bytes:
    stream = forgery.add(layout.attached_entries("text/plain", 1, "D:20260101000000Z"), b"x")
    spec = forgery.add(entries(Type=Name("/Filespec"), F=b"x", UF=b"x", EF=entries(F=stream)))
    on_page(forgery, entries(Subtype=Name("/FileAttachment"), FS=spec))
    return forgery.whole()
