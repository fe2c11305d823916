"""Files that are in the cloud alone: the marks that stand for them in a folder. Looks at names only. Pure."""

from __future__ import annotations

_END = ".icloud"


def in_cloud(name: str) -> str:
    """The file that a mark stands for, "" for any other name.

    Until macOS 14 a Mac puts ".IMG_0001.HEIC.icloud" in the place of a file that it keeps in the cloud (from
    memory); later ones, and Windows, keep the name and fetch the file where it is opened. A mark may be left
    behind beside its file, which then counts.
    """
    if name.startswith(".") and name.casefold().endswith(_END):
        return name[1 : -len(_END)]
    return ""
