"""The relationships between the parts of a package: what each leads to."""

from __future__ import annotations

import posixpath
from dataclasses import dataclass
from urllib.parse import unquote

from stillbook.workbook.file.archive import Archive
from stillbook.workbook.file.markup import local, parse, parser


@dataclass(frozen=True, slots=True)
class Relation:
    """A relationship of a part: what kind of thing it leads to, and where that is.

    Args:
        kind: The last word of its type, such as ``drawing``.
        target: The part it leads to, or the address outside.
        outside: Whether it leads out of the package.
    """

    kind: str
    target: str
    outside: bool


def relations(archive: Archive, part: str) -> dict[str, Relation]:
    """The relationships of a part by id; of the package itself for an empty name.

    Raises:
        WorkbookError: If they are damaged.
    """
    folder, name = posixpath.split(part)
    path = posixpath.join(folder, "_rels", f"{name}.rels")
    if path not in archive:
        return {}
    found: dict[str, Relation] = {}

    def start(element: str, attributes: dict[str, str]) -> None:
        if local(element) != "Relationship":
            return
        target, outside = attributes.get("Target", ""), attributes.get("TargetMode") == "External"
        if not outside:
            target = unquote(target)
            joined = target.removeprefix("/") if target.startswith("/") else posixpath.join(folder, target)
            target = archive.spelled(posixpath.normpath(joined))
        found[attributes.get("Id", "")] = Relation(attributes.get("Type", "").rpartition("/")[2], target, outside)

    reader = parser()
    reader.StartElementHandler = start
    parse(reader, archive.read(path), path)
    return found
