"""Notes in Markdown as flowables: paragraphs, lists, emphasis. Links become text with their address.

Raw HTML, images and anything that would be fetched are printed as the words they are.
"""

from __future__ import annotations

import html
from collections.abc import Sequence

from markdown_it import MarkdownIt
from markdown_it.tree import SyntaxTreeNode
from reportlab.platypus import Flowable

from dossier.pages.setting import Setting, heard, markup, printable
from dossier.pages.tagging import Bullets, Numbered, Text

_DEEPEST = 3  # lists within lists; deeper ones are printed at this depth


def flowables(s: Setting, text: str) -> list[Flowable]:
    """A note, for use inside the reading column."""
    tree = SyntaxTreeNode(_parser().parse(text))
    return [flow for node in tree.children for flow in _block(s, node, 0)]


def _parser() -> MarkdownIt:
    return MarkdownIt("commonmark", {"html": False}).disable("image")


def _block(s: Setting, node: SyntaxTreeNode, depth: int) -> list[Flowable]:
    style = s.styles.in_body
    if node.type in ("bullet_list", "ordered_list"):
        return [_list(s, node, depth)]
    if node.type == "heading":
        return [Text(f"<b>{inline(node)}</b>", style)]
    if node.type in ("code_block", "fence"):
        return [Text(markup(node.content), style)]
    if node.type == "hr":
        return []
    if node.type == "blockquote":
        return [flow for child in node.children for flow in _block(s, child, depth)]
    words = inline(node)
    parts = [words] if any(mark in words for mark in "<&") else heard(words)
    return [Text(part, style) for part in parts if part]


def _list(s: Setting, node: SyntaxTreeNode, depth: int) -> Flowable:
    items = [_item(s, item, depth) for item in node.children]
    style = s.styles.in_body
    if node.type == "ordered_list":
        return Numbered(items, style, start=int(node.attrs.get("start", 1)))
    return Bullets(items, style)


def _item(s: Setting, node: SyntaxTreeNode, depth: int) -> Sequence[Flowable]:
    if depth + 1 >= _DEEPEST:
        return [Text(inline(node), s.styles.in_body)]
    return [flow for child in node.children for flow in _block(s, child, depth + 1)]


def inline(node: SyntaxTreeNode) -> str:
    """All text below a node, as paragraph markup."""
    if node.type == "text":
        return html.escape(printable(node.content), quote=False)
    if node.type in ("softbreak", "hardbreak"):
        return " " if node.type == "softbreak" else "<br/>"
    if node.type == "code_inline":
        return html.escape(printable(node.content), quote=False)
    inner = "".join(inline(child) for child in node.children)
    return _wrapped(node, inner)


def _wrapped(node: SyntaxTreeNode, inner: str) -> str:
    if node.type == "strong":
        return f"<b>{inner}</b>"
    if node.type == "em":
        return f"<i>{inner}</i>"
    if node.type == "link":
        address = html.escape(printable(str(node.attrs.get("href", ""))), quote=False)
        return inner if address in inner else f"{inner} ({address})"
    return inner
